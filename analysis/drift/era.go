package drift

import (
	"math"
	"time"

	"rimelog/pipeline/register"
)

// resets are when events that reset came, years since a start.
func resets(events []register.Event, start time.Time) (out []float64) {
	for _, e := range events {
		if e.Kind.Resets() {
			out = append(out, float64(e.Time.Sub(start))/year)
		}
	}
	return out
}

// eras lets each event that resets set the level anew, and each that ends a fault
// leave a slope of its own before it. Events without a visit between them share a level.
func (tr *track) eras(g gauge, points []*point, past history) {
	var from time.Time
	first, col := -1, -1
	for _, e := range past.events {
		if !e.Kind.Resets() {
			continue
		}
		spared := past.spares(e, g.column)
		if spared && e.Kind == register.CoilCleaned {
			tr.added = append(tr.added, -1)
			continue
		}
		if k := firstFrom(points, e.Time); k != first {
			first, col = k, tr.anew(g.moved(e.Kind), k)
		}
		tr.added = append(tr.added, col)
		if first > 0 && g.voids(e.Kind) && !spared {
			tr.ramps(g, firstFrom(points, from), first, float64(e.Time.Sub(points[0].at))/year)
			from = e.Time
		}
	}
}

// rampsTried is how many onsets a fault may have had that somebody put right.
const rampsTried = 3

// ramps lets a gauge have moved before an act that put a fault right, from some onset on. A
// coil is again what it was; of anything else its step at the act tells where it stands.
func (tr *track) ramps(g gauge, from, to int, act float64) {
	last := -1
	for r := range rampsTried {
		k := from + r*(to-from)/rampsTried
		if k == last || k >= to || r > 0 && to-k < betweenBends {
			continue
		}
		last = k
		tr.add(normal{0, slopeBefore}, func(i int) float64 {
			ramp := math.Max(0, tr.t[i]-tr.t[k])
			if g.coil == nil {
				ramp -= tr.t[0] + act - tr.t[k]
			}
			return is(i < to) * ramp
		})
	}
}

// firstFrom is the first point from a time on; how many there are where none is.
func firstFrom(points []*point, at time.Time) int {
	k := 0
	for k < len(points) && points[k].at.Before(at) {
		k++
	}
	return k
}

// anew lets the level change at a value; it returns the column, -1 where the record does
// not go on both sides of it.
func (tr *track) anew(sd float64, k int) int {
	if k == 0 {
		return -1
	}
	before := len(tr.belief.Columns)
	tr.add(normal{0, sd}, func(i int) float64 { return is(i >= k) })
	if len(tr.belief.Columns) == before {
		return -1
	}
	return before
}

// slopeBefore is how steep a fault may have been that somebody put right, K a year.
const slopeBefore = 4.0
