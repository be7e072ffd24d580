package cycle

import (
	"math"

	"rimelog/pipeline/register"
)

// onCoil is how near the evaporating temperature a probe shows the coil and not the air.
const onCoil = 2.5 // K, common practice, no source

// frozen is the evaporating temperature below which a room's air conditioner does
// not cool: frost protection stops it (common practice, no source).
const frozen = -3.0

// Reverses tells whether a machine of this kind may heat what it cools otherwise.
func (c *Circuit) Reverses() bool { return c.System.Kind == register.AirConditioning }

// Reversed tells whether an air conditioner heated the room, by a row of means of the
// running machine: by the room's air across its coil, or by an evaporating temperature
// that no cooling has. Machines of other kinds never do.
func (c *Circuit) Reversed(row *Row) bool {
	if !c.Reverses() {
		return false
	}
	if on, off := row[EvaporatorAirOn], row[EvaporatorAirOff]; on == on && off == off {
		return off > on+1 && math.Abs(on-row[Evaporating]) > onCoil
	}
	return row[Evaporating] < frozen && row[Evaporating] < row[OutdoorTemp]
}
