package energy

import (
	"math"

	"rimelog/analysis/cycle"
	"rimelog/pipeline/register"
)

// useful is the heat that a heat meter sees on the side that is used: of the
// condenser's water when heating, of the evaporator's when cooling; kW, NaN where
// it is not metered.
func (m *Machine) useful(s State) float64 {
	if m.Mode == Heating {
		return waterHeat(s.SinkFlow, s.SinkIn, s.SinkOut)
	}
	return -waterHeat(s.SourceFlow, s.SourceIn, s.SourceOut)
}

// fromRejected is the useful heat by the heat meter of the other side and the
// compressor's work. It needs a meter that covers the compressor alone: fans and
// pumps give their heat elsewhere.
func (m *Machine) fromRejected(s State) float64 {
	if m.Boundary != register.Compressor {
		return math.NaN()
	}
	work := s.Power * (1 - shellLoss)
	if m.Mode == Heating {
		return -waterHeat(s.SourceFlow, s.SourceIn, s.SourceOut) + work
	}
	return waterHeat(s.SinkFlow, s.SinkIn, s.SinkOut) - work
}

func waterHeat(flow, in, out float64) float64 {
	kw, err := cycle.WaterHeat(flow, in, out)
	if err != nil {
		return math.NaN()
	}
	return kw
}

// air is the useful heat that the air side shows, kW. When cooling, the moisture
// left on the coil counts too: the coil's surface is measured, or taken to be at
// the evaporating temperature. Without humidity nobody knows whether the coil is
// wet, and the route gives nothing.
func (m *Machine) air(s State) (float64, error) {
	if m.Mode == Heating {
		return m.warmed(s), nil
	}
	if !finite(m.EvaporatorAir + s.EvaporatorAirOn + s.EvaporatorAirOff + s.EvaporatorHumidity) {
		return math.NaN(), nil
	}
	on, err := Humid(s.EvaporatorAirOn, s.EvaporatorHumidity, m.AirPressure)
	if err != nil {
		return math.NaN(), err
	}
	surface := s.CoilTemp
	if !finite(surface) {
		surface = m.evaporating(s)
	}
	if !finite(surface) {
		return math.NaN(), nil
	}
	sensible, latent, err := Coil{On: on, Off: s.EvaporatorAirOff, Surface: surface, Flow: m.EvaporatorAir}.Heat()
	return sensible + latent, err
}

// warmed is the heat that air takes up at the condenser, kW: no moisture changes.
func (m *Machine) warmed(s State) float64 {
	dry := Air{s.CondenserAirOn, 0.006, m.AirPressure} // of a heated room: 40 % at 21 °C; 1 g/kg more gives 0.2 % more heat
	return m.CondenserAir / 3600 / dry.Volume() * (1.006 + 1.86*dry.Ratio) * (s.CondenserAirOff - s.CondenserAirOn)
}

// evaporating is the dew temperature at suction pressure, °C; NaN where unknown.
func (m *Machine) evaporating(s State) float64 { return m.dew(s.SuctionPressure) }

// condensing is the dew temperature at discharge pressure, °C; NaN where unknown.
func (m *Machine) condensing(s State) float64 { return m.dew(s.DischargePressure) }

func (m *Machine) dew(kpa float64) float64 {
	if m.Refrigerant == nil || !(kpa > 0) {
		return math.NaN()
	}
	t, err := m.Refrigerant.DewT(pascal(kpa))
	if err != nil {
		return math.NaN()
	}
	return t.Celsius()
}

// media are the temperatures that heat is taken from and given to, °C.
func (m *Machine) media(s State) (source, sink float64) {
	source = firstOf(s.EvaporatorAirOn, s.SourceIn, s.Room)
	sink = firstOf(s.CondenserAirOn, s.SinkIn, s.Outdoor)
	if m.Mode == Heating {
		source = firstOf(s.SourceIn, s.EvaporatorAirOn, s.Outdoor)
		sink = firstOf(s.SinkOut, s.SinkIn, s.CondenserAirOn, s.Room)
	}
	return source, sink
}

func firstOf(values ...float64) float64 {
	for _, v := range values {
		if finite(v) {
			return v
		}
	}
	return math.NaN()
}

// leastLift is the lift below which a fraction of Carnot's COP says nothing, K.
const leastLift = 8.0

// carnot is the ideal COP between two temperatures, °C; NaN below leastLift.
func carnot(cold, hot float64, heating bool) float64 {
	if !(hot-cold >= leastLift) {
		return math.NaN()
	}
	if heating {
		return (hot + 273.15) / (hot - cold)
	}
	return (cold + 273.15) / (hot - cold)
}

// Fractions are the COP over Carnot's: internal between the evaporating and
// condensing (dew) temperatures, external between the media. They are two
// different figures and never mixed. NaN below 8 K lift.
func (m *Machine) Fractions(s State, cop float64) (internal, external float64) {
	return cop / carnot(m.evaporating(s), m.condensing(s), m.Mode == Heating), m.external(s, cop)
}

// external is the fraction of Carnot's COP between the media.
func (m *Machine) external(s State, cop float64) float64 {
	source, sink := m.media(s)
	return cop / carnot(source, sink, m.Mode == Heating)
}
