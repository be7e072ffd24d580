package plant

import "math"

// A Compressor moves gas. Both of its efficiencies fall with the pressure ratio;
// the shapes are ours, the levels common practice (no source).
type Compressor struct {
	Displacement float64 // at full speed, m³/s
	Clearance    float64 // loss of volumetric efficiency per unit of pressure ratio
	Isentropic   float64 // best isentropic efficiency, motor included
	Falloff      float64 // loss of isentropic efficiency per unit of pressure ratio
	HeatLoss     float64 // share of the input given to the surroundings
	Idle         float64 // input that friction takes at full speed whatever it pumps, kW
}

// idleShare is that input as a share of all of it at the design point (common practice,
// no source; compressor models with a constant loss find 5 to 10 %, from memory).
const idleShare = 0.08

// input is the electric power for the ideal one at a share of the speed, kW.
func (c Compressor) input(ideal, speed, ratio, wear float64) float64 {
	return (1-idleShare)*ideal/c.isentropic(ratio, wear) + c.Idle*speed
}

// volumetric is the gas drawn in over the displacement.
func (c Compressor) volumetric(ratio, wear float64) float64 {
	return (0.97 - c.Clearance*(ratio-1)) * (1 - wear)
}

// isentropic is the isentropic work over the electric input. Below a pressure
// ratio of two the losses at no load tell.
func (c Compressor) isentropic(ratio, wear float64) float64 {
	full := c.Isentropic*(1-math.Exp(-1.6*(ratio-0.8))) - c.Falloff*(ratio-1)
	return math.Max(full, 0.08) * (1 - 0.8*wear)
}
