package equilibrium

import (
	"math"

	"rimelog/thermo/internal/mixture"
)

// Kind says which phase has the bulk composition.
type Kind uint8

const (
	Bubble Kind = iota // the liquid has the bulk composition
	Dew                // the vapour has it
)

// solver holds one bulk composition and the space of Newton's method. It must
// not be shared between goroutines.
type solver struct {
	m         *mixture.Model
	kind      Kind
	z         []float64
	bulk, inc *mixture.Phase
	y         []float64 // composition of the incipient phase
	jac, step []float64
}

func newSolver(m *mixture.Model, kind Kind, z []float64) *solver {
	n := m.Len()
	return &solver{
		m: m, kind: kind, z: z,
		bulk: mixture.NewPhase(m), inc: mixture.NewPhase(m),
		y: make([]float64, n), jac: make([]float64, (n+2)*(n+2)), step: make([]float64, n+2),
	}
}

// The unknowns x: ln of the n incipient concentrations, then these two.
func (s *solver) bulkAt() int { return len(s.z) }
func (s *solver) tempAt() int { return len(s.z) + 1 }

// spec fixes one degree of freedom: unknown number at, or ln(p) when at < 0.
type spec struct {
	at    int
	value float64
}

const (
	maxIterations = 60
	tolerance     = 2e-11 // of the last step; Newton has then squared it
	maxStepLnC    = 1.5
	maxStepLnRho  = 0.15
	maxStepLnT    = 0.06
)

// newton improves x until its equations hold. It reports success.
func (s *solver) newton(x []float64, sp spec) bool {
	for range maxIterations {
		if !s.evaluate(x) || !s.assemble(x, sp) {
			return false
		}
		if size := s.advance(x); size < tolerance {
			return s.evaluate(x) && s.distinct()
		}
	}
	return false
}

// evaluate sets both phases to the unknowns x.
func (s *solver) evaluate(x []float64) bool {
	var rho float64
	for i := range s.z {
		s.y[i] = math.Exp(x[i])
		rho += s.y[i]
	}
	if !(rho > 0) || math.IsInf(rho, 1) {
		return false
	}
	for i := range s.y {
		s.y[i] /= rho
	}
	t := math.Exp(x[s.tempAt()])
	s.bulk.At(s.z, t)
	s.bulk.Full(math.Exp(x[s.bulkAt()]))
	s.inc.At(s.y, t)
	s.inc.Full(rho)
	return !math.IsNaN(s.bulk.Alpha.A + s.inc.Alpha.A)
}

// vapour is the phase pressure is taken from.
func (s *solver) vapour() *mixture.Phase {
	if s.kind == Bubble {
		return s.inc
	}
	return s.bulk
}

// assemble fills the Newton system at x.
func (s *solver) assemble(x []float64, sp spec) bool {
	n := len(s.z)
	w := n + 2
	clear(s.jac)
	for i := range n {
		row := s.jac[i*w : i*w+w]
		for j := range n {
			row[j] = s.inc.Hess[i*n+j]
			row[n] -= s.bulk.Hess[i*n+j]
		}
		row[n+1] = s.inc.DlnT[i] - s.bulk.DlnT[i]
		s.step[i] = s.bulk.LnFugacity[i] - s.inc.LnFugacity[i]
	}
	scale := s.vapour().P()
	s.pressureRow(s.jac[n*w:n*w+w], 1/scale, -1/scale)
	s.step[n] = (s.bulk.P() - s.inc.P()) / scale
	last := s.jac[(n+1)*w : (n+2)*w]
	if sp.at >= 0 {
		last[sp.at] = 1
		s.step[n+1] = sp.value - x[sp.at]
		return solve(s.jac, s.step)
	}
	if scale <= 0 {
		return false
	}
	if s.kind == Bubble {
		s.pressureRow(last, 1/scale, 0)
	} else {
		s.pressureRow(last, 0, 1/scale)
	}
	s.step[n+1] = sp.value - math.Log(scale)
	return solve(s.jac, s.step)
}

// pressureRow fills the derivatives of wi*p(incipient) + wb*p(bulk).
// dp/d ln c_j = R*T*c_j-weighted column sums of the fugacity matrix.
func (s *solver) pressureRow(row []float64, wi, wb float64) {
	n := len(s.z)
	var bulk float64
	for j := range n {
		var inc, col float64
		for i := range n {
			inc += s.inc.Hess[i*n+j] * s.y[i]
			col += s.bulk.Hess[i*n+j] * s.z[i]
		}
		row[j] = wi * inc * s.inc.Rho * s.inc.R * s.inc.T
		bulk += col
	}
	row[n] = wb * bulk * s.bulk.Rho * s.bulk.R * s.bulk.T
	row[n+1] = wi*pressureSlopeT(s.inc) + wb*pressureSlopeT(s.bulk)
}

// pressureSlopeT is dp/d ln(T) at constant density.
func pressureSlopeT(p *mixture.Phase) float64 {
	return p.Rho * p.R * p.T * (1 + p.Alpha.D - p.Alpha.DT)
}

// advance adds the step to x, shortened so that no unknown moves too far, and
// returns the size of the whole step.
func (s *solver) advance(x []float64) float64 {
	n := len(s.z)
	factor, size := 1.0, 0.0
	for i, d := range s.step {
		limit := maxStepLnC
		switch {
		case i == n && s.kind == Bubble:
			limit = maxStepLnRho
		case i == n+1:
			limit = maxStepLnT
		}
		a := math.Abs(d)
		size = max(size, a)
		if a > limit {
			factor = min(factor, limit/a)
		}
	}
	if math.IsNaN(size) {
		return math.Inf(1)
	}
	for i, d := range s.step {
		x[i] += factor * d
	}
	return size
}

// distinct reports whether the two phases are really two, the liquid the
// denser one.
func (s *solver) distinct() bool {
	r := s.inc.Rho / s.bulk.Rho
	if s.kind == Bubble {
		r = 1 / r
	}
	return r > 1+minDensityGap
}

// minDensityGap is the least rho'/rho” - 1 of a solution that is accepted.
const minDensityGap = 0.02
