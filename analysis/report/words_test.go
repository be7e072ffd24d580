package report

import (
	"math"
	"strings"
	"testing"
	"time"

	"rimelog/analysis/drift"
	"rimelog/analysis/say"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

var nan = math.NaN()

// english is the locale that needs no catalogue.
var english say.Locale

func on(date string) time.Time {
	t, err := time.Parse(time.DateOnly, date)
	if err != nil {
		panic(err)
	}
	return t
}

func TestCourseSentences(t *testing.T) {
	moving := table.Trend{Feature: "subcooling_k", Verdict: drift.Falling, Visits: 9, Since: on("2024-03-24"), Change: -2.61, ChangeLo: -3.3, ChangeHi: -1.9}
	still := moving
	still.Significance = 0.011
	still.Verdict, still.Change, still.ChangeLo, still.ChangeHi = drift.Noise, 0.1, -0.6, 0.8
	leaning, open := still, moving
	leaning.ChangeLo = 0.05
	open.ChangeLo = nan
	for _, c := range []struct {
		trend table.Trend
		want  string
	}{
		{leaning, "Subcooling may be rising: +0.1 K (+0.1 to +0.8 K) over 9 visits since 24 Mar 2024; noise alone does as much once in 91 times."},
		{open, "Subcooling is falling: −2.6 K (its interval is open) over 9 visits since 24 Mar 2024."},
		{moving, "Subcooling is falling: −2.6 K (−3.3 to −1.9 K) over 9 visits since 24 Mar 2024."},
		{still, "Subcooling is within noise: +0.1 K (−0.6 to +0.8 K) over 9 visits since 24 Mar 2024."},
	} {
		if got := strings.ReplaceAll(course(english, c.trend, "Subcooling", time.UTC), "\u00a0", " "); got != c.want {
			t.Errorf("got  %s\nwant %s", got, c.want)
		}
	}
}

// Where refrigerant may be lost, the first thing to do is a direct leak check.
func TestNextCheck(t *testing.T) {
	for _, c := range []struct{ kind, next, want string }{
		{"charge loss", "weigh the charge", "Direct leak check recommended. Weigh the charge."},
		{"charge loss", "direct leak check recommended, at the valves first", "Direct leak check recommended, at the valves first."},
		{"charge loss", "", "Direct leak check recommended."},
		{"hot discharge gas", "look at the cooling", "Look at the cooling."},
		{"overcharge", "weigh the charge", "Weigh the charge."},
		{"condenser fouling", "clean the coil", "Clean the coil."},
	} {
		if got := nextCheck(english, table.Finding{Kind: c.kind, NextCheck: c.next}); got != c.want {
			t.Errorf("%s, %q: got %q, want %q", c.kind, c.next, got, c.want)
		}
	}
}

// A minus in the tables' plain text becomes a minus sign; dates keep their hyphens.
func TestProse(t *testing.T) {
	if got, want := english.Sentence("fell by -9.2 K (-14.0 to -5.8) from 2023-04-24, A1-2"), "Fell by −9.2 K (−14.0 to −5.8) from 2023-04-24, A1-2."; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestVisible(t *testing.T) {
	if got, want := visible("a\x00b\ufffd\u202e c"), "a·b·· c"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestStanding(t *testing.T) {
	short := table.Visit{Start: on("2025-01-02"), End: on("2025-01-02").Add(4 * time.Minute), Use: table.UseSpot}
	for _, c := range []struct {
		name   string
		system System
		want   standing
		says   string
	}{
		{"nothing", System{}, notJudged, "No log has been read."},
		{"a spot", System{Visits: []table.Visit{short}}, notJudged, "Too short to judge a trend: 1 spot reading, the longest log 4 min."},
		{"unusable", System{Visits: []table.Visit{{Use: "none"}}}, notJudged, "No reading can be used"},
		{"within noise", System{Trends: []table.Trend{{Feature: "superheat_k", Verdict: drift.Noise, Visits: 7}}}, noFinding, "Within noise: nothing moved more than the visits scatter, over 7 visits."},
		{"a receiver", System{
			Visits: []table.Visit{{Use: table.UseTrend}},
			Trends: []table.Trend{
				{Feature: "superheat_k", Verdict: drift.Noise, Visits: 7},
				{Feature: "subcooling_k", Verdict: drift.NotJudged, Note: "a receiver keeps subcooling where it is until it is empty"},
			},
		}, notJudged, "A receiver holds subcooling where it is: the charge cannot be judged from these channels."},
		{"moving", System{Trends: []table.Trend{{Feature: "superheat_k", Verdict: drift.Rising, Visits: 7, Change: 1.2}}}, noFinding, "Superheat is rising (+1.2 K): too small or too uncertain for a finding."},
		{"closed", System{Findings: []table.Finding{{State: "closed by data"}}}, notJudged, "No log"},
		{"open", System{Findings: []table.Finding{{State: drift.Open, Kind: "charge loss", Feature: "subcooling_k", Size: -2, SizeLo: -3, SizeHi: -1, RaisedOn: on("2025-03-01")}}}, needsVisit, "Charge loss suspected. Subcooling −2.0 K (−3.0 to −1.0 K) raised 1 Mar 2025."},
	} {
		c.system.Register.RefrigerantName = "R134a"
		if got := c.system.standing(); got != c.want {
			t.Errorf("%s: standing %v, want %v", c.name, got, c.want)
		}
		if got := strings.ReplaceAll(c.system.verdict(), "\u00a0", " "); !strings.Contains(got, c.says) {
			t.Errorf("%s: says %q, want %q", c.name, got, c.says)
		}
	}
}

// The latest trend of a feature is the one decided last, whatever the order.
func TestLatest(t *testing.T) {
	s := System{Trends: []table.Trend{
		{Feature: "superheat_k", DecidedOn: on("2025-05-01"), Verdict: drift.Rising},
		{Feature: "superheat_k", DecidedOn: on("2024-05-01"), Verdict: drift.Noise},
	}}
	if got := s.latest()["superheat_k"].Verdict; got != drift.Rising {
		t.Errorf("latest verdict %q, want %q", got, drift.Rising)
	}
}

// Safety classes of ISO 817 as package thermo has them; what each asks for is
// common practice, no source.
func TestCautionsFollowTheSafetyClass(t *testing.T) {
	for refrigerant, want := range map[string][]string{
		"R134a":   {"class A1"},
		"R32":     {"Mildly flammable", "class A2L"},
		"R290":    {"Highly flammable", "class A3"},
		"R717":    {"Toxic", "Mildly flammable", "class B2L"},
		"R744":    {"class A1", "Very high pressure"},
		"":        {"Refrigerant unknown", "flammable and toxic until the nameplate says otherwise"},
		"R0000xx": {"Safety class unknown"},
	} {
		var all strings.Builder
		for _, c := range cautions(english, refrigerant) {
			all.WriteString(c.Head + ": " + c.Text + "\n")
		}
		for _, w := range append(want, "only licensed persons", "Local law, codes", "Measure again before you act", "Electricity") {
			if !strings.Contains(all.String(), w) {
				t.Errorf("%s: no caution says %q", refrigerant, w)
			}
		}
	}
}

func TestFactsNameWhatIsUnknown(t *testing.T) {
	r := register.NewSystem("A1")
	r.Charge = register.Charge{KG: 6.5, Source: register.ChargeEstimated}
	r.Hermetic = table.Yes
	got := map[string]fact{}
	for _, f := range facts(english, r) {
		got[f.Label] = f
	}
	for label, want := range map[string]string{"System": "A1", "Design charge": "6.50\u00a0kg (estimated)", "Hermetically sealed": "yes", "Receiver": "unknown", "Altitude": "unknown", "Zone of its clocks": "unknown"} {
		if got[label].Value != want || got[label].Unknown != (want == "unknown") {
			t.Errorf("%s: %+v, want %q", label, got[label], want)
		}
	}
}

// A bar reaches the line exactly when the interval holds zero: that is within noise.
func TestWireShowsNoise(t *testing.T) {
	for _, c := range []struct {
		size, lo, hi float64
		noise        bool
	}{{-2, -3, -1, false}, {0.2, -0.4, 0.8, true}, {5, 4, 6, false}, {1, 0, 2, true}, {-20, -30, -15, false}} {
		got := string(wire(c.size, c.lo, c.hi, 4))
		if strings.Contains(got, `class="wire noise"`) != c.noise {
			t.Errorf("%v: noise is not %v in %s", c, c.noise, got)
		}
		if beyond := math.Abs(c.lo) > 4 || math.Abs(c.hi) > 4; strings.Contains(got, "beyond") != beyond {
			t.Errorf("%v: arrows for what is beyond the scale are not %v", c, beyond)
		}
	}
	if wire(nan, nan, nan, 4) != "" {
		t.Error("a bar for nothing")
	}
}

func TestWireScale(t *testing.T) {
	for _, c := range []struct {
		values []float64
		want   float64
	}{{nil, 1}, {[]float64{-2.2, 1}, 3}, {[]float64{nan, 400}, 12}} {
		if got := wireScale(english, c.values...); got != c.want {
			t.Errorf("scale of %v is %g, want %g", c.values, got, c.want)
		}
	}
}

func TestSparkIsThinned(t *testing.T) {
	points := make([]sparkPoint, 1000)
	for i := range points {
		points[i] = sparkPoint{time: float64(i), value: 5}
	}
	got := thinned(points)
	if len(got) > sparkMost+1 || got[0].value < 4.999 || got[len(got)-1].time < 970 {
		t.Errorf("%d points, from %+v to %+v", len(got), got[0], got[len(got)-1])
	}
}

// A loss is told by what somebody who tops up wants to know: how much has gone, and goes a year.
func TestALossIsToldInCharge(t *testing.T) {
	l := english
	f := table.Finding{Kind: drift.ChargeLoss, Lost: 9, LostLo: 5, LostHi: 13, LossPct: 8, LossPctLo: 4, LossPctHi: 12,
		LossKG: 0.4, LossKGLo: 0.2, LossKGHi: 0.6, LossCO2e: 0.84, LossCO2eLo: 0.42, LossCO2eHi: 1.25}
	plain := func(s string) string { return strings.ReplaceAll(s, "\u00a0", " ") }
	if got, want := plain(gone(l, f)), "about 9 % of the charge gone (5 to 13 %)"; got != want {
		t.Errorf("gone: %q, want %q", got, want)
	}
	if got, want := plain(going(l, f)), "0.40 kg a year (0.20 to 0.60), which are 0.84 t CO2e (0.42 to 1.25)"; got != want {
		t.Errorf("going: %q, want %q", got, want)
	}
	f.LossKG, f.LossCO2e = math.NaN(), math.NaN()
	if got, want := plain(going(l, f)), "8 % a year (4 to 12)"; got != want {
		t.Errorf("going without a charge: %q, want %q", got, want)
	}
	f.Lost = math.NaN()
	if got := gone(l, f); got != "" {
		t.Errorf("gone, not known: %q", got)
	}
}
