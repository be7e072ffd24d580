package steady

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
)

// Over whole periods a swing averages out, however its steps fall into them, and what is
// left is the noise of the mean: its standard error is that of as many draws (JCGM
// 100:2008, 4.2.3), within what four to seven periods tell of it.
func TestSpreadOfASwingIsThatOfItsPeriods(t *testing.T) {
	const step, period, noise = 10e6, 85e6, 0.3
	r := rand.New(rand.NewPCG(3, 4))
	b := &bins{scratch: newScratch(), step: step, period: period}
	n := int(math.Round(5 * period / step))
	var means, said []float64
	for range 400 {
		phase, x := r.Float64(), make([]float64, n)
		for i := range x {
			x[i] = 2*math.Sin(2*math.Pi*(float64(i)*step/period+phase)) + noise*r.NormFloat64()
		}
		mean, sd, _, _ := robust.Mean(x)
		means, said = append(means, mean), append(said, b.spread(x, lineOf(x), sd))
	}
	_, is, _, _ := robust.Mean(means)
	told, _ := robust.Median(said)
	if told < is*0.9 || told > is*2 {
		t.Errorf("said ±%.3f in the median, means scatter by %.3f", told, is)
	}
	if plain := 2 / math.Sqrt2 / math.Sqrt(float64(n)) * 2; told > plain {
		t.Errorf("said ±%.3f, as if the swing of ±2 were noise", told)
	}
}

// A log of a little more than three hunting periods, begun on a running machine anywhere in
// one, gives one full window of whole periods, and the means of many such logs repeat within
// 0.5 K. Figures of a laboratory heat pump on R134a: superheat 4.5 K wide, period 81 to 91 s,
// a sample every 0.5 s. With less than three periods the window is provisional.
func TestThreeHuntingPeriodsAreEnough(t *testing.T) {
	for _, period := range []float64{81, 84, 91} {
		c := tell(t, fmt.Sprintf("every 500ms\non 20m sh=3.9 swing=2.25/%gs noise=0.2", period))
		var means []float64
		for from := 5.0; from < 600; from += 37 {
			log := func(periods float64) *Window {
				start := c.Time[0] + int64(from*1e6)
				_, windows := Cut(cutRows(c, start, start+int64(periods*period*1e6)), nil, Options{})
				if len(windows) != 1 {
					t.Fatalf("%g periods of %g s: %d windows, want 1", periods, period, len(windows))
				}
				return windows[0]
			}
			w := log(3.15)
			if w.Provisional || !w.StartUnknown || w.Grade != Oscillating || math.Abs(w.Period-period) > 4 || w.SD[cycle.Superheat] < 1.2 {
				t.Errorf("period %g s from %g s on: %+v; want a full window of %g s, oscillating", period, from, w, period)
			}
			if short := log(2.6); !short.Provisional {
				t.Errorf("period %g s from %g s on: a window of two periods is not provisional", period, from)
			}
			means = append(means, w.Mean[cycle.Superheat])
		}
		if apart := slices.Max(means) - slices.Min(means); apart > 0.5 {
			t.Errorf("period %g s: means %.2f K apart, want at most 0.5", period, apart)
		}
	}
}

// A valve that hunts as on a laboratory log (superheat 4.5 K wide, period 85 s: measured on an
// R134a heat pump, 0.5 s sampling) gives windows whose means repeat within 0.5 K, though a
// rule of a standard deviation below 0.5 K accepts none of it. Sampled too coarsely to see
// the swing they do so within what they say themselves.
func TestMeansOfAHuntingValveRepeatAtAnySampling(t *testing.T) {
	for _, c := range []struct {
		every, lasts string
		seen         bool // the swing
	}{
		{"500ms", "40m", true}, {"2s", "40m", true}, {"10s", "40m", true}, {"30s", "60m", false}, {"60s", "2h", false}, {"300s", "10h", false}, {"900s", "20h", false},
	} {
		_, windows := Cut(tell(t, "every "+c.every+"\non "+c.lasts+" sh=4 swing=2.2/85s noise=0.2"), nil, Options{})
		if len(windows) < 2 {
			t.Errorf("every %s: %d windows, want at least 2", c.every, len(windows))
			continue
		}
		for i, w := range windows {
			mean, within := w.Mean[cycle.Superheat], 0.25
			if !c.seen {
				within = 3 * w.Spread[cycle.Superheat]
			}
			if !(math.Abs(mean-4) < within) {
				t.Errorf("every %s, window %d: %.2f, want 4 within %.2f", c.every, i, mean, within)
			}
			if w.SD[cycle.Superheat] < 0.5 {
				t.Errorf("every %s: a window scatters by %.2f K only; the valve swings", c.every, w.SD[cycle.Superheat])
			}
		}
	}
}
