package steady

import (
	"math"
	"sort"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
	"rimelog/pipeline/table"
)

// Where a permanent logger's samples are further apart than pressures need to settle, a run
// of the compressor holds one or two of them, and a run may end and the next begin between
// two that are both running. Such a day is judged by its single samples: each is at rest if
// its saturation temperatures, and the discharge temperature, are what they are in the
// middle of the hours around it. Pressures settle within minutes and the discharge line
// within a quarter of an hour, so that a sample soon after a start lies off that; one that
// averages over a start or a stop shows it in power (common practice, no source).
const (
	singlesNear   = 2 * time.Hour    // before and after
	singlesLevel  = 2.0              // K of saturation temperatures about the middle
	singlesCooler = 4.0              // K of discharge temperature below it
	singlesWarm   = 20 * time.Minute // of running before the discharge temperature counts
	fewestNear    = 3                // samples in whose middle one lies
	fewestSingles = 6                // of a day
	singlesCoarse = time.Hour        // beyond it, the hours around show nothing
)

// pools tells whether a stay is a day that is judged by single samples.
func (s *Stay) pools(dt int64, o Options) bool {
	return s.Day && dt >= o.Settle.Microseconds() && dt <= singlesCoarse.Microseconds()
}

// singles is the day's samples at rest as one window; nil where they are too few.
func (s *Stay) singles(c *cycle.Columns) *Window {
	ran := s.ran(c)
	var rest []int
	for k := range ran {
		if s.rests(c, ran, k) {
			rest = append(rest, ran[k])
		}
	}
	if len(rest) < fewestSingles {
		return nil
	}
	w := blank(c, rows{rest[0], rest[len(rest)-1] + 1})
	w.Grade, w.By, w.Samples = Singles, s.By, len(rest)
	warm := s.warm(c, rest)
	for q := cycle.Quantity(0); q < cycle.Quantities; q++ {
		if q == cycle.DischargeTemp || q == cycle.DischargeSuperheat {
			w.pool(c, warm, q)
		} else {
			w.pool(c, rest, q)
		}
	}
	return w
}

// pool takes mean and spread of a quantity over single samples. One with gaps in more than
// half of them has none.
func (w *Window) pool(c *cycle.Columns, some []int, q cycle.Quantity) {
	if !c.Has(q) || len(some) < fewestSingles {
		return
	}
	values := make([]float64, len(some))
	for i, row := range some {
		values[i] = c.Values[q][row]
	}
	if mean, sd, n, err := robust.Mean(values); err == nil && 2*n >= len(some) {
		w.Mean[q], w.SD[q], w.Spread[q] = mean, sd, sd/math.Sqrt(float64(n))
	}
}

// warm are those of some samples before which the machine had run for so long that the
// discharge line was as warm as it gets.
func (s *Stay) warm(c *cycle.Columns, some []int) (out []int) {
	for _, i := range some {
		k := i
		for k > s.from && s.on[k-1] && c.Time[i]-c.Time[k] < singlesWarm.Microseconds() {
			k--
		}
		if c.Time[i]-c.Time[k] >= singlesWarm.Microseconds() {
			out = append(out, i)
		}
	}
	return out
}

// ran lists the rows of a stay at which the machine ran and nothing else went on.
func (s *Stay) ran(c *cycle.Columns) (out []int) {
	for i := s.from; i < s.to; i++ {
		if s.on[i] && !inAir(c, i) && (s.states[i] == running || s.states[i] == starting || s.states[i] == off) {
			out = append(out, i)
		}
	}
	return out
}

// rests tells whether one of the samples that ran is at rest, by those around it.
func (s *Stay) rests(c *cycle.Columns, ran []int, k int) bool {
	i := ran[k]
	near := around(c.Time, ran, c.Time[i])
	if len(near) < fewestNear {
		return false
	}
	off := func(q cycle.Quantity) float64 {
		x := make([]float64, len(near))
		for n, row := range near {
			x[n] = c.At(q, row)
		}
		middle, _ := robust.Median(x)
		return c.At(q, i) - middle
	}
	if !(math.Abs(off(cycle.Evaporating)) <= singlesLevel && math.Abs(off(cycle.Condensing)) <= singlesLevel) || off(cycle.DischargeTemp) < -singlesCooler {
		return false
	}
	edge := i == s.from || !s.on[i-1] || i+1 == s.to || !s.on[i+1]
	power := off(cycle.Power)
	return !edge || !(math.Abs(power) > likePower*(c.At(cycle.Power, i)-power))
}

// around are the samples of some, in time order, that lie near a time.
func around(t []int64, some []int, at int64) []int {
	near := singlesNear.Microseconds()
	from := sort.Search(len(some), func(k int) bool { return t[some[k]] >= at-near })
	to := sort.Search(len(some), func(k int) bool { return t[some[k]] > at+near })
	return some[from:to]
}

// pooledOf are the windows of single samples among some.
func pooledOf(windows []table.Window) (out []table.Window) {
	for _, w := range windows {
		if Grade(w.Grade) == Singles {
			out = append(out, w)
		}
	}
	return out
}
