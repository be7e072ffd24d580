package chart

import "math"

// extent is the smallest range that holds what it was shown. The zero value holds nothing.
type extent struct {
	lo, hi float64
	any    bool
}

// show widens the range so that it holds the values; what is not a number is ignored.
func (e *extent) show(values ...float64) {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			continue
		}
		if !e.any {
			e.lo, e.hi, e.any = v, v, true
		}
		e.lo, e.hi = min(e.lo, v), max(e.hi, v)
	}
}

// minWidth is the least that an axis spans: what differs by a few tenths should
// look like it.
const minWidth = 2

// round returns the range widened to round figures, and their step: 1, 2 or 5
// times a power of ten, about five steps. A band may not touch the edge, for a
// chart does not widen its axis for bands itself; what is nowhere below zero begins at
// zero at the lowest.
func (e extent) round() (lo, hi, step float64) {
	if !e.any {
		return 0, 1, 0.2
	}
	above := e.lo >= 0
	if spare := minWidth - (e.hi - e.lo); spare > 0 {
		e.lo, e.hi = e.lo-spare/2, e.hi+spare/2
	}
	width := e.hi - e.lo
	step = math.Pow(10, math.Floor(math.Log10(width/6)))
	for _, m := range []float64{1, 2, 5, 10} {
		if width/(step*m) <= 6 {
			step *= m
			break
		}
	}
	lo = math.Floor((e.lo-0.02*width)/step) * step
	hi = math.Ceil((e.hi+0.02*width)/step) * step
	if above {
		lo = max(lo, 0)
	}
	return lo, hi, step
}

// decades returns the figures 1, 2 and 5 times powers of ten within a range above
// zero that is widened to the nearest of them: the labels of a logarithmic axis.
func (e extent) decades() []float64 {
	if !e.any || e.lo <= 0 {
		return []float64{1, 2, 5, 10}
	}
	var ticks []float64
	for p := math.Pow(10, math.Floor(math.Log10(e.lo))); p <= 10*e.hi; p *= 10 {
		ticks = append(ticks, p, 2*p, 5*p)
	}
	for len(ticks) > 2 && ticks[1] <= e.lo {
		ticks = ticks[1:]
	}
	for n := len(ticks); n > 2 && ticks[n-2] >= e.hi; n = len(ticks) {
		ticks = ticks[:n-1]
	}
	return ticks
}
