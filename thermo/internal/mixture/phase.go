package mixture

import (
	"math"

	"rimelog/thermo/internal/helmholtz"
)

// Phase is the state of one homogeneous phase together with the space its
// evaluation needs. Set the composition and temperature with At, then evaluate
// at one density after another. It must not be shared between goroutines.
type Phase struct {
	T   float64 // K, set by At
	R   float64 // gas constant of the composition, J/(mol K), set by At
	Rho float64 // mol/m3, set by Density and Full

	// Alpha is alphaR of the mixture, set by Density and Full.
	Alpha helmholtz.Derivs

	// Set by Full: ln(f_i/Pa), its derivatives with respect to ln(c_j) (n*n by
	// rows) and with respect to ln(T) at constant concentrations.
	LnFugacity, Hess, DlnT []float64

	m      *Model
	n      int
	x      []float64
	tr, vr reduced
	pure   []helmholtz.Isotherm
	pairs  [][]helmholtz.Isotherm
	a      []helmholtz.Derivs // components
	dep    []helmholtz.Derivs // F*alphaR_ij, n*n, symmetric
	b      []helmholtz.Derivs // explicit composition derivative
}

// NewPhase makes an empty phase of the model.
func NewPhase(m *Model) *Phase {
	n := m.Len()
	p := &Phase{
		m: m, n: n, x: make([]float64, n),
		tr: newReduced(n), vr: newReduced(n),
		pure: make([]helmholtz.Isotherm, n), pairs: make([][]helmholtz.Isotherm, n),
		a: make([]helmholtz.Derivs, n), dep: make([]helmholtz.Derivs, n*n), b: make([]helmholtz.Derivs, n),
		LnFugacity: make([]float64, n), Hess: make([]float64, n*n), DlnT: make([]float64, n),
	}
	for i := range p.pairs {
		p.pairs[i] = make([]helmholtz.Isotherm, len(m.departure[i]))
	}
	return p
}

// At sets mole fractions and temperature (K).
func (p *Phase) At(x []float64, t float64) {
	copy(p.x, x)
	p.T = t
	p.R = p.m.GasConstant(x)
	p.tr.reduce(x, func(i int) float64 { return p.m.Fluids[i].TRed }, p.m.tRed)
	p.vr.reduce(x, func(i int) float64 { return 1 / p.m.Fluids[i].RhoRed }, p.m.vRed)
	tau := p.tr.y / t
	for i, f := range p.m.Fluids {
		f.Residual.AtTau(&p.pure[i], tau)
		for k, d := range p.m.departure[i] {
			if d.fn != nil {
				d.fn.AtTau(&p.pairs[i][k], tau)
			}
		}
	}
}

// TReducing is the reducing temperature of the composition, K.
func (p *Phase) TReducing() float64 { return p.tr.y }

// Pressure returns p (Pa) and dp/d ln(rho) at density rho (mol/m3).
func (p *Phase) Pressure(rho float64) (pressure, slope float64) {
	delta := rho * p.vr.y
	var d, dd float64
	for i, f := range p.m.Fluids {
		d1, dd1 := f.Residual.SumDelta(&p.pure[i], delta)
		d += p.x[i] * d1
		dd += p.x[i] * dd1
		for k, e := range p.m.departure[i] {
			if e.fn == nil {
				continue
			}
			w := p.x[i] * p.x[i+1+k] * e.f
			d1, dd1 := e.fn.SumDelta(&p.pairs[i][k], delta)
			d += w * d1
			dd += w * dd1
		}
	}
	rt := rho * p.R * p.T
	return rt * (1 + d), rt * (1 + d + dd)
}

// Density evaluates alphaR and its derivatives at density rho (mol/m3).
func (p *Phase) Density(rho float64) {
	p.Rho = rho
	delta := rho * p.vr.y
	var s helmholtz.Derivs
	for i, f := range p.m.Fluids {
		p.a[i] = f.Residual.Sum(&p.pure[i], delta)
		s = s.Add(p.x[i], &p.a[i])
		for k, e := range p.m.departure[i] {
			j := i + 1 + k
			var d helmholtz.Derivs
			if e.fn != nil {
				v := e.fn.Sum(&p.pairs[i][k], delta)
				d = d.Add(e.f, &v)
				s = s.Add(p.x[i]*p.x[j], &d)
			}
			p.dep[i*p.n+j], p.dep[j*p.n+i] = d, d
		}
	}
	p.Alpha = s
}

// P is the pressure, Pa, after Density or Full.
func (p *Phase) P() float64 { return p.Rho * p.R * p.T * (1 + p.Alpha.D) }

// Full evaluates at density rho, and fills LnFugacity, Hess and DlnT.
//
// With B = rho*alphaR, u_i = rho*d(ln delta)/dc_i and w_i = rho*d(ln tau)/dc_i:
// dB/dc_i = b_i + D*u_i + T*w_i, and the same rule once more for the matrix.
func (p *Phase) Full(rho float64) {
	p.Density(rho)
	n, s := p.n, &p.Alpha
	p.explicit()
	vy, ty := p.vr.y, p.tr.y
	for i := range n {
		ui, wi := 1+p.vr.grad[i]/vy, p.tr.grad[i]/ty
		b := &p.b[i]
		p.LnFugacity[i] = math.Log(p.x[i]*rho*p.R*p.T) + b.A + s.D*ui + s.T*wi
		p.DlnT[i] = 1 - (b.T + s.DT*ui + s.TT*wi)
	}
	var total helmholtz.Derivs // sum over pairs of x_i*x_j*dep_ij
	for i := range n {
		for j := i + 1; j < n; j++ {
			total = total.Add(p.x[i]*p.x[j], &p.dep[i*n+j])
		}
	}
	for i := range n {
		for j := range n {
			p.Hess[i*n+j] = p.second(i, j, &total) * p.x[j]
		}
		p.Hess[i*n+i]++
	}
}

// explicit fills b_i, the derivative of rho*alphaR with respect to c_i at
// constant delta and tau.
func (p *Phase) explicit() {
	n := p.n
	var total helmholtz.Derivs
	for i := range n {
		var e helmholtz.Derivs
		for j := range n {
			if j != i {
				e = e.Add(p.x[j], &p.dep[i*n+j])
			}
		}
		total = total.Add(p.x[i]/2, &e)
		p.b[i] = p.a[i].Add(1, &e)
	}
	for i := range n {
		p.b[i] = p.b[i].Add(-1, &total)
	}
}

// second is rho*d2(rho*alphaR)/dc_i/dc_j.
func (p *Phase) second(i, j int, total *helmholtz.Derivs) float64 {
	n, s, vy, ty := p.n, &p.Alpha, p.vr.y, p.tr.y
	vi, vj := p.vr.grad[i]/vy, p.vr.grad[j]/vy
	wi, wj := p.tr.grad[i]/ty, p.tr.grad[j]/ty
	ui, uj := 1+vi, 1+vj
	uij := -1 + p.vr.hess[i*n+j]/vy - vi*vj
	wij := p.tr.hess[i*n+j]/ty - wi*wj
	bi, bj := &p.b[i], &p.b[j]
	// E_i = b_i - a_i + total
	explicit := p.dep[i*n+j].A - (bi.A - p.a[i].A) - (bj.A - p.a[j].A)
	return explicit +
		bi.D*uj + bi.T*wj + bj.D*ui + bj.T*wi +
		s.DD*ui*uj + s.DT*(ui*wj+uj*wi) + s.TT*wi*wj +
		s.D*uij + s.T*wij
}
