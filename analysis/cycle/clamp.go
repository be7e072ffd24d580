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

// One clamp in some thirty sits badly: not on bare pipe, or loose; its gain is then so many
// times that of its class, which is 2 to 5 K on a hot or cold pipe. Common practice, no source.
const (
	sitsBadly  = 0.03
	badlyTimes = 5.0
	slipSpread = gainSpread * badlyTimes / (badlyTimes - 1) // of such gains, as a share of what they add
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

// An Air is the air around pipes.
type Air struct {
	Temp  float64 // °C
	U     float64 // its standard uncertainty, K
	Known bool    // it follows from something measured
}

// AirAround is the air around pipes at an outdoor temperature in °C, which may not be known.
func AirAround(outdoor float64) Air {
	if math.IsNaN(outdoor) {
		return Air{aroundUnknown, unknownsSpread, false}
	}
	return Air{(building + outdoor) / 2, aroundSpread, true}
}

// around is the air around the pipes by a row of means.
func (c *Circuit) around(row *Row) Air {
	out := row[OutdoorTemp]
	if math.IsNaN(out) && c.airOutdoors() {
		out = row.first(c.outdoorMedia())
	}
	return AirAround(out)
}

// Pipe is the temperature of a pipe by what the probe on it shows, °C: less what its
// calibration says, and what its clamp takes from the air around where both are known.
func (in *Instruments) Pipe(q Quantity, shown float64, air Air) float64 {
	t := shown - in.Offset[q]
	if g := in.Gain[q]; air.Known && in.Named[q] && g > 0 && g < 1 {
		t = (t - g*air.Temp) / (1 - g)
	}
	return t
}

// onPipe is the uncertainty of a pipe's temperature: reading and contact.
func (in *Instruments) onPipe(q Quantity, t float64, air Air) Budget {
	b := in.reading(q, 1)
	over, g := air.Temp-t, in.Gain[q]
	if math.IsNaN(over) {
		return b
	}
	b.slip = (badlyTimes - 1) * g * math.Abs(over)
	b.add(gainSpread*g*over, normal)
	b.add(g*air.U, normal)
	if !air.Known || !in.Named[q] {
		b.add(g*over, normal)
	}
	return b
}

// PipeDoubt is the standard uncertainty of what Pipe gives, K.
func (in *Instruments) PipeDoubt(q Quantity, t float64, air Air) float64 {
	b := in.onPipe(q, t, air)
	return b.Standard()
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

// moved tells whether a measured quantity of two rows differs.
func moved(a, b *Row) bool {
	for q := range measured {
		if a[q] != b[q] && !math.IsNaN(a[q]) {
			return true
		}
	}
	return false
}

// Corrected is a row of means less what calibrations say of the instruments, and what
// clamps of named ones take from the air around where that is known; with what follows from them. It
// returns by how much each quantity changed.
func (c *Circuit) Corrected(row Row, in *Instruments) (corrected, by Row) {
	before, after := row, row
	for q := range measured {
		after[q] -= in.Offset[q]
	}
	for air, i := c.around(&row), 0; i < len(clamps); i++ {
		after[clamps[i]] = in.Pipe(clamps[i], row[clamps[i]], air)
	}
	if !moved(&before, &after) {
		return row, Row{}
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
