package equilibrium

import (
	"math"
	"sort"
)

// AtT returns the point of the line at temperature t (K).
func (l *Line) AtT(t float64) (Point, error) {
	return l.find(math.Log(t), l.lnT, len(l.z)+1)
}

// AtP returns the point of the line at pressure p (Pa).
func (l *Line) AtP(p float64) (Point, error) {
	return l.find(math.Log(p), lnP, -1)
}

// find interpolates the nodes at the value of one coordinate and finishes with
// Newton's method.
func (l *Line) find(value float64, coordinate func(*node) float64, at int) (Point, error) {
	k := len(l.points)
	switch {
	case !(value >= coordinate(&l.points[0])-edge):
		return Point{}, ErrBelow
	case value > coordinate(&l.points[k-1])+edge:
		return Point{}, ErrAbove
	}
	i := sort.Search(k, func(i int) bool { return coordinate(&l.points[i]) >= value })
	s := l.pool.Get().(*solver)
	defer l.pool.Put(s)
	x := l.interpolate(max(1, min(i, k-1)), value, coordinate)
	if !s.newton(x, spec{at, value}) {
		return Point{}, ErrFailed
	}
	pt := s.point()
	if !s.assemble(x, spec{-1, math.Log(pt.P) + 1}) {
		return Point{}, ErrFailed
	}
	pt.DlnTDlnP = s.step[s.tempAt()]
	return pt, nil
}

// NearP estimates temperature and bulk density at pressure p without solving,
// to about 1e-5. ok is false off the line and near its critical end, where that
// would not hold.
func (l *Line) NearP(p float64) (t, rho float64, ok bool) {
	x, ok := l.near(math.Log(p), lnP)
	if !ok {
		return 0, 0, false
	}
	return math.Exp(x[len(l.z)+1]), math.Exp(x[len(l.z)]), true
}

// NearT estimates the bulk density at temperature t likewise.
func (l *Line) NearT(t float64) (rho float64, ok bool) {
	x, ok := l.near(math.Log(t), l.lnT)
	if !ok {
		return 0, false
	}
	return math.Exp(x[len(l.z)]), true
}

func (l *Line) near(value float64, coordinate func(*node) float64) (x []float64, ok bool) {
	k := len(l.points)
	if !(value >= coordinate(&l.points[0]) && value < coordinate(&l.points[k-1])) {
		return nil, false
	}
	i := sort.Search(k, func(i int) bool { return coordinate(&l.points[i]) >= value })
	if i = max(1, i); l.points[i].gap < farGap {
		return nil, false
	}
	return l.interpolate(i, value, coordinate), true
}

// farGap is ln(rho'/rho") down to which Near may be trusted.
const farGap = 1.2

func lnP(p *node) float64 { return p.lnP }

func (l *Line) lnT(p *node) float64 { return p.x[len(l.z)+1] }

// interpolate estimates the unknowns where coordinate has the given value,
// between nodes i-1 and i, over the logarithm of the density ratio.
func (l *Line) interpolate(i int, value float64, coordinate func(*node) float64) []float64 {
	lo := max(0, min(i-2, len(l.points)-4))
	near := l.points[lo : lo+4]
	var gap, ys [4]float64
	for j := range near {
		gap[j], ys[j] = near[j].gap, coordinate(&near[j])
	}
	a, b := l.points[i-1].gap, l.points[i].gap
	for range 50 {
		mid := (a + b) / 2
		if lagrange(gap[:], ys[:], mid) < value {
			a = mid
		} else {
			b = mid
		}
	}
	x := make([]float64, len(l.z)+2)
	for c := range x {
		for j := range near {
			ys[j] = near[j].x[c]
		}
		x[c] = lagrange(gap[:], ys[:], a)
	}
	return x
}

// edge is how far, in ln(T) or ln(p), a value may lie outside the ends of a
// line before it is refused: rounding of the caller's own arithmetic.
const edge = 1e-12

// point reads the solution out of the phases.
func (s *solver) point() Point {
	p := Point{T: s.bulk.T, P: s.vapour().P(), Incipient: append([]float64(nil), s.y...)}
	p.Liquid, p.Vapour = s.bulk.Rho, s.inc.Rho
	if s.kind == Dew {
		p.Liquid, p.Vapour = s.inc.Rho, s.bulk.Rho
	}
	return p
}
