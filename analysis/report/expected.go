package report

import (
	"math"
	"slices"

	"rimelog/analysis/say"
	"rimelog/pipeline/table"
)

// A machine with too few visits for a trend is held against its baseline: what its own
// visits and systems like it let expect. That says whether a reading is odd, never whether
// anything changed.

// expected is what a feature should have read at a visit, by the table baselines; ok is
// false where that says nothing: of a machine that may not be well, of visits before the
// last that the baseline was made of, of temperatures that it has not seen.
func (s System) expected(f feature, visit table.Visit) (b table.Baseline, level float64, ok bool) {
	i := slices.IndexFunc(s.Baselines, func(b table.Baseline) bool { return b.Feature == f.column })
	if i < 0 {
		return b, math.NaN(), false
	}
	b = s.Baselines[i]
	level = b.Level
	if at := b.PerOutdoor * (visit.OutdoorTemp - b.OutdoorRef); !math.IsNaN(at) {
		level += at
	}
	seen := math.IsNaN(visit.OutdoorTemp) || visit.OutdoorTemp >= b.OutdoorLo-nearEnough && visit.OutdoorTemp <= b.OutdoorHi+nearEnough
	return b, level, b.Healthy && seen && ownShare(b) <= mostOwn && !visit.Start.Before(b.Until)
}

// ownShare is the weight of one visit in a baseline's level, and mostOwn the largest with
// which a reading may be held against it: beyond, it would be held against itself.
func ownShare(b table.Baseline) float64 { return b.OwnWeight / float64(max(b.Visits, 1)) }

const mostOwn = 0.5

// nearEnough is how far beyond the temperatures that a baseline has seen its slope still
// holds, K; common practice, no source.
const nearEnough = 5

// apart is the standard uncertainty of a reading's distance from a baseline that it is
// itself a part of. With n visits that scatter by s about a level which the visits hold
// with the weight w and the prior with the rest, the distance of one of them varies by
// s²(1 - w/n): the law of variances for the pooled mean of Gelman & Hill (2007), chapter
// 12, whose w makes the prior's variance w·s²/(n(1-w)). What is wrong with the instruments,
// u, is in the visits alike, and stands against the prior's part alone.
func apart(b table.Baseline, u float64) float64 {
	v := b.Scatter * b.Scatter * (1 - ownShare(b))
	if !math.IsNaN(u) {
		v += (1 - b.OwnWeight) * (1 - b.OwnWeight) * u * u
	}
	return math.Sqrt(v)
}

// distance is how far a reading lies from what is expected of it, about 95 %; ok is false
// where nothing is expected.
func (s System) distance(f feature, visit table.Visit) (off, lo, hi float64, ok bool) {
	value, u := f.value(&visit)
	b, level, ok := s.expected(f, visit)
	off, u = value-level, apart(b, u)
	return off, off - 2*u, off + 2*u, ok && !math.IsNaN(off+u)
}

// hold puts a reading beside what is expected of it.
func (s System) hold(r *readingRow, f feature, visit table.Visit, scale float64) {
	off, lo, hi, ok := s.distance(f, visit)
	if !ok {
		return
	}
	b, level, _ := s.expected(f, visit)
	r.Usual = s.say.Uncertain(say.Difference, level, (hi-lo)/4, 1)
	r.Change, r.Interval, r.Wire = s.say.Change(say.Difference, off, 1), s.say.ChangeBetween(say.Difference, lo, hi, 1, ""), wire(off, lo, hi, scale)
	r.Visits = s.say.Count(int(b.Visits), "visit")
	verdict, like := say.Text("Not as expected from its own visits and from %s. %s"), say.Text("systems like it")
	if lo <= 0 && hi >= 0 {
		verdict = "As expected from its own visits and from %s. %s"
	}
	if b.Prior == "" {
		like = "what is usual in the trade"
	}
	r.Verdict = s.say.Text(verdict, s.say.Text(like), r.Verdict)
}
