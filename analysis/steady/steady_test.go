package steady

import (
	"math"
	"strings"
	"testing"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// cutRows keeps the samples with from <= t < to.
func cutRows(c *cycle.Columns, from, to int64) *cycle.Columns {
	out := &cycle.Columns{}
	for i, t := range c.Time {
		if t < from || t >= to {
			continue
		}
		out.Time = append(out.Time, t)
		for q := range c.Values {
			if c.Values[q] != nil {
				out.Values[q] = append(out.Values[q], c.Values[q][i])
			}
		}
	}
	return out
}

// The windows of a day must not depend on how much of the log beyond one day on
// either side is looked at: months are worked on one by one.
func TestWindowsNeedOneDayOnEitherSideOnly(t *testing.T) {
	var story strings.Builder
	story.WriteString("every 60s\n")
	for i := range 120 {
		if i%3 == 0 {
			story.WriteString("off 7m\n")
		}
		story.WriteString("on 55m sh=6 swing=1/95s noise=0.2\n")
	}
	story.WriteString("gap 30h\non 50m\n")
	c := tell(t, story.String())
	day := (24 * time.Hour).Microseconds()
	noon := time.Date(2024, 5, 3, 0, 0, 0, 0, time.UTC).UnixMicro()
	_, all := Cut(c, nil, Options{})
	_, part := Cut(cutRows(c, noon-day, noon+2*day), nil, Options{})
	inDay := func(ws []*Window) (out []*Window) {
		for _, w := range ws {
			if w.Start >= noon && w.Start < noon+day {
				out = append(out, w)
			}
		}
		return out
	}
	a, b := inDay(all), inDay(part)
	if len(a) < 100 || len(a) != len(b) {
		t.Fatalf("%d windows from the whole log, %d from three days; want the same, more than 100", len(a), len(b))
	}
	for i := range a {
		if a[i].Start != b[i].Start || a[i].End != b[i].End || a[i].Grade != b[i].Grade || a[i].Mean[cycle.Superheat] != b[i].Mean[cycle.Superheat] {
			t.Fatalf("window %d: %+v and %+v", i, a[i], b[i])
		}
	}
}

// The spread of windows that hunt is the valve's, their means are alike.
func TestMeansOfAHuntingValveRepeat(t *testing.T) {
	for _, period := range []string{"70s", "81s", "91s", "150s"} {
		_, windows := Cut(tell(t, "every 2s\non 40m sh=4 swing=2.2/"+period+" noise=0.4"), nil, Options{})
		if len(windows) < 4 {
			t.Errorf("period %s: %d windows, want at least 4", period, len(windows))
		}
		for _, w := range windows {
			if math.Abs(w.Mean[cycle.Superheat]-4) > 0.25 || w.Grade != Oscillating {
				t.Errorf("period %s: window %s with mean superheat %.2f, want oscillating about 4", period, w.Grade, w.Mean[cycle.Superheat])
			}
		}
	}
}

func TestRunningMask(t *testing.T) {
	nan := math.NaN()
	col := func(v ...float64) []float64 { return v }
	for _, tc := range []struct {
		name string
		c    cycle.Columns
		by   Evidence
		want string // 1 on, 0 off
	}{
		{"logged", cycle.Columns{Running: []table.State{table.Yes, table.No, table.Unknown}}, ByLog, "100"},
		{"power, with a gap as the sample before it and a long one as off", columns(cycle.Power, col(3, 0.05, 2.8, nan, nan, nan)), ByPower, "101110"},
		{"standby only", columns(cycle.Power, col(0.012, 0.011, 0.013)), ByPower, "000"},
		{"pressures apart", columns(cycle.PressureRatio, col(1, 1.2, 3, 2)), ByPressures, "0011"},
		{"nothing", columns(cycle.SuctionPressure, col(300, 300)), Assumed, "11"},
	} {
		tc.c.Time = make([]int64, len(tc.want))
		for i := range tc.c.Time {
			tc.c.Time[i] = int64(i) * 25e6
		}
		mask := make([]bool, len(tc.want))
		by := (&evidences{Columns: &tc.c}).mask(mask, 0, len(mask))
		got := ""
		for _, on := range mask {
			got += map[bool]string{true: "1", false: "0"}[on]
		}
		if got != tc.want || by != tc.by {
			t.Errorf("%s: got %s by %s, want %s by %s", tc.name, got, by, tc.want, tc.by)
		}
	}
	// Power is drawn, but the pressures are equal: a fan, not the compressor.
	c := columns(cycle.Power, col(3, 3, 3))
	c.Values[cycle.PressureRatio] = col(3, 1, 3)
	c.Time = make([]int64, 3)
	on := make([]bool, 3)
	told := &evidences{Columns: &c}
	if told.mask(on, 0, 3); on[1] {
		t.Error("equal pressures count as running")
	}
	// The next visit of the month was logged without a power meter: its pressures tell.
	c = columns(cycle.Power, col(3, 3, 3, nan, nan, nan))
	c.Values[cycle.PressureRatio] = col(3, 3, 3, 3, 1, 3)
	c.Time, on = []int64{0, 1e7, 2e7, 9e10, 9.001e10, 9.002e10}, make([]bool, 6)
	if by := told.mask(on, 3, 6); by != ByPressures || !on[3] || on[4] || !on[5] {
		t.Errorf("without a power meter: %v by %s, want on, off, on by pressures", on[3:], by)
	}
}

// A machine whose valve shuts at rest keeps its pressures apart; the start tells what lies
// before it for standstill, a hunting valve's swing does not.
func TestStartsSeenByPressures(t *testing.T) {
	for _, tc := range []struct {
		name      string
		low, high []float64
		want      string
	}{
		{"a start", []float64{340, 341, 342, 262, 233, 242, 235}, []float64{729, 728, 729, 1000, 1037, 1073, 1118}, "0001111"},
		{"a run before it", []float64{235, 242, 300, 330, 341, 262, 240}, []float64{1118, 1090, 850, 760, 729, 1000, 1050}, "1100011"},
		{"a swing", []float64{235, 245, 235, 226, 235, 245, 235}, []float64{1118, 1090, 1118, 1140, 1118, 1090, 1118}, "1111111"},
	} {
		c := columns(cycle.SuctionPressure, tc.low)
		c.Values[cycle.DischargePressure] = tc.high
		for i := range tc.low {
			c.Values[cycle.PressureRatio] = append(c.Values[cycle.PressureRatio], tc.high[i]/tc.low[i])
			c.Time = append(c.Time, int64(i)*30e6)
		}
		on := make([]bool, len(tc.want))
		(&evidences{Columns: &c}).mask(on, 0, len(on))
		got := ""
		for _, ran := range on {
			got += map[bool]string{true: "1", false: "0"}[ran]
		}
		if got != tc.want {
			t.Errorf("%s: running %s, want %s", tc.name, got, tc.want)
		}
	}
}

func columns(q cycle.Quantity, v []float64) cycle.Columns {
	var c cycle.Columns
	c.Values[q] = v
	return c
}

var noon = time.Date(2024, 6, 3, 12, 0, 0, 0, time.UTC)

// stay is an hour at a machine with a window every five minutes.
func stay(superheat func(minute int) float64) (Stay, []table.Window) {
	s := Stay{Start: noon.UnixMicro(), End: noon.Add(time.Hour).UnixMicro(), Samples: 60, Running: 60, By: ByPower}
	var ws []table.Window
	for m := 0; m < 60; m += 5 {
		from := noon.Add(time.Duration(m) * time.Minute)
		ws = append(ws, table.Window{Start: from, End: from.Add(4 * time.Minute), Grade: string(Steady), Superheat: superheat(m), RunningBy: string(ByPower)})
	}
	return s, ws
}

func TestVisitIsSplitAtAnIntervention(t *testing.T) {
	s, ws := stay(func(minute int) float64 {
		if minute < 30 {
			return 12
		}
		return 6
	})
	added := register.Event{Kind: register.ChargeAdded, Time: noon.Add(30 * time.Minute), HasTime: true}
	look := register.Event{Kind: register.DirectLeakCheck, Time: noon.Add(10 * time.Minute), HasTime: true}
	ran := []table.Phase{{Start: noon, End: noon.Add(time.Hour), State: table.IsRunning, Samples: 60, Minutes: 60}}
	got := Visits([]Stay{s}, ws, Site{Events: []register.Event{look, added}, Phases: ran}, Options{})
	if len(got) != 2 || got[0].Part != table.AsFound || got[1].Part != table.AsLeft {
		t.Fatalf("got %d visits, want as found and as left: %+v", len(got), got)
	}
	if got[0].Superheat != 12 || got[1].Superheat != 6 || got[0].Windows != 6 || got[1].Windows != 3 {
		t.Errorf("as found %v K in %d windows, as left %v K in %d; want 12 K in 6, and 6 K in 3 from a quarter of an hour after",
			got[0].Superheat, got[0].Windows, got[1].Superheat, got[1].Windows)
	}
	if got[0].Samples+got[1].Samples != 60 {
		t.Errorf("%d and %d samples, want 60 together", got[0].Samples, got[1].Samples)
	}
}

func TestVisitThatCannotBeSeparatedIsNotUsed(t *testing.T) {
	s, ws := stay(func(int) float64 { return 6 })
	day := time.Date(2024, 6, 3, 0, 0, 0, 0, time.UTC)
	for name, tc := range map[string]struct {
		event register.Event
		use   string
	}{
		"charge added that day":     {register.Event{Kind: register.ChargeAdded, Time: day}, table.UseNone},
		"charge added the next day": {register.Event{Kind: register.ChargeAdded, Time: day.AddDate(0, 0, 1)}, table.UseTrend},
		"checked that day":          {register.Event{Kind: register.IndirectLeakCheck, Time: day}, table.UseTrend},
	} {
		got := Visits([]Stay{s}, ws, Site{Events: []register.Event{tc.event}}, Options{})
		if len(got) != 1 || got[0].Use != tc.use || (got[0].Reason == "") != (tc.use == table.UseTrend) {
			t.Errorf("%s: got %+v, want one visit for %s", name, got, tc.use)
		}
	}
}

// A stay that a month's end cuts apart is one visit; input order does not matter.
func TestVisitsAcrossMonths(t *testing.T) {
	end := time.Date(2024, 6, 1, 0, 0, 0, 0, time.UTC)
	a := Stay{Start: end.Add(-20 * time.Minute).UnixMicro(), End: end.Add(-time.Minute).UnixMicro(), Samples: 20, Running: 20}
	b := Stay{Start: end.UnixMicro(), End: end.Add(30 * time.Minute).UnixMicro(), Samples: 31, Running: 31}
	got := Visits([]Stay{b, a}, nil, Site{}, Options{})
	if len(got) != 1 || got[0].Samples != 51 || got[0].Running != 51 {
		t.Errorf("got %+v, want one visit of 51 samples", got)
	}
}

// A permanent logger gives one visit a day, by the site's clock.
func TestPermanentLoggerGivesDays(t *testing.T) {
	c := tell(t, "every 60s\non 100h")
	zone := time.FixedZone("", 2*3600)
	cut, windows := Cut(c, zone, Options{})
	if len(cut) != 5 || !cut[0].Day {
		t.Fatalf("%d stays, want 5 days", len(cut))
	}
	if at := time.UnixMicro(cut[1].Start).In(zone); at.Hour() != 0 || at.Minute() > 1 {
		t.Errorf("the second day begins at %v, want midnight by the site's clock", at)
	}
	if len(windows) < 1000 {
		t.Errorf("%d windows in 100 hours, want more than 1000", len(windows))
	}
}

func TestSpotsSayWhy(t *testing.T) {
	for story, want := range map[string]string{
		"on 2m sh=9.6":            "too short for a window",
		"on 30m sh=20 drift=-0.4": "never steady",
		"off 30m":                 "did not run",
		"every 1s\non 4m sh=4 swing=2/80s noise=0.2": "too short to judge a trend",
	} {
		stays, windows := Cut(tell(t, story), nil, Options{})
		c, err := cycle.NewCircuit(register.NewSystem("test"))
		if err != nil {
			t.Fatal(err)
		}
		var ws []table.Window
		for _, w := range windows {
			row, _ := w.Row(c, cycle.Instruments{})
			ws = append(ws, row)
		}
		got := Visits(stays, ws, Site{}, Options{})
		if len(got) != 1 || got[0].Use == table.UseTrend || !strings.Contains(got[0].Reason, want) {
			t.Errorf("%q: got %+v, want a reason with %q", story, got, want)
		}
	}
}

func TestOptionsTellEverythingThatIsWrong(t *testing.T) {
	if err := (Options{}).Validate(); err != nil {
		t.Errorf("the defaults are refused: %v", err)
	}
	err := Options{Window: time.Second, Resample: -1, Periods: 1}.Validate()
	for _, want := range []string{"steady.window", "steady.resample", "steady.periods"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want it to name %s", err, want)
		}
	}
}

// BenchmarkCut cuts a month of samples every minute, and reports rows per second.
func BenchmarkCut(b *testing.B) {
	var story strings.Builder
	story.WriteString("every 60s\n")
	for range 720 {
		story.WriteString("on 45m sh=6 noise=0.3\noff 15m\n")
	}
	c := tell(b, story.String())
	b.ResetTimer()
	for b.Loop() {
		Cut(c, nil, Options{})
	}
	b.ReportMetric(float64(c.Rows())*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
}
