package cycle

import (
	"math"
	"slices"

	"rimelog/pipeline/register"
)

// clamps are the probes that sit on pipes.
var clamps = [...]Quantity{SuctionTemp, DischargeTemp, LiquidTemp, OutletTemp}

func isClamp(q Quantity) bool { return slices.Contains(clamps[:], q) }

// A clamped probe shows T_pipe + g (T_air - T_pipe). The better the probe, the better
// its clamp: the gain is taken so that on a pipe clampSpan away from the air contact
// costs as much as the probe's own limit. Field figures: clip-on probes of ±0.5 to ±1 K
// have a contact error of 0.5 to 2 K; an engineering choice between them, no source.
// Gains of one class differ by half of their mean, by clamp and by how it sits.
const (
	clampSpan  = 40.0 // K
	gainSpread = 0.5
)

func clampGain(limit float64) float64 { return limit / clampSpan }

// The air around pipes: many run through a room, some outdoors; the air is taken
// midway between a heated building and the outdoor air. An engineering choice.
const (
	building       = 22.0 // °C
	aroundSpread   = 5.0  // K, standard uncertainty
	aroundUnknown  = 20.0 // °C, where no outdoor temperature was logged
	unknownsSpread = 10.0 // K
)

// around is the temperature of the air around the pipes, its standard uncertainty, and
// whether anything was measured that it follows from.
func (c *Circuit) around(row *Row) (air, u float64, known bool) {
	out := row[OutdoorTemp]
	if math.IsNaN(out) && c.airOutdoors() {
		out = row.first(c.outdoorMedia())
	}
	if math.IsNaN(out) {
		return aroundUnknown, unknownsSpread, false
	}
	return (building + out) / 2, aroundSpread, true
}

// airOutdoors tells whether the machine's outdoor side works against outdoor air.
func (c *Circuit) airOutdoors() bool {
	return c.System.Kind != register.GroundHeatPump && c.System.Kind != register.WaterHeatPump
}

// outdoorMedia are the channels that hold outdoor air where it was not logged itself.
func (c *Circuit) outdoorMedia() []Quantity {
	if c.System.Kind.Heats() {
		return []Quantity{EvaporatorAirOn}
	}
	return []Quantity{CondenserAirOn}
}

// Corrected is a row of means less what calibrations say of the instruments, and what
// clamps of named ones take from the air around where that is known; with what follows from them. It
// returns by how much each quantity changed.
func (c *Circuit) Corrected(row Row, in Instruments) (corrected, by Row) {
	before, after := row, row
	for q := range measured {
		after[q] -= in.Offset[q]
	}
	if air, _, known := c.around(&row); known {
		for _, q := range clamps {
			if g := in.Gain[q]; in.Named[q] && g > 0 && g < 1 {
				after[q] = (after[q] - g*air) / (1 - g)
			}
		}
	}
	c.Complete(&before)
	c.Complete(&after)
	corrected, by = row, NewRow()
	for q := range sampled {
		if by[q] = after[q] - before[q]; !math.IsNaN(by[q]) && q != SinkHeat {
			corrected[q] += by[q]
		}
	}
	return corrected, by
}
