package cycle

import "math"

// A Budget is the uncertainty of a value as the sum of independent contributions, of
// which it keeps what the standard uncertainty and the shape of the sum need.
type Budget struct {
	variance float64
	fourth   float64 // fourth cumulant
}

// A shape is the distribution of a contribution, by its excess kurtosis.
type shape float64

// The shapes. Source: JCGM 101:2008, 6.4.
const (
	normal      shape = 0
	rectangular shape = -1.2
)

// UnknownBudget is that of a value nobody knows: its figures are NaN.
func UnknownBudget() Budget { return Budget{math.NaN(), math.NaN()} }

// add takes in a contribution by its standard uncertainty.
func (b *Budget) add(u float64, s shape) {
	b.variance += u * u
	b.fourth += float64(s) * u * u * u * u
}

// With is the budget with a further, normal contribution; NaN adds nothing.
func (b Budget) With(u float64) Budget {
	if !math.IsNaN(u) {
		b.add(u, normal)
	}
	return b
}

func sum(parts ...Budget) (all Budget) {
	for _, p := range parts {
		all.variance += p.variance
		all.fourth += p.fourth
	}
	return all
}

// Standard is the combined standard uncertainty (JCGM 100:2008, 5.1.2).
func (b Budget) Standard() float64 { return math.Sqrt(b.variance) }

// Half is half of the width of the interval that holds 95 % of the values. The
// coverage factor follows the shape of the sum (JCGM 101:2008, 7.7) by its excess
// kurtosis: 1.96 for a normal one, 1.90 for two equal rectangular parts, 1.65 for one.
// A parabola through these; within 2 % of 100 000 draws for any mixture of the two.
func (b Budget) Half() float64 {
	if b.variance == 0 {
		return 0
	}
	k := b.fourth / (b.variance * b.variance)
	return (1.96 - 0.0692*k - 0.2764*k*k) * b.Standard()
}
