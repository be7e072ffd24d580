package thermo

import "math"

// Expansivity is by what share the volume of a single-phase state grows for each kelvin at
// constant pressure, 1/K. It follows from what the state holds already: with the isothermal
// compressibility κ = cp/(cv ρ w²) and cp - cv = T v β²/κ, β² = (cp - cv) cp/(cv w² T).
// Source: Moran & Shapiro, Fundamentals of Engineering Thermodynamics, ch. 11, from memory;
// the positive root holds for all but water below 4 °C.
func (s State) Expansivity() float64 {
	return math.Sqrt(math.Max(0, float64((s.Cp-s.Cv)*s.Cp/s.Cv)/float64(s.T))) / float64(s.Sound)
}

// EnthalpySlope is by how much the enthalpy grows for each pascal at constant temperature,
// J/(kg Pa): v (1 - T β). By temperature at constant pressure it grows by Cp.
func (s State) EnthalpySlope() float64 {
	return (1 - float64(s.T)*s.Expansivity()) / float64(s.Density)
}
