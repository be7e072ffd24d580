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
// stands for the days before it says nothing.
func ownBest(size, outdoor []float64, from int, lessIsBetter bool) []float64 {
	p := bestShare
	if !lessIsBetter {
		p = 1 - p
	}
	good := func(like []float64) float64 { return quartile(like, p) }
	slope := slopeOver(size, outdoor)
	weather := make([]float64, len(size))
	for i, t := range outdoor {
		weather[i] = slope * t
	}
	usual := amongLike(minus(size, weather), outdoor, 0, mean)
	for i := range weather {
		weather[i] += usual[i]
	}
	best := amongLike(spells(minus(size, weather)), outdoor, from, good)
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

// amongLike is, for each day from one on, a figure of a quantity's values on the days of like
// outdoor temperature.
func amongLike(x, outdoor []float64, from int, figure func([]float64) float64) []float64 {
	out := make([]float64, len(x))
	order := robust.Order(outdoor)
	var like []float64
	for at, day := range order {
		if day < from {
			continue
		}
		like = like[:0]
		for _, d := range nearest(order, outdoor, at, max(leastLike, int(likeShare*float64(len(x))))) {
			like = append(like, x[d])
		}
		out[day] = figure(like)
	}
	return out
}

// nearest are n days about a place in the order of outdoor temperature, those nearest to it.
func nearest(order []int, outdoor []float64, at, n int) []int {
	from, to := at, at+1
	off := func(i int) float64 { return math.Abs(outdoor[order[i]] - outdoor[order[at]]) }
	for to-from < min(n, len(order)) {
		if to == len(order) || from > 0 && off(from-1) <= off(to) {
			from--
		} else {
			to++
		}
	}
	return order[from:to]
}
