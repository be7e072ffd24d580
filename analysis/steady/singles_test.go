package steady

import (
	"math"
	"testing"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/pipeline/table"
)

// shortRuns is the log of a machine that runs for some time in every 23 minutes, each quantity
// nearing its rest value after a start as slowly as it does in a plant: pressures within a
// minute or so, the liquid's temperature in two, the discharge line in five (common
// practice, no source). A logger that averages mixes what lies within a minute.
func shortRuns(days int, every, run time.Duration) *cycle.Columns {
	const cycleLength = 23 * time.Minute
	c := &cycle.Columns{}
	at := time.Date(2024, 5, 1, 0, 0, 0, 0, time.UTC)
	for since := time.Duration(0); since < time.Duration(days)*24*time.Hour; since += every {
		ran := (since % cycleLength).Minutes()
		on := ran < run.Minutes()
		put := func(q cycle.Quantity, rest, start, lag, stood float64) {
			v := rest + (start-rest)*math.Exp(-ran/lag)
			if !on {
				v = stood
			}
			c.Values[q] = append(c.Values[q], v)
		}
		c.Time = append(c.Time, at.Add(since).UnixMicro())
		put(cycle.Power, 3, 3, 1, 0)
		put(cycle.PressureRatio, 4, 1, 0.7, 1)
		put(cycle.Evaporating, -8, 4, 0.7, 4)
		put(cycle.Condensing, 40, 20, 0.7, 20)
		put(cycle.Superheat, 7, 15, 1, 0)
		put(cycle.Subcooling, 5, 0, 1.2, -4)
		put(cycle.DischargeTemp, 70, 30, 5, 30)
	}
	return c
}

// Every ten minutes a sample, and runs of nine: no run holds a window, and each day speaks by
// its samples at rest, those soon after a start left out.
func TestDayOfShortRunsSpeaksBySingleSamples(t *testing.T) {
	c := shortRuns(3, 10*time.Minute, 9*time.Minute)
	_, windows := Cut(c, nil, Options{})
	var days int
	for _, w := range windows {
		if w.Grade != Singles {
			continue
		}
		days++
		if w.Samples < 20 {
			t.Errorf("%d samples, want about half of some 56 running ones", w.Samples)
		}
		for q, want := range map[cycle.Quantity]float64{cycle.Superheat: 7, cycle.Subcooling: 5, cycle.Condensing: 40} {
			if got := w.Mean[q]; math.Abs(got-want) > 0.3 || !(w.Spread[q] < 0.1) {
				t.Errorf("quantity %d: %.2f ± %.2f, want %.1f as at rest", q, got, w.Spread[q], want)
			}
		}
	}
	if days != 3 {
		t.Errorf("%d of 3 days speak", days)
	}
}

// Where windows can be found no single samples are looked for: neither at a sample a minute
// nor in the log of a visit.
func TestSingleSamplesOnlyWhereSamplesAreFarApart(t *testing.T) {
	for name, c := range map[string]*cycle.Columns{
		"a sample a minute": shortRuns(2, time.Minute, 15*time.Minute),
		"a visit":           shortRuns(1, 10*time.Minute, 9*time.Minute),
	} {
		_, windows := Cut(c, nil, Options{})
		for _, w := range windows {
			if w.Grade == Singles {
				t.Errorf("%s: %d single samples", name, w.Samples)
			}
		}
	}
}

// Two runs that each hold a window, the second begun between two samples: the visit rests on
// the samples at rest, not on the windows that hold the start.
func TestSingleSamplesSpeakBeforeWindows(t *testing.T) {
	at := time.Date(2024, 5, 1, 0, 0, 0, 0, time.UTC)
	windows := []table.Window{
		{Start: at, End: at.Add(23 * time.Hour), Grade: string(Singles), Samples: 40, RunningBy: string(ByPower), Subcooling: 5, Superheat: 7},
		{Start: at.Add(time.Hour), End: at.Add(2 * time.Hour), Grade: string(Oscillating), Samples: 7, RunningBy: string(ByPower), Subcooling: 4.2, Superheat: 6},
	}
	stay := Stay{Start: at.UnixMicro(), End: at.Add(24 * time.Hour).UnixMicro(), Day: true, Step: 600}
	v := visit(stay, at, at.Add(24*time.Hour), table.Whole, windows)
	if v.Use != table.UseTrend || v.Subcooling != 5 || v.Judged != 400 || v.Windows != 1 {
		t.Errorf("%s: subcooling %g K over %g min, want 5 K over 400 min of single samples", v.Use, v.Subcooling, v.Judged)
	}
}

// A day's single samples do not depend on how much of the log beyond one day on either side is
// looked at: months are worked on one by one.
func TestSingleSamplesNeedOneDayOnEitherSideOnly(t *testing.T) {
	c := shortRuns(6, 10*time.Minute, 9*time.Minute)
	day := (24 * time.Hour).Microseconds()
	from := c.Time[0] + 2*day
	of := func(c *cycle.Columns) *Window {
		_, windows := Cut(c, nil, Options{})
		for _, w := range windows {
			if w.Grade == Singles && w.Start >= from && w.Start < from+day {
				return w
			}
		}
		t.Fatal("the day does not speak")
		return nil
	}
	a, b := of(c), of(cutRows(c, from-day, from+2*day))
	if a.Start != b.Start || a.End != b.End || a.Samples != b.Samples || a.Mean[cycle.Subcooling] != b.Mean[cycle.Subcooling] {
		t.Errorf("%d samples, %g K of the whole log, %d samples, %g K of three days", a.Samples, a.Mean[cycle.Subcooling], b.Samples, b.Mean[cycle.Subcooling])
	}
}
