package equilibrium

import (
	"errors"
	"math"
	"sync"

	"rimelog/thermo/internal/mixture"
)

// Line is the bubble or dew line of one bulk composition, traced from its cold
// end to the critical region. It is read-only and may be shared.
type Line struct {
	m      *mixture.Model
	kind   Kind
	z      []float64
	points []node
	pool   sync.Pool
}

// node is one traced point: the unknowns, ln(p) and ln(rho'/rho"). The last
// falls to 0 at the critical point, where everything else is a smooth function
// of it but has a vertical tangent over temperature and pressure.
type node struct {
	x   []float64
	lnP float64
	gap float64
}

// Point is one point of a line. Densities are molar; Incipient is the
// composition of the phase that just appears.
type Point struct {
	T, P           float64 // K, Pa
	Liquid, Vapour float64 // mol/m3
	Incipient      []float64
	DlnTDlnP       float64 // slope along the line
}

// Errors of a line.
var (
	ErrBelow  = errors.New("below the cold end of the line")
	ErrAbove  = errors.New("beyond the critical end of the line")
	ErrFailed = errors.New("phase equilibrium did not converge")
)

const (
	traceStepLnT   = 0.02
	traceStepLnRho = 0.06
	traceStepLnC   = 0.4
	leastStep      = 1e-4 // fraction of a full step before the trace ends
	endGap         = 0.05 // rho'/rho'' - 1 at which the trace ends
	maxNodes       = 600
)

// A trace that ends before the phases are this near to each other, as
// rho'/rho" - 1, did not reach the critical region.
const reachedGap = 1.5

// warmer is the factor between the start temperatures that Trace tries.
const warmer = 1.04

// Trace follows one line of composition z from temperature low (K) up. Where a
// model splits the cold liquid in two, a line begun there can end in nothing;
// then the trace starts again from a higher temperature.
func Trace(m *mixture.Model, kind Kind, z []float64, low float64) (*Line, error) {
	err := error(ErrFailed)
	for range 12 {
		var l *Line
		if l, err = traceFrom(m, kind, z, low); err == nil {
			return l, nil
		}
		low *= warmer
	}
	return nil, err
}

func traceFrom(m *mixture.Model, kind Kind, z []float64, low float64) (*Line, error) {
	l := &Line{m: m, kind: kind, z: z}
	l.pool.New = func() any { return newSolver(m, kind, z) }
	s := newSolver(m, kind, z)
	x := make([]float64, len(z)+2)
	if err := s.first(x, low); err != nil {
		return nil, err
	}
	if !s.newton(x, spec{s.tempAt(), math.Log(low)}) {
		return nil, ErrFailed
	}
	l.add(s, x)
	direction := make([]float64, len(x))
	direction[s.tempAt()] = 1
	for len(l.points) < maxNodes && s.gap() > endGap && s.forward(x, direction) {
		if !l.add(s, x) {
			break
		}
	}
	if len(l.points) < 4 || l.points[len(l.points)-1].gap > math.Log1p(reachedGap) {
		return nil, ErrFailed
	}
	return l, nil
}

// add keeps x as a node, unless temperature or pressure has turned back.
func (l *Line) add(s *solver, x []float64) bool {
	lnP := math.Log(s.vapour().P())
	if n := len(l.points); n > 0 {
		last := l.points[n-1]
		if lnP <= last.lnP || x[s.tempAt()] <= last.x[s.tempAt()] {
			return false
		}
	}
	l.points = append(l.points, node{append([]float64(nil), x...), lnP, math.Log1p(s.gap())})
	return true
}

// gap is rho'/rho” - 1 of the solution the phases hold.
func (s *solver) gap() float64 {
	r := s.bulk.Rho / s.inc.Rho
	if s.kind == Dew {
		r = 1 / r
	}
	return r - 1
}

// forward moves x one step along the line, specifying the unknown that
// changes fastest, and updates direction. It reports success.
func (s *solver) forward(x, direction []float64) bool {
	if !s.assemble(x, spec{s.tempAt(), x[s.tempAt()] + 1}) {
		return false
	}
	tangent := append([]float64(nil), s.step...)
	var dot, reach float64
	at := 0
	for i, d := range tangent {
		w := math.Abs(d) / s.traceStep(i)
		if w > reach {
			at, reach = i, w
		}
		dot += d * direction[i] / (s.traceStep(i) * s.traceStep(i))
	}
	scale := 1 / reach
	if dot < 0 {
		scale = -scale
	}
	next := make([]float64, len(x))
	for f := 1.0; f > leastStep; f /= 2 {
		for i := range x {
			next[i] = x[i] + f*scale*tangent[i]
		}
		if s.newton(next, spec{at, next[at]}) {
			for i := range x {
				direction[i] = next[i] - x[i]
			}
			copy(x, next)
			return true
		}
	}
	return false
}

func (s *solver) traceStep(i int) float64 {
	switch {
	case i == s.tempAt():
		return traceStepLnT
	case i == s.bulkAt() && s.kind == Bubble:
		return traceStepLnRho
	}
	return traceStepLnC
}

// Range returns the temperatures (K) and pressures (Pa) of both ends.
func (l *Line) Range() (tLow, tHigh, pLow, pHigh float64) {
	a, b := l.points[0], l.points[len(l.points)-1]
	t := len(l.z) + 1
	return math.Exp(a.x[t]), math.Exp(b.x[t]), math.Exp(a.lnP), math.Exp(b.lnP)
}

// Critical extrapolates the line to the point where both phases are alike, and
// says how far it had to go, as ln(rho'/rho") at the end of the line.
func (l *Line) Critical() (t, p, gap float64) {
	k := len(l.points)
	var g, lnT, lnP [3]float64
	for i, pt := range l.points[k-3:] {
		g[i], lnT[i], lnP[i] = pt.gap, pt.x[len(l.z)+1], pt.lnP
	}
	return math.Exp(lagrange(g[:], lnT[:], 0)), math.Exp(lagrange(g[:], lnP[:], 0)), g[2]
}

// lagrange is the polynomial through the points (xs, ys), evaluated at x.
func lagrange(xs, ys []float64, x float64) float64 {
	var sum float64
	for i := range xs {
		w := ys[i]
		for j := range xs {
			if j != i {
				w *= (x - xs[j]) / (xs[i] - xs[j])
			}
		}
		sum += w
	}
	return sum
}
