package analysis

import (
	"slices"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/analysis/energy"
)

// Standard uncertainties of readings for which the register names no instrument, as
// shares of the reading (power, flows) or in % of humidity. Common practice, no
// source.
const (
	genericPowerU    = 0.015
	genericFlowU     = 0.02
	genericHumidityU = 2.0
)

// doubter takes off a system's readings what calibrations and clamps are known to
// add, and says what doubt is left, by the instruments behind a time.
func (s *Stage) doubter(p *systemPlan, sources []source) energy.Doubter {
	circuit, err := cycle.NewCircuit(p.system)
	if err != nil {
		circuit.Refrigerant = nil
	}
	generic := circuit.Generic()
	all, flows := newRoster(generic, sources), newRoster(generic, s.sourceFlows(p.system.ID, sources))
	return func(at time.Time, state energy.State) (energy.State, energy.Doubt) {
		in, flow := all.at(at.UnixMicro()), flows.at(at.UnixMicro())
		g := sensing{in: &in, generic: &generic, sourceFlow: &flow, air: cycle.AirAround(state.Outdoor)}
		return g.look(state)
	}
}

// sensing is what is known of the instruments at a time.
type sensing struct {
	in, generic *cycle.Instruments
	sourceFlow  *cycle.Instruments // with the flow meter of the evaporator's water as that of the sink's
	air         cycle.Air          // around the pipes
}

// sourceFlows are the sources with the flow meters of the evaporator's water alone, as
// instruments of a flow of water: the cycle knows only that of the condenser.
func (s *Stage) sourceFlows(id string, sources []source) []source {
	out := slices.Clone(sources)
	for i, src := range sources {
		out[i].sensors = &sensors{}
		for _, row := range s.Register.Channels(id, src.path, time.Time{}) {
			if meter, ok := s.Register.Instrument(row.Instrument); ok && row.Channel == "source_flow" {
				out[i].sensors.list = append(out[i].sensors.list, sensor{meter, cycle.ProbeOf(cycle.SinkFlow, meter), row.From, row.To})
			}
		}
	}
	return out
}

// flow is the standard uncertainty of a flow of water by the instruments that are known.
func (g sensing) flow(in *cycle.Instruments, of float64) float64 {
	g.in = in
	return g.share(cycle.SinkFlow, of, genericFlowU)
}

// sensed is a reading of a state, and what doubt of it is left.
type sensed struct {
	quantity     cycle.Quantity
	value, doubt *float64
}

func (g sensing) look(s energy.State) (energy.State, energy.Doubt) {
	d := energy.NewState()
	for _, of := range [...]sensed{
		{cycle.SuctionPressure, &s.SuctionPressure, &d.SuctionPressure}, {cycle.DischargePressure, &s.DischargePressure, &d.DischargePressure},
		{cycle.LiquidPressure, &s.LiquidPressure, &d.LiquidPressure}, {cycle.SinkInlet, &s.SinkIn, &d.SinkIn}, {cycle.SinkOutlet, &s.SinkOut, &d.SinkOut},
		{cycle.SourceInlet, &s.SourceIn, &d.SourceIn}, {cycle.EvaporatorAirOn, &s.EvaporatorAirOn, &d.EvaporatorAirOn},
		{cycle.CondenserAirOn, &s.CondenserAirOn, &d.CondenserAirOn}, {cycle.OutdoorTemp, &s.Outdoor, &d.Outdoor}, {cycle.RoomTemp, &s.Room, &d.Room},
	} {
		*of.value -= g.in.Offset[of.quantity]
		*of.doubt = g.in.Doubt(of.quantity)
	}
	for _, of := range [...]sensed{
		{cycle.SuctionTemp, &s.SuctionTemp, &d.SuctionTemp}, {cycle.DischargeTemp, &s.DischargeTemp, &d.DischargeTemp},
		{cycle.LiquidTemp, &s.LiquidTemp, &d.LiquidTemp}, {cycle.OutletTemp, &s.EvaporatorExit, &d.EvaporatorExit},
	} {
		*of.value = g.in.Pipe(of.quantity, *of.value, g.air)
		*of.doubt = g.in.PipeDoubt(of.quantity, *of.value, g.air)
	}
	d.CoilTemp, d.SourceOut, d.EvaporatorAirOff, d.CondenserAirOff = d.EvaporatorExit, d.SourceIn, d.EvaporatorAirOn, d.CondenserAirOn
	d.Power = g.share(cycle.Power, s.Power, genericPowerU)
	d.SinkFlow, d.SourceFlow = g.flow(g.in, s.SinkFlow), g.flow(g.sourceFlow, s.SourceFlow)
	d.RefrigerantFlow, d.EvaporatorHumidity = genericFlowU*s.RefrigerantFlow, genericHumidityU
	return s, energy.Doubt(d)
}

// share is the standard uncertainty of a reading whose generic doubt is a share of it.
func (g sensing) share(q cycle.Quantity, of, generically float64) float64 {
	if g.in.Limit[q] == g.generic.Limit[q] {
		return generically * of
	}
	return g.in.Doubt(q)
}
