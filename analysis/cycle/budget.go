package cycle

import "math"

// A Budget is the uncertainty of a value as the sum of independent contributions, of
// which it keeps what the standard uncertainty and the shape of the sum need.
type Budget struct {
	variance float64
	fourth   float64 // fourth cumulant
	slip     float64 // what a clamp that sits badly adds, in the value's unit: no part of the standard uncertainty
}

// A shape is the distribution of a contribution, by its excess kurtosis.
type shape float64

// The shapes. Source: JCGM 101:2008, 6.4.
const (
	normal      shape = 0
	rectangular shape = -1.2
)

// UnknownBudget is that of a value nobody knows: its figures are NaN.
func UnknownBudget() Budget { return Budget{math.NaN(), math.NaN(), 0} }

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
		all.slip += p.slip
	}
	return all
}

// Standard is the combined standard uncertainty (JCGM 100:2008, 5.1.2).
func (b Budget) Standard() float64 { return math.Sqrt(b.variance) }

// Gross errors: a valve of the hose that is half closed, a probe in the sun, a wrong line in a
// list. No instrument's paper knows of them. They are a share of 1 to 10 % of routine data
// (Hampel, Ronchetti, Rousseeuw and Stahel, Robust Statistics, 1986, 1.2c; from memory); what
// is far off was seen and left out, so that the lower end of it is taken: over invented fleets
// 1.7 to 4.8 % of visits were off by what nobody had seen.
const gross = 1.0 / 40

// confidence of intervals.
const confidence = 0.95

// Half is half of the width of the interval that holds the true value in 95 of 100 cases,
// gross errors among them: of what the budget knows of, it holds as many more.
func (b Budget) Half() float64 { return b.within(confidence/(1-gross), usualCover) }

// usualCover is that of Half, which every window asks for several times.
var usualCover = coverOf(confidence / (1 - gross))

// Holding is half of the width of the interval that holds a share of the values that the
// budget knows of, those of clamps that sit badly among them: where few of these lie within
// it, it holds more of the others.
func (b Budget) Holding(share float64) float64 { return b.within(share, coverOf(share)) }

// within is Holding, by the cover of the share.
func (b Budget) within(share float64, c cover) float64 {
	half := b.holding(c)
	if !(b.slip > leastSlip*b.Standard()) {
		return half
	}
	off := math.Hypot(b.Standard(), slipSpread*b.slip)
	for range slipSteps {
		half = b.holding(coverOf(min(mostHeld, (share-sitsBadly*inside(half, b.slip, off))/(1-sitsBadly))))
	}
	return half
}

// leastSlip is below which share of the standard uncertainty a slip moves nothing. slipSteps is
// after how many steps the share of the others stands still, to 1 in 2000: each moves it by what
// lies between two intervals of the few that are off. No more than mostHeld of the others is
// held: of an interval that grows without end for the rarest of them nobody has anything.
const (
	leastSlip = 0.5
	slipSteps = 2
	mostHeld  = 0.985
)

// inside is the share of normal values about a mean that lie no further than half from zero.
func inside(half, mean, sd float64) float64 {
	return (math.Erf((half-mean)/sd/math.Sqrt2) + math.Erf((half+mean)/sd/math.Sqrt2)) / 2
}

// A cover is the coverage factors of a share for a normal distribution, the sum of two equal
// rectangular ones, and one.
type cover struct{ round, triangle, box float64 }

func coverOf(share float64) cover {
	return cover{math.Sqrt2 * math.Erfinv(share), math.Sqrt(6) * (1 - math.Sqrt(1-share)), math.Sqrt(3) * share}
}

// holding is Holding of clamps that sit well. The coverage factor follows the shape of the
// sum (JCGM 101:2008, 7.7) by its excess kurtosis: that of a normal one, of two equal
// rectangular parts, of one; 1.96, 1.90 and 1.65 for 95 %. A parabola through these; within
// 2 % of 100 000 draws for any mixture of the two.
func (b Budget) holding(c cover) float64 {
	if b.variance == 0 {
		return 0
	}
	k := b.fourth / (b.variance * b.variance) / float64(rectangular) // 0, 1/2 and 1
	return (c.round + k*(4*c.triangle-3*c.round-c.box) + 2*k*k*(c.round-2*c.triangle+c.box)) * b.Standard()
}
