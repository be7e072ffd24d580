package thermo

import "fmt"

// Route says by which way a mass flow or capacity was found. Values by
// different routes have different errors and are never mixed in one trend.
type Route uint8

// The routes.
const (
	RouteNone           Route = iota
	RouteEnergyBalance        // electrical power over the enthalpy rise of the gas
	RouteCompressorMap        // ten-coefficient polynomial with suction-state correction
	RouteSecondaryFluid       // heat taken up or given off by water, brine or air
	RouteDisplacement         // swept volume and an assumed volumetric efficiency
)

// String names the route.
func (r Route) String() string {
	return [...]string{"none", "compressor energy balance", "compressor map", "secondary fluid", "displacement"}[r]
}

// Flow is a refrigerant mass flow with its route.
type Flow struct {
	Value KgPerSecond
	Route Route
}

// Capacity is a heat flow with its route.
type Capacity struct {
	Value Watt
	Route Route
}

// Secondary is a stream of water, brine or air through a heat exchanger.
type Secondary struct {
	MassFlow float64 // kg/s
	Cp       float64 // J/(kg K)
	In, Out  Kelvin
}

// Heat is what the stream takes up; negative when it is cooled.
func (s Secondary) Heat() Watt { return Watt(s.MassFlow * s.Cp * float64(s.Out-s.In)) }

// FlowByEnergyBalance is the flow that the electrical power implies.
func (c Cycle) FlowByEnergyBalance(power Watt) (Flow, error) {
	if !(power > 0) {
		return Flow{}, fmt.Errorf("electrical power %g W: want more than 0", float64(power))
	}
	m, err := c.MassFlow(power)
	return Flow{m, RouteEnergyBalance}, err
}

// FlowByMap is the flow that a compressor map gives for the cycle's suction
// state and discharge pressure.
func (c Cycle) FlowByMap(m *CompressorMap, props Properties) (Flow, error) {
	pt, err := m.At(props, c.Suction.P, c.Suction.T, c.Discharge.P)
	return Flow{pt.Flow, RouteCompressorMap}, err
}

// FlowByDisplacement is the flow of a compressor with the given swept volume
// flow (m3/s) and an assumed volumetric efficiency.
func (c Cycle) FlowByDisplacement(displacement, efficiency float64) (Flow, error) {
	if !(displacement > 0 && efficiency > 0 && efficiency <= 1.05) {
		return Flow{}, fmt.Errorf("displacement %g m3/s, volumetric efficiency %g: want both positive, efficiency up to 1.05", displacement, efficiency)
	}
	return Flow{KgPerSecond(float64(c.Suction.Density) * displacement * efficiency), RouteDisplacement}, nil
}

// FlowByEvaporator is the flow that the heat given up by the source implies.
func (c Cycle) FlowByEvaporator(source Secondary) (Flow, error) {
	return flowOf(-source.Heat(), c.Outlet.Enthalpy-c.Liquid.Enthalpy, "evaporator")
}

// FlowByCondenser is the flow that the heat taken up by the sink implies.
func (c Cycle) FlowByCondenser(sink Secondary) (Flow, error) {
	return flowOf(sink.Heat(), c.Discharge.Enthalpy-c.Liquid.Enthalpy, "condenser")
}

func flowOf(heat Watt, difference JoulePerKg, where string) (Flow, error) {
	if !(heat > 0 && difference > 0) {
		return Flow{}, fmt.Errorf("%s: heat %.4g W over %.4g J/kg gives no flow: check stream temperatures and states", where, float64(heat), float64(difference))
	}
	return Flow{KgPerSecond(float64(heat) / float64(difference)), RouteSecondaryFluid}, nil
}

// Cooling is the heat taken up between liquid and evaporator outlet.
func (c Cycle) Cooling(f Flow) Capacity {
	return Capacity{Watt(float64(f.Value) * float64(c.Outlet.Enthalpy-c.Liquid.Enthalpy)), f.Route}
}

// Heating is the heat given off between discharge and liquid.
func (c Cycle) Heating(f Flow) Capacity {
	return Capacity{Watt(float64(f.Value) * float64(c.Discharge.Enthalpy-c.Liquid.Enthalpy)), f.Route}
}
