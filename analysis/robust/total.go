package robust

import (
	"cmp"
	"math"
	"slices"
)

// A Total is a sum of columns times their coefficients, as each way of a mixture tells it. Where
// ways lie apart it has more than one hill, and long tails: a mean and its standard uncertainty
// say less of it than its quantiles.
type Total struct {
	of     []told
	widen  func(level float64) float64 // Student's factor over the normal one
	lo, hi float64                     // beyond which next to nothing lies
}

// told is what a way tells.
type told struct{ weight, value, u float64 }

// leastTold is the weight of a way that is left out of a total.
const leastTold = 1e-5

// Total is a sum of columns times their coefficients, with a further standard uncertainty
// that all ways share.
func (x *Mixture) Total(times []float64, doubt float64) Total {
	t := Total{lo: math.Inf(1), hi: math.Inf(-1), widen: func(level float64) float64 { return Student(level, x.DF) / Student(level, math.MaxInt32) }}
	for _, w := range x.ways {
		if w.weight < leastTold {
			continue
		}
		value, variance := w.sum(times)
		u := math.Sqrt(variance + doubt*doubt)
		t.of = append(t.of, told{w.weight, value, u})
		t.lo, t.hi = math.Min(t.lo, value-10*u), math.Max(t.hi, value+10*u)
	}
	slices.SortFunc(t.of, func(a, b told) int { return cmp.Compare(a.weight, b.weight) }) // small ones first: sums lose least
	return t
}

// below is the share of a total that lies below a value.
func (t Total) below(value float64) float64 {
	var share, all float64
	for _, w := range t.of {
		share, all = share+w.weight*0.5*math.Erfc((w.value-value)/(w.u*math.Sqrt2)), all+w.weight
	}
	return share / all
}

// Quantile is the value below which a share of the total lies, by halving.
func (t Total) Quantile(share float64) float64 {
	lo, hi := t.lo, t.hi
	for range 60 {
		if mid := (lo + hi) / 2; t.below(mid) < share {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// Interval is the one with as much of the total below it as above it, and its median. It is
// as much wider than the quantiles as Student's is than a normal one.
func (t Total) Interval(level float64) (lo, median, hi float64) {
	median = t.Quantile(0.5)
	by := t.widen(level)
	return median - by*(median-t.Quantile((1-level)/2)), median, median + by*(t.Quantile((1+level)/2)-median)
}
