package plant

import (
	"errors"
	"fmt"
	"math"
)

// ErrNoPoint means that no operating point was found: the conditions are beyond
// what the plant can run at.
var ErrNoPoint = errors.New("no operating point")

// tolerance is how far a balance may stay open, as a share.
const tolerance = 1e-7

// A vector has a place for every unknown of the largest plant, and a matrix for every
// pair; a smaller plant leaves the last at zero.
type (
	vector [mostUnknowns]float64
	matrix [mostUnknowns]vector
)

// size is the number of unknowns.
func (p *Plant) size() int { return firstValve + len(p.Branches) }

// Solve finds the operating point at conditions, starting from a point nearby.
// It goes there in smaller steps where one is too far. The error is ErrNoPoint,
// with the conditions.
func (p *Plant) Solve(c Conditions, near Point, from Conditions) (Point, error) {
	if c.Faults.ValveStuck > 0 && from.Faults.ValveStuck == 0 {
		from.Faults.ValveStuck = near.Opening
		near.jacobian = matrix{} // the unknown means something else now
		near.unknowns[firstValve] = unlevel(near.Superheat, from.Source-near.Evaporating) / beyondOpen
	}
	if s, ok := p.newton(c, near); ok {
		return s, p.check(c, s)
	}
	for steps := 4; steps <= 64; steps *= 4 {
		if s, ok := p.walk(c, near, from, steps); ok {
			return s, p.check(c, s)
		}
	}
	return Point{}, fmt.Errorf("%w at %+v", ErrNoPoint, c)
}

// Midway is a start for a point between two.
func (p Point) Midway(t Point) Point {
	for i, x := range t.unknowns {
		p.unknowns[i] = (p.unknowns[i] + x) / 2
	}
	return p
}

// check refuses a point beyond the fluid's tables.
func (p *Plant) check(c Conditions, s Point) error {
	if p.Fluid.covers(s.Evaporating) && p.Fluid.covers(s.Condensing) {
		return nil
	}
	return fmt.Errorf("%w: evaporating %.1f °C, condensing %.1f °C is beyond the tables of %s, at %+v",
		ErrNoPoint, s.Evaporating, s.Condensing, p.Fluid.Name, c)
}

// walk solves at conditions between two, step by step.
func (p *Plant) walk(to Conditions, near Point, from Conditions, steps int) (Point, bool) {
	s := near
	for i := 1; i <= steps; i++ {
		var ok bool
		if s, ok = p.newton(from.Toward(to, float64(i)/float64(steps)), s); !ok {
			return s, false
		}
	}
	return s, true
}

// Toward is the conditions a share of the way to others.
func (c Conditions) Toward(to Conditions, share float64) Conditions {
	mix := func(x, y float64) float64 { return x + share*(y-x) }
	f, g := c.Faults, to.Faults
	return Conditions{
		Source: mix(c.Source, to.Source), Sink: mix(c.Sink, to.Sink), Surround: mix(c.Surround, to.Surround),
		Speed: mix(c.Speed, to.Speed), Charge: mix(c.Charge, to.Charge), SourceFlow: mix(c.SourceFlow, to.SourceFlow),
		Faults: Faults{
			CondenserFouling:  mix(f.CondenserFouling, g.CondenserFouling),
			EvaporatorFouling: mix(f.EvaporatorFouling, g.EvaporatorFouling),
			Restriction:       mix(f.Restriction, g.Restriction),
			Wear:              mix(f.Wear, g.Wear),
			Gas:               mix(f.Gas, g.Gas),
			ValveStuck:        mix(f.ValveStuck, g.ValveStuck),
		},
	}
}

// newton closes the balances from a point nearby. It goes on with that point's
// Jacobian, bettered by Broyden's rule after each step (Broyden, Math. Comp. 19,
// 1965), as long as that works, and works out a new one where it does not.
func (p *Plant) newton(c Conditions, near Point) (Point, bool) {
	x, j := near.unknowns, near.jacobian
	s, r := p.state(c, x)
	fresh := false
	for range 60 {
		if !(norm(r) < math.Inf(1)) {
			return s, false
		}
		if norm(r) < tolerance {
			s.jacobian = j
			return s, true
		}
		if step, ok := solve(j, r, p.size()); ok {
			if t, y, q, better := p.stride(c, x, step, r); better {
				j = broyden(j, x, y, r, q)
				s, x, r, fresh = t, y, q, false
				continue
			}
			if fresh {
				if s, x, r, ok = p.descend(c, x, step, norm(r)); !ok {
					return s, false
				}
			}
		} else if fresh {
			return s, false
		}
		j, fresh = p.jacobian(c, x, r), true
	}
	return s, false
}

// farthest is how far a step may go, in units of the unknowns.
const farthest = 8.0

// stride takes a whole step and tells whether the balances are much better there.
func (p *Plant) stride(c Conditions, x, step, r vector) (Point, vector, vector, bool) {
	if norm(step) > farthest {
		return Point{}, x, r, false
	}
	y := along(x, step, 1)
	s, q := p.state(c, y)
	return s, y, q, norm(q) < 0.3*norm(r)
}

// descend goes along a step as far as the balances get better.
func (p *Plant) descend(c Conditions, x, step vector, before float64) (Point, vector, vector, bool) {
	scale := min(1, farthest/(1e-12+norm(step)))
	for range 24 {
		y := along(x, step, scale)
		if s, r := p.state(c, y); norm(r) < before {
			return s, y, r, true
		}
		scale /= 2
	}
	return Point{}, x, step, false
}

// along is a share of a step down from x.
func along(x, step vector, scale float64) vector {
	for i := range x {
		x[i] -= scale * step[i]
	}
	return x
}

// broyden makes a Jacobian fit the latest step.
func broyden(j matrix, x, y, r, q vector) matrix {
	var d vector
	var square float64
	for k := range d {
		d[k] = y[k] - x[k]
		square += d[k] * d[k]
	}
	if square == 0 {
		return j
	}
	for i := range j {
		miss := q[i] - r[i]
		for k := range d {
			miss -= j[i][k] * d[k]
		}
		for k := range d {
			j[i][k] += miss * d[k] / square
		}
	}
	return j
}

// jacobian is how the balances move with the unknowns, by small differences.
func (p *Plant) jacobian(c Conditions, x, r vector) (j matrix) {
	for k := range p.size() {
		const d = 1e-6
		y := x
		y[k] += d
		_, q := p.state(c, y)
		for i := range q {
			j[i][k] = (q[i] - r[i]) / d
		}
	}
	return j
}

// solve solves the first n of linear equations by elimination with row exchange.
func solve(a matrix, b vector, n int) (vector, bool) {
	for k := range n {
		top := k
		for i := k + 1; i < n; i++ {
			if math.Abs(a[i][k]) > math.Abs(a[top][k]) {
				top = i
			}
		}
		if !(math.Abs(a[top][k]) > 1e-14) {
			return b, false
		}
		a[k], a[top], b[k], b[top] = a[top], a[k], b[top], b[k]
		for i := k + 1; i < n; i++ {
			w := a[i][k] / a[k][k]
			for j := k; j < n; j++ {
				a[i][j] -= w * a[k][j]
			}
			b[i] -= w * b[k]
		}
	}
	for k := n - 1; k >= 0; k-- {
		for j := k + 1; j < n; j++ {
			b[k] -= a[k][j] * b[j]
		}
		b[k] /= a[k][k]
	}
	return b, true
}

// norm is the largest open balance; infinite where one is not a number.
func norm(r vector) float64 {
	var n float64
	for _, v := range r {
		if math.IsNaN(v) {
			return math.Inf(1)
		}
		n = max(n, math.Abs(v))
	}
	return n
}
