package steady

import (
	"math"
	"time"

	"rimelog/analysis/cycle"
)

// Signs of a defrost where the log has no state for it. By hot gas: the machine runs and
// the evaporator is warmer than the room. By reversal: it takes heat out of the water
// that it warms otherwise. By heaters: it stands, and the coil in a room below freezing is
// above 0 °C. Each for some minutes, in a machine that mostly does otherwise. Common
// practice, no source.
const (
	warmerThanRoom  = 3.0 // K, evaporating temperature above the medium
	coolsSink       = 0.5 // K, from inlet to outlet
	heatedCoil      = 5.0 // K above the medium, and above 0 °C
	shortestDefrost = time.Minute
	longestDefrost  = 45 * time.Minute
	mostDefrosting  = 0.25 // of the samples that tell
)

// A melting tells whether a sample has the sign of a defrost; known is whether it tells.
type melting func(i int) (melts, known bool)

// detectDefrosts marks samples that have the sign of a defrost; nil where none has.
func detectDefrosts(c *cycle.Columns, stays []Stay, on []bool) (out []bool) {
	for _, sign := range meltings(c, on) {
		for _, s := range stays {
			for _, r := range meltingRuns(c, s, sign) {
				if out == nil {
					out = make([]bool, c.Rows())
				}
				for i := r.from; i < r.to; i++ {
					out[i] = true
				}
			}
		}
	}
	return out
}

func meltings(c *cycle.Columns, on []bool) (signs []melting) {
	if c.Has(cycle.EvaporatorTD) {
		td, te, medium := c.Values[cycle.EvaporatorTD], c.Values[cycle.Evaporating], c.Values[cycle.EvaporatorMedium]
		signs = append(signs,
			func(i int) (bool, bool) { return td[i] < -warmerThanRoom, on[i] && !math.IsNaN(td[i]) },
			func(i int) (bool, bool) {
				return !on[i] && medium[i] < 0 && te[i] > 0 && td[i] < -heatedCoil, !math.IsNaN(td[i])
			})
	}
	if c.Has(cycle.SinkInlet) && c.Has(cycle.SinkOutlet) {
		in, out := c.Values[cycle.SinkInlet], c.Values[cycle.SinkOutlet]
		signs = append(signs, func(i int) (bool, bool) { return out[i] < in[i]-coolsSink, on[i] && !math.IsNaN(in[i]+out[i]) })
	}
	return signs
}

// meltingRuns are the stretches of a stay with the sign, where most of it has not.
func meltingRuns(c *cycle.Columns, s Stay, sign melting) (runs []rows) {
	hits, of, from := 0, 0, -1
	end := func(i int) {
		if from >= 0 {
			if lasts := c.Time[i-1] - c.Time[from]; lasts >= shortestDefrost.Microseconds() && lasts <= longestDefrost.Microseconds() {
				runs = append(runs, rows{from, i})
			}
		}
		from = -1
	}
	for i := s.from; i < s.to; i++ {
		melts, known := sign(i)
		if known {
			of++
		}
		if !known || !melts {
			end(i)
			continue
		}
		if hits++; from < 0 {
			from = i
		}
	}
	end(s.to)
	if float64(hits) > mostDefrosting*float64(of) {
		return nil
	}
	return runs
}
