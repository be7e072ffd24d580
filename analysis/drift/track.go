package drift

import (
	"math"
	"slices"
	"time"

	"rimelog/analysis/robust"
)

// A track is the record of one gauge, ready to be asked about changes.
type track struct {
	t       []float64 // years since the record's first point
	belief  robust.Belief
	fit     *robust.Estimate
	added   []int             // the column of each event that reset; -1 where it is in none
	hidden  []stretch         // when all there was to lose was used up
	held    []bool            // by value: something else holds it, so that no fault moves it; nil: nothing does
	full    float64           // of a coil: the difference that units are of, K
	banded  bool              // fans hold the condensing pressure up, as reckoned with
	unit    []float64         // by value: how far it moves for one that usual ones move by 1; nil: as far
	share   []float64         // by value: what shows of a change of the condensing pressure itself; nil: all
	unsure  []float64         // by value: standard uncertainty of what it was reckoned from in place of what was not logged
	sure    []float64         // by value: what it counts, 1 at most
	weather []float64         // by value: how warm it is outdoors, per 10 K above 15 °C; 0 where nobody knows
	fills   bool              // additions fill it up to where it stood
	since   int               // the first column of what acts changed
	follows int               // the first column of what the gauge does not follow
	filled  float64           // when refrigerant was first added
	spare   []float64         // the columns of four changes
	space   *robust.Workspace // until the next diagnosis
}

// blank is a column of zeros.
func (tr *track) blank() []float64 { return tr.space.Take(len(tr.t)) }

// leastTrack is how many values a track needs.
const leastTrack = 4

// usualColumns is how many columns most tracks do with.
const usualColumns = 16

// newTrack puts a gauge's record together; not ok where there is too little of it.
func newTrack(g gauge, all []point, past history, start time.Time, held band, space, keep *robust.Workspace) (track, bool) {
	tr := track{space: keep}
	points := known(g, all)
	if len(points) < g.least() {
		return tr, false
	}
	tr.belief = robust.Belief{Wild: wildShare, WildSD: g.wild, Scatter: g.scatter, ScatterWeight: g.scatterCounts(), Space: space, Keep: keep}
	tr.t = keep.Take(len(points))
	tr.belief.Columns = make([][]float64, 0, usualColumns)
	tr.belief.Mean, tr.belief.SD = keep.Take(usualColumns)[:0], keep.Take(usualColumns)[:0]
	tr.belief.Y, tr.unsure, tr.weather = tr.blank(), tr.blank(), tr.blank()
	for i, p := range points {
		if !math.IsNaN(p.outdoor) {
			tr.weather[i] = (p.outdoor - 15) / 10
		}
		tr.unsure[i] = g.sways() * p.weather
		if g.column == EvaporatorTD {
			tr.unsure[i] = math.Hypot(tr.unsure[i], p.guessed)
		}
		tr.t[i], tr.belief.Y[i] = float64(p.at.Sub(start))/year, g.of(p)
	}
	level := g.level
	if g.coil != nil {
		tr.exchange(g.coil.in(held), g, points)
		level.mean = 0
	}
	tr.add(level, func(int) float64 { return 1 })
	for _, f := range g.follows {
		tr.follow(f, points)
	}
	tr.follows = len(tr.belief.Columns)
	if g.coil != nil {
		tr.passes(g.coil, points)
	}
	middle := (tr.t[0] + tr.t[len(tr.t)-1]) / 2
	tr.plainly(normal{0, g.ages(points)}, func(i int) float64 { return tr.t[i] - middle })
	tr.instruments(g, points)
	tr.fills, tr.since = g.column == Subcooling, len(tr.belief.Columns)
	tr.eras(g, points, past)
	tr.bend()
	tr.believe(g.scatter)
	switch g.column {
	case Subcooling:
		tr.belief.AtMost = upTo(spent, tr.belief.Y) // in mild weather more of the charge is elsewhere
		tr.usedUp(spent, resets(past.events, start))
	case Level:
		tr.usedUp(empty, resets(past.events, start))
	}
	var err error
	tr.fit, err = tr.belief.Fit()
	tr.spare = keep.Take(4 * len(tr.t))
	return tr, err == nil
}

// wildShare is how many visits are believed to be wild.
const wildShare = 0.1

// add gives the belief another column of what moves the gauge, if it says anything.
func (tr *track) add(believed normal, of func(i int) float64) {
	tr.plainly(believed, func(i int) float64 { return of(i) * tr.per(i) })
}

// per is how far the gauge moves at a value for one that usual ones move by 1.
func (tr *track) per(i int) float64 {
	if tr.unit == nil {
		return 1
	}
	return tr.unit[i]
}

// believe lets values count less that were reckoned without what was not logged.
func (tr *track) believe(scatter float64) {
	tr.sure = tr.blank()
	for i, u := range tr.unsure {
		tr.sure[i] = scatter / math.Hypot(scatter, u)
		tr.belief.Y[i] *= tr.sure[i]
	}
	for _, cols := range [][][]float64{tr.belief.Columns, tr.belief.Bend} {
		for _, col := range cols {
			for i := range col {
				col[i] *= tr.sure[i]
			}
		}
	}
}

// plainly gives the belief another column, of what instruments show, if it says anything.
func (tr *track) plainly(believed normal, of func(i int) float64) {
	col := tr.blank()
	varies := len(tr.belief.Columns) == 0
	for i := range col {
		col[i] = of(i)
		varies = varies || col[i] != col[0]
	}
	if varies {
		tr.belief.Columns = append(tr.belief.Columns, col)
		tr.belief.Mean, tr.belief.SD = append(tr.belief.Mean, believed.mean), append(tr.belief.SD, believed.sd)
	}
}

// instruments gives each set its own offset, within what it is known to err by; where it
// measured the liquid in another place than the first one did, within what a lift makes.
func (tr *track) instruments(g gauge, points []*point) {
	s := series{set: make([]string, len(points))}
	for i, p := range points {
		s.set[i] = p.set
	}
	groups := s.groups()
	off := g.off(points)
	done := map[int]bool{}
	for first, k := range groups {
		if done[k] {
			continue
		}
		done[k] = true
		apart := g.lifted(s.set[0], s.set[first])
		tr.plainly(normal{0, math.Hypot(off, apart)}, func(i int) float64 { return is(groups[i] == k) })
	}
}

// level is the value in the middle of the record.
func (tr track) level() float64 {
	m, _ := robust.Median(tr.belief.Y)
	return m
}

// often is the value that is reached or passed three times.
func (tr track) often() float64 {
	sorted := slices.Sorted(slices.Values(tr.belief.Y))
	return sorted[max(0, len(sorted)-3)]
}

// healthy is the value in the middle of the record before an onset; of all of it where
// nothing lies before.
func (tr track) healthy(onset float64) float64 {
	n := 0
	for n < len(tr.t) && tr.t[n] <= onset {
		n++
	}
	if n < 2 {
		n = min(len(tr.t), leastTrack)
	}
	m, _ := robust.Median(tr.belief.Y[:n])
	return m
}

// latest is the value in the middle of the last three.
func (tr track) latest() float64 {
	m, _ := robust.Median(tr.belief.Y[max(0, len(tr.belief.Y)-3):])
	return m
}

// alike are the values as they would have been in like weather and at like load.
func (tr track) alike() []float64 {
	out := slices.Clone(tr.belief.Y)
	for k := 1; k < tr.follows; k++ {
		for i := range out {
			out[i] -= tr.fit.Coef[k] * tr.belief.Columns[k][i]
		}
	}
	for i := range out {
		out[i] /= tr.sure[i]
	}
	return out
}

// before is the value in the middle of the last two before a time; NaN where none lies before.
func (tr track) before(at float64) float64 {
	n := 0
	for n < len(tr.t) && tr.t[n] < at {
		n++
	}
	m, err := robust.Median(tr.belief.Y[max(0, n-2):n])
	if err != nil {
		return math.NaN()
	}
	return m
}

// bend lets the record bend every few visits while wild ones are found out: a fault
// must not look wild, and one wild visit must not look like a fault.
func (tr *track) bend() {
	last := 0
	for k := 2; k < len(tr.t)-2; k++ {
		if k-last < betweenBends || tr.t[k]-tr.t[last] < bendYears {
			continue
		}
		last = k
		col := tr.blank()
		for i := k; i < len(col); i++ {
			col[i] = (tr.t[i] - tr.t[k]) * tr.per(i)
		}
		tr.belief.Bend = append(tr.belief.Bend, col)
	}
	tr.belief.BendSD = slopeBefore
}

const (
	betweenBends = 3
	bendYears    = 0.15
)
