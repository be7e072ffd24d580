package energy

import (
	"math"
	"slices"

	"rimelog/analysis/robust"
)

// What a part of the split was on a system's best days depends on the weather: a
// condenser's difference falls with the load. A day is held against days of like outdoor
// temperature only, and a gain is what the latest year lies above the best of these.

// Rules of the own best.
const (
	bestShare = 0.25 // of like days do better than the own best
	likeShare = 0.15 // of all days are like a day: those nearest in outdoor temperature
	leastLike = 20   // days, at least
	spell     = 15   // days in a row whose mean counts: the best quarter of mere scatter is nothing to restore
)

// ownBest is, for each day from one on, the size of a part on the system's best days of like
// outdoor temperature, days in time order; the best is the least where less is better. What
// stands for the days before it says nothing. Order is that of the days by outdoor temperature.
func ownBest(size, outdoor []float64, order []int, from int, lessIsBetter bool) []float64 {
	p := bestShare
	if !lessIsBetter {
		p = 1 - p
	}
	slope := slopeOver(size, outdoor)
	weather := make([]float64, len(size))
	for i, t := range outdoor {
		weather[i] = slope * t
	}
	usual := amongLike(minus(size, weather), likeDays(order, outdoor))
	for i := range weather {
		weather[i] += usual[i]
	}
	best := quantileAmongLike(spells(minus(size, weather)), likeDays(order, outdoor), from, p)
	for i := range best {
		best[i] += weather[i]
	}
	return best
}

// slopeOver is how sizes move with outdoor temperature, 1/K.
func slopeOver(size, outdoor []float64) float64 {
	one := make([]float64, len(size))
	for i := range one {
		one[i] = 1
	}
	f, err := robust.LeastSquares(size, one, outdoor)
	if err != nil {
		return 0
	}
	return f.Coefficients[1]
}

func minus(x, y []float64) []float64 {
	d := slices.Clone(x)
	for i := range d {
		d[i] -= y[i]
	}
	return d
}

// spells are the means of the days about each day.
func spells(x []float64) []float64 {
	out := make([]float64, len(x))
	for i := range x {
		out[i] = mean(x[max(0, i-spell/2):min(len(x), i+spell/2+1)])
	}
	return out
}

// amongLike is, for each day, the mean of a quantity on the days of like outdoor temperature,
// from sums of those before each in their order: days are like hundreds of others.
func amongLike(x []float64, l *likely) []float64 {
	sums, counts := make([]float64, len(x)+1), make([]float64, len(x)+1)
	for at, day := range l.order {
		sums[at+1], counts[at+1] = sums[at], counts[at]
		if finite(x[day]) {
			sums[at+1], counts[at+1] = sums[at+1]+x[day], counts[at+1]+1
		}
	}
	out := make([]float64, len(x))
	for at, day := range l.order {
		from := l.from(at)
		out[day] = (sums[l.to] - sums[from]) / (counts[l.to] - counts[from]) // 0/0 where there are none
	}
	return out
}

// quantileAmongLike is, for each day from one on, a quantile of a quantity on the days of
// like outdoor temperature.
func quantileAmongLike(x []float64, l *likely, from int, p float64) []float64 {
	out := make([]float64, len(x))
	var like robust.Sorted
	first, end := 0, 0 // of those in like
	for at, day := range l.order {
		since := l.from(at)
		for ; end < l.to; end++ {
			like.Add(x[l.order[end]])
		}
		for ; first < since; first++ {
			like.Remove(x[l.order[first]])
		}
		if day >= from {
			out[day] = like.Quantile(p)
		}
	}
	return out
}

// A likely walks through days by outdoor temperature, with those that are like each: the
// nearest in temperature, of two equally near the colder. From one day to the next they
// move upwards only.
type likely struct {
	outdoor []float64
	order   []int // of days, by outdoor temperature
	n       int   // how many are like a day
	to      int   // the end of those like the last day, in the order
}

func likeDays(order []int, outdoor []float64) *likely {
	return newLikely(order, outdoor, max(leastLike, int(likeShare*float64(len(outdoor)))))
}

// newLikely walks through days in the order of their outdoor temperature; n are like each, or
// all where they are fewer.
func newLikely(order []int, outdoor []float64, n int) *likely {
	n = min(n, len(order))
	return &likely{outdoor: outdoor, order: order, n: n, to: n}
}

// from is the first of those like the day at a place in the order; places must rise.
func (l *likely) from(at int) int {
	off := func(i int) float64 { return math.Abs(l.outdoor[l.order[i]] - l.outdoor[l.order[at]]) }
	for l.to < len(l.order) && (l.to <= at || off(l.to) < off(l.to-l.n)) {
		l.to++
	}
	return l.to - l.n
}
