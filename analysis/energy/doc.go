// Package energy compares what systems use with what they give, like with like.
//
//  1. A State is the mean of a window; Window works out the coefficient of
//     performance (COP) by each Route that the channels allow, with its standard
//     uncertainty, its boundary, and the fractions of Carnot's.
//  2. Hours adds up electricity and heat by the hour from counters or from power.
//     A gap is a gap: no kilowatt-hour is made up over it, and a counter that was
//     reset, rolled over or ran backwards is told apart.
//  3. Days puts windows and hours together by the site's calendar.
//     Before a COP rests on the discharge gas, the gas is let settle: after a start
//     the compressor's shell takes its heat for a quarter of an hour (settle.go). Of
//     samples too far apart to show starts only what has settled is taken (rest.go).
//  4. Seasons sorts windows into bins of outdoor temperature; where electricity went by
//     without a COP, the lift tells it (demand.go). Compare holds two
//     seasons against each other in their common bins only; Seasonal gives
//     EN 14825's seasonal figure, from declared points or from field bins.
//  5. Fit finds a change-point model, or a parabola, of daily electricity over outdoor
//     temperature, which tells whether the days can carry a saving; Save tells the
//     effect of an event from the days before and after it together (effect.go), and
//     states what it avoided, with intervals, or why nothing can be said. Days on which
//     the machine stood in weather in which it mostly runs tell nothing (standstill.go).
//     Where heat comes from the ground, how warm that was counts as well (ground.go).
//  6. Losses splits the electricity between the least that Carnot asks for and
//     what was used; Rank orders systems of one group and says which cannot be
//     told apart.
//  7. Flags finds readings that cannot be true; they are listed, never averaged.
//     Disputes says on which days routes disagree beyond their doubt.
//
// The opinion behind it: raw kilowatt-hours compare weather, not machines. A COP
// without its boundary is no figure, and figures of different boundaries or routes
// are never compared, pooled or ranked together. Electric power is what is
// measured best; heat is not, so most of the doubt of a COP is that of the heat,
// and it is the same on every day with the same instruments: it counts between
// systems and cancels between seasons.
package energy

import "math"

// Modes of running: what the system is for at the moment.
const (
	Cooling = "cooling"
	Heating = "heating"
)

// confidence of the intervals in tables, two-sided, and the normal quantile for it.
const (
	Confidence = 0.90
	z90        = 1.6448536269514722
)

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
