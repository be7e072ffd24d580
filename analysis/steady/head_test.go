package steady

import (
	"math"
	"testing"
	"time"

	"rimelog/analysis/cycle"
)

// Superheat a minute apart that settles after a start as e^(-t/80 s) (a probe on a suction
// line behind a valve that opens, start-up of a laboratory heat pump), known to scatter by
// 0.05 K: a first value 0.8 K off the others is left out, one 0.2 K off stays, and so does
// one of a machine that scatters by a kelvin.
func TestFirstValuesAfterAStart(t *testing.T) {
	var o Options
	o.EnsureDefaults()
	for _, tc := range []struct {
		off, scatter float64
		first        int
	}{{0.8, 0.05, 1}, {0.2, 0.05, 0}, {0.8, 1, 0}} {
		c := &cycle.Columns{}
		for i := range 6 {
			c.Time = append(c.Time, int64(i)*time.Minute.Microseconds())
			at := float64(i)
			c.Values[cycle.Superheat] = append(c.Values[cycle.Superheat], 8+tc.off*math.Exp(-at*60/80))
		}
		b := evenBins(c, rows{0, 6}, time.Minute.Microseconds(), o, newScratch())
		b.limits, b.before = o.Limits.all(), &noise{}
		for k := range b.before.usual {
			b.before.usual[k], b.before.calm[k] = math.NaN(), math.NaN()
			if b.limits[k].quantity == cycle.Superheat {
				b.before.usual[k], b.before.calm[k] = tc.scatter, tc.scatter
			}
		}
		w, _ := b.window(0, 6*time.Minute.Microseconds())
		w = b.pastHead(w, 6*time.Minute.Microseconds())
		if w == nil || w.Start != c.Time[tc.first] {
			t.Errorf("%v K off, scatter %v K: window %+v, want from sample %d", tc.off, tc.scatter, w, tc.first)
		}
	}
}
