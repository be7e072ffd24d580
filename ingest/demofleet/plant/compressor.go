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
