package drift

import (
	"maps"

	"rimelog/pipeline/register"
)

// Standstill is the gauge of the machine at rest: by how much its high pressure lies above
// saturation at the temperature of the liquid beside it. Over liquid a pure refrigerant has
// the pressure of its temperature, however much of it is left: a loss shows only once the
// liquid is gone, when next to nothing is left, and until then this gauge says nothing for or
// against one. Gas that does not condense adds its own pressure by Dalton's law, whatever
// fans, load and weather make of the running machine.
const Standstill = "standstill_excess_k"

// atStandstill is the gauge. A few minutes before the start bring the sides to rest within
// half a kelvin (common practice, no source); a pressure sensor's zero is off by set.
func atStandstill() gauge {
	return gauge{
		column: Standstill, of: func(p *point) float64 { return p.atRest }, doubt: func(p *point) float64 { return p.doubts[atSubcooling] },
		level: normal{0, 0.5}, scatter: 0.5, wild: 6, drifts: instrumentDrift,
		voids: letsOut,
	}
}

// letsOut tells which acts let gas out.
var letsOut = oneOf(register.Recovered, register.Repaired, register.PartChanged, register.Install, register.Retrofit)

// aired is how far an act may move the standstill pressure, K: gas comes in or is let out.
const aired = 3.0

// rested adds to faults how each moves the standstill pressure. The slope of saturation is
// flatter at rest than while the machine condenses, so that gas shows half as far again.
func rested(list []fault) []fault {
	for i := range list {
		f := &list[i]
		f.moves = maps.Clone(f.moves)
		switch f.kind {
		case Gas:
			f.moves[Standstill] = tells(4, 3.5, 1, 0.1)
		case ChargeLoss:
			f.moves[Standstill] = tells(-6, 4, -1, untilGone)
		case Unclear:
			f.moves[Standstill] = tells(0, f.moves[Subcooling].sd, 0, 0.6)
		default:
			f.moves[Standstill] = speaks(0, 0.7, 0, 0.7)
		}
	}
	return list
}

// untilGone is how often a loss leaves liquid standing.
const untilGone = 0.98
