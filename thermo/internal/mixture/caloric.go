package mixture

import "math"

// Caloric holds the molar properties of one state that need the ideal part.
// The datum of H and S is the one stored in the pure equations.
type Caloric struct {
	H, S   float64 // J/mol, J/(mol K)
	Cv, Cp float64 // J/(mol K)
	W2     float64 // square of the speed of sound, m2/s2
}

// Caloric evaluates enthalpy, entropy, heat capacities and speed of sound at
// the state set by At and Density or Full.
//
// Source: Span, Multiparameter Equations of State (2000), table 3.10, written
// with logarithmic derivatives.
func (p *Phase) Caloric() Caloric {
	var a0, t0, tt0 float64
	for i, f := range p.m.Fluids {
		a, t, tt := f.Ideal.At(f.TRed / p.T)
		w := p.x[i] * f.R / p.R
		a0 += w * (a + math.Log(p.Rho/f.RhoRed*p.x[i]))
		t0 += w * t
		tt0 += w * tt
	}
	r := &p.Alpha
	rt := p.R * p.T
	cv := -(tt0 - t0 + r.TT - r.T)
	q := 1 + r.D - r.DT
	k := 1 + r.D + r.DD // dp/drho over RT
	return Caloric{
		H:  rt * (t0 + r.T + 1 + r.D),
		S:  p.R * (t0 + r.T - a0 - r.A),
		Cv: p.R * cv,
		Cp: p.R * (cv + q*q/k),
		W2: rt / p.m.MolarMass(p.x) * (k + q*q/cv),
	}
}
