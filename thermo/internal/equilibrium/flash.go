package equilibrium

import (
	"math"

	"rimelog/thermo/internal/mixture"
)

// Split is a two-phase state of a bulk composition. Densities are molar.
type Split struct {
	T, P           float64 // K, Pa
	Vapour         float64 // mole fraction of the vapour phase
	X, Y           []float64
	RhoL, RhoV     float64
	HL, HV, SL, SV float64 // J/mol, J/(mol K), datum of the equations
}

// Between is the two-phase region at one pressure: its two ends, from which
// every split between them is reached.
type Between struct {
	m           *mixture.Model
	z           []float64
	p           float64
	bubble, dew []float64 // unknowns at both ends: ln c of liquid, ln c of vapour, ln T
	liq, vap    *mixture.Phase
	x, y        []float64
	jac, step   []float64
}

// NewBetween prepares the region between a bubble and a dew point at the same
// pressure.
func NewBetween(m *mixture.Model, z []float64, bubble, dew Point) *Between {
	n := m.Len()
	b := &Between{
		m: m, z: z, p: bubble.P, liq: mixture.NewPhase(m), vap: mixture.NewPhase(m),
		x: make([]float64, n), y: make([]float64, n),
		jac: make([]float64, (2*n+1)*(2*n+1)), step: make([]float64, 2*n+1),
	}
	b.bubble = unknowns(z, bubble.Liquid, bubble.Incipient, bubble.Vapour, bubble.T)
	b.dew = unknowns(dew.Incipient, dew.Liquid, z, dew.Vapour, dew.T)
	return b
}

func unknowns(x []float64, rhoL float64, y []float64, rhoV, t float64) []float64 {
	u := make([]float64, 0, 2*len(x)+1)
	for _, v := range x {
		u = append(u, math.Log(v*rhoL))
	}
	for _, v := range y {
		u = append(u, math.Log(v*rhoV))
	}
	return append(u, math.Log(t))
}

// At is the state with vapour mole fraction beta, from 0 to 1. It starts
// between the two ends; where the compositions of a blend of wide glide move
// too far for that, it walks from the bubble point.
func (b *Between) At(beta float64) (Split, error) {
	u := make([]float64, len(b.bubble))
	for i := range u {
		u[i] = b.bubble[i] + beta*(b.dew[i]-b.bubble[i])
	}
	if b.newton(u, beta) {
		return b.split(beta), nil
	}
	copy(u, b.bubble)
	const steps = 20
	for k := 1; k <= steps; k++ {
		if !b.newton(u, beta*float64(k)/steps) {
			return Split{}, ErrFailed
		}
	}
	return b.split(beta), nil
}

// newton improves the unknowns u until they are the state at beta.
func (b *Between) newton(u []float64, beta float64) bool {
	for range maxIterations {
		b.evaluate(u)
		b.assemble(beta)
		if !solve(b.jac, b.step) {
			return false
		}
		var size float64
		for _, d := range b.step {
			size = max(size, math.Abs(d))
		}
		if !(size < 50) {
			return false
		}
		factor := min(1, maxStepLnRho/size)
		for i, d := range b.step {
			u[i] += factor * d
		}
		if size < tolerance {
			b.evaluate(u)
			return true
		}
	}
	return false
}

func (b *Between) evaluate(u []float64) {
	n := len(b.z)
	t := math.Exp(u[2*n])
	set := func(ph *mixture.Phase, x, c []float64) {
		var rho float64
		for i := range x {
			x[i] = math.Exp(c[i])
			rho += x[i]
		}
		for i := range x {
			x[i] /= rho
		}
		ph.At(x, t)
		ph.Full(rho)
	}
	set(b.liq, b.x, u[:n])
	set(b.vap, b.y, u[n:2*n])
}

// assemble fills the Newton system: n equal fugacities, two pressures and n-1
// balances of matter.
func (b *Between) assemble(beta float64) {
	n := len(b.z)
	w := 2*n + 1
	clear(b.jac)
	for i := range n {
		row := b.jac[i*w : i*w+w]
		for j := range n {
			row[j] = -b.liq.Hess[i*n+j]
			row[n+j] = b.vap.Hess[i*n+j]
		}
		row[2*n] = b.vap.DlnT[i] - b.liq.DlnT[i]
		b.step[i] = b.liq.LnFugacity[i] - b.vap.LnFugacity[i]
	}
	b.pressureRow(n, 0, b.liq, b.x)
	b.pressureRow(n+1, n, b.vap, b.y)
	for i := range n - 1 {
		row := b.jac[(n+2+i)*w : (n+3+i)*w]
		for j := range n {
			row[j] = -(1 - beta) * b.x[i] * b.x[j]
			row[n+j] = -beta * b.y[i] * b.y[j]
		}
		row[i] += (1 - beta) * b.x[i]
		row[n+i] += beta * b.y[i]
		b.step[n+2+i] = b.z[i] - (1-beta)*b.x[i] - beta*b.y[i]
	}
}

// pressureRow fills the equation p(phase) = p.
func (b *Between) pressureRow(row, at int, ph *mixture.Phase, x []float64) {
	n := len(b.z)
	w := 2*n + 1
	r := b.jac[row*w : row*w+w]
	for j := range n {
		var sum float64
		for i := range n {
			sum += ph.Hess[i*n+j] * x[i]
		}
		r[at+j] = sum * ph.Rho * ph.R * ph.T / b.p
	}
	r[2*n] = pressureSlopeT(ph) / b.p
	b.step[row] = 1 - ph.P()/b.p
}

func (b *Between) split(beta float64) Split {
	l, v := b.liq.Caloric(), b.vap.Caloric()
	return Split{
		T: b.liq.T, P: b.p, Vapour: beta,
		X: append([]float64(nil), b.x...), Y: append([]float64(nil), b.y...),
		RhoL: b.liq.Rho, RhoV: b.vap.Rho,
		HL: l.H, HV: v.H, SL: l.S, SV: v.S,
	}
}
