package trust

import (
	"math"

	"rimelog/analysis/cycle"
)

// What a machine shows at rest is held against its history as what it shows running is.
const (
	lowAtRest  cycle.Quantity = cycle.Quantities + 1 + iota // low pressure over saturation at what it stands over, K
	highAtRest                                              // the same of the high pressure, K
	airAtRest                                               // outdoor air over the refrigerant in an outdoor condenser, K
)

// restOf is by which channel what was seen at rest is kept.
var restOf = map[cycle.Quantity]cycle.Quantity{
	lowAtRest: cycle.SuctionPressure, highAtRest: cycle.DischargePressure, airAtRest: cycle.OutdoorTemp,
}

// A Still is one side of a machine at rest, or the air outdoors beside it.
type Still struct {
	KPa   float64 `json:"kpa,omitempty"`
	Temp  float64 `json:"temp"` // °C
	Over  float64 `json:"over"` // K: of a side, dew temperature over its own; of the air, over the refrigerant's
	U     float64 `json:"u"`    // standard uncertainty of that by instruments, K
	Glide float64 `json:"glide,omitempty"`
}

// atRest is what a visit shows of a quantity at rest; NaN where it did not rest.
func (f *Facts) atRest(q cycle.Quantity) float64 {
	if s, ok := f.Still[restOf[q].String()]; ok {
		return s.Over
	}
	return math.NaN()
}

// uncertainty is the standard uncertainty, by instruments, of what a visit shows of a quantity;
// zero unknown.
func (f *Facts) uncertainty(q cycle.Quantity) float64 {
	if of, rests := restOf[q]; rests {
		return f.Still[of.String()].U
	}
	return f.U[q.String()]
}

// What a machine shows at rest before it has rested often: it stands at saturation, and the
// refrigerant in an outdoor condenser is as warm as the air that gets there, some of it the
// machine's own. Engineering choice, no source.
const (
	restLevel = 0.7 // K, standard deviation between machines
	airLevel  = 3.0 // K, the same of the air, and by how much that reads colder
)

// untold is what a machine is believed to show of a quantity before it has shown it.
func (h history) untold(q cycle.Quantity) expectation {
	s, ok := h.now.Still[restOf[q].String()]
	e := expectation{mean: 0, sd: math.Hypot(math.Hypot(restLevel, s.Glide), math.Hypot(s.U, usualScatter))}
	switch {
	case !ok:
		return expectation{mean: math.NaN(), sd: math.NaN()}
	case q == airAtRest:
		e.mean, e.sd = -airLevel, math.Hypot(airLevel, math.Hypot(s.U, usualScatter))
	}
	return e
}

// restRaised is what pressures that show so many kPa too much move at rest.
func (h history) restRaised(c *cycle.Circuit, low, high float64) (by map[cycle.Quantity]float64) {
	by = map[cycle.Quantity]float64{}
	for q, kpa := range map[cycle.Quantity]float64{lowAtRest: low, highAtRest: high} {
		if s, ok := h.now.Still[restOf[q].String()]; ok && s.KPa > kpa && kpa != 0 {
			by[q] = c.Dew(s.KPa) - c.Dew(s.KPa-kpa)
		}
	}
	return by
}

// nameOf is how a quantity is called in an evidence.
func nameOf(q cycle.Quantity) string {
	switch q {
	case lowAtRest:
		return "low pressure over saturation at rest"
	case highAtRest:
		return "high pressure over saturation at rest"
	case airAtRest:
		return "outdoor air over the condenser at rest"
	case cycle.SinkInlet:
		return "water entering the condenser at like weather"
	case cycle.Speed:
		return "speed at like weather"
	}
	return q.String()
}

// unitFor is the unit of what a quantity is off.
func unitFor(q cycle.Quantity) string {
	if q == cycle.Speed {
		return "Hz"
	}
	return "K"
}
