package drift

import (
	"math"

	"rimelog/analysis/robust"
)

// A condenser that is flooded, or bypassed by a valve, holds its pressure at one value: below
// some outdoor temperature the condensing temperature follows the weather no more, and what
// the coil is like shows only where it would stand above that. A visit is a mean over some
// swing of the weather: the mean of max(held, t + D) with t in a logistic distribution of
// scale s about its mean is held + s log(1 + exp((t + D - held) / s)).

// swings are the scales that are tried, K: those of an hour or two and of days (common
// practice, no source).
func swings() []float64 { return []float64{0.4, 1, 2} }

// What a flooded condenser's pressure may be off: it falls a little the farther the condenser
// is flooded (common practice, no source).
const (
	heldSD     = 0.7  // K
	deeperSD   = 0.02 // K by K
	leastShown = 0.5  // of a coil's change, for a value to tell what the coil is like
	leastFree  = 4    // of such values, to find a flooded condenser
	lessMissed = 0.9  // of what fans miss, to be taken for one
)

// flooded tells whether a band is that of a flooded condenser, about one value.
func (b band) flooded() bool { return b.swing > 0 }

// holds tells whether a band is one at all.
func (b band) holds() bool { return b.width > 0 || b.flooded() }

// free is the share of a change of a flooded condenser's coil that shows.
func (b band) free(condensing float64) float64 {
	return -math.Expm1(-math.Max(0, condensing-b.middle) / b.swing)
}

// bare is the logarithm of the difference at which a flooded condenser would stand with
// nothing held; NaN where hardly any of it shows, or no more than readings of pressure err.
func (b band) bare(difference, condensing float64) float64 {
	if condensing < b.middle+pressureErrs {
		return math.NaN()
	}
	free := b.free(condensing)
	if free < leastShown {
		return math.NaN()
	}
	return math.Log(math.Max(leastDifference, difference+b.swing*math.Log(free)))
}

// stands is the difference at which a flooded condenser of a usual logarithm of its bare one
// stands against a medium.
func (b band) stands(usual, medium float64) float64 {
	return b.standing(math.Exp(usual), medium)
}

// standing is the same of one that stands at a difference bare.
func (b band) standing(bare, medium float64) float64 {
	above := medium + bare - b.middle
	return b.middle - medium + b.swing*logSum(0, above/b.swing)
}

// floodedOf finds the flooded condenser that explains a record best, held at one of some
// temperatures.
func floodedOf(held []float64, reverses bool, points []*point) (best band, least float64) {
	least = math.Inf(1)
	for _, swing := range swings() {
		for _, at := range held {
			b := band{middle: at, swing: swing, reverses: reverses}
			if m := b.floodedMisses(points, least); m < least {
				best, least = b, m
			}
		}
	}
	return best, least
}

// floodedMisses is by how much condensing temperatures lie off those of a flooded condenser,
// K; infinite where too few tell what its coil is like, or where it is seen to be no less than
// some limit.
func (b band) floodedMisses(points []*point, limit float64) float64 {
	open := make([]float64, 0, len(points))
	for _, p := range points {
		if o := b.bare(p.values[atCondenser], p.condensing); !math.IsNaN(o) {
			open = append(open, o)
		}
	}
	if len(open) < leastFree {
		return math.Inf(1)
	}
	usual, _ := robust.Median(open)
	sum, bare := 0.0, math.Exp(usual)
	for _, p := range points {
		off := p.values[atCondenser] - b.standing(bare, p.entering())
		if sum += math.Min(mostMissed, math.Abs(off)); sum >= limit {
			return math.Inf(1)
		}
	}
	return sum
}

// floods lets a track follow what is not known of a flooded condenser: the value held, and by
// how much it falls the farther it is flooded.
func (tr *track) floods(b band, points []*point, at []float64) {
	hides := func(i int) float64 {
		if b := b.at(points[i]); b.flooded() {
			return 1 - b.free(at[i])
		}
		return 0
	}
	tr.plainly(normal{0, heldSD}, hides)
	tr.plainly(normal{0, deeperSD}, func(i int) float64 {
		medium := points[i].entering()
		return hides(i) * math.Max(0, b.middle-tr.full-medium)
	})
}
