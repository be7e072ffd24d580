package helmholtz

import "math"

// NonAnalytic is a term n * Delta^b * delta * psi that sharpens the critical
// region (R744, R718), with
//
//	theta = (1-tau) + A*((delta-1)^2)^(1/(2*beta))
//	Delta = theta^2 + B*((delta-1)^2)^a
//	psi   = exp(-C*(delta-1)^2 - D*(tau-1)^2)
//
// Source: Span & Wagner, J. Phys. Chem. Ref. Data 25:1509 (1996); Wagner &
// Pruss, J. Phys. Chem. Ref. Data 31:387 (2002).
type NonAnalytic struct {
	N, Alpha, B, Beta, CapA, CapB, CapC, CapD float64
}

// nearOne is how far delta and tau are kept from exactly 1, where the
// derivatives of the distance function do not exist.
const nearOne = 1e-13

func awayFromOne(x float64) float64 {
	if math.Abs(x-1) < nearOne {
		return 1 + nearOne
	}
	return x
}

// jet is a function of delta and tau with its plain derivatives.
type jet struct{ f, d, t, dd, dt, tt float64 }

// times is the product of two jets.
func (a jet) times(b jet) jet {
	return jet{
		f:  a.f * b.f,
		d:  a.d*b.f + a.f*b.d,
		t:  a.t*b.f + a.f*b.t,
		dd: a.dd*b.f + 2*a.d*b.d + a.f*b.dd,
		dt: a.dt*b.f + a.d*b.t + a.t*b.d + a.f*b.dt,
		tt: a.tt*b.f + 2*a.t*b.t + a.f*b.tt,
	}
}

// at evaluates the term.
func (k *NonAnalytic) at(delta, tau float64) Derivs {
	delta, tau = awayFromOne(delta), awayFromOne(tau)
	f := k.distance(delta, tau).times(k.psi(delta, tau))
	n := k.N * delta
	d := n * (f.f + delta*f.d)
	t := n * tau * f.t
	return Derivs{
		A:  n * f.f,
		D:  d,
		T:  t,
		DD: n*delta*(2*f.d+delta*f.dd) + d,
		DT: n * tau * (f.t + delta*f.dt),
		TT: n*tau*tau*f.tt + t,
	}
}

// distance is Delta^b.
func (k *NonAnalytic) distance(delta, tau float64) jet {
	x := delta - 1
	a0, a1, a2 := squarePower(k.CapA, 1/(2*k.Beta), x)
	b0, b1, b2 := squarePower(k.CapB, k.Alpha, x)
	theta := (1 - tau) + a0
	del := jet{
		f:  theta*theta + b0,
		d:  2*theta*a1 + b1,
		t:  -2 * theta,
		dd: 2*a1*a1 + 2*theta*a2 + b2,
		dt: -2 * a1,
		tt: 2,
	}
	p := math.Pow(del.f, k.B)
	p1 := k.B * p / del.f
	p2 := (k.B - 1) * p1 / del.f
	return jet{
		f:  p,
		d:  p1 * del.d,
		t:  p1 * del.t,
		dd: p2*del.d*del.d + p1*del.dd,
		dt: p2*del.d*del.t + p1*del.dt,
		tt: p2*del.t*del.t + p1*del.tt,
	}
}

// squarePower is c*(x^2)^e with its first and second derivatives in x.
func squarePower(c, e, x float64) (f, f1, f2 float64) {
	f = c * math.Pow(x*x, e)
	f1 = f * 2 * e / x
	return f, f1, f1 * (2*e - 1) / x
}

// psi is exp(-C*(delta-1)^2 - D*(tau-1)^2).
func (k *NonAnalytic) psi(delta, tau float64) jet {
	x, z := delta-1, tau-1
	p := math.Exp(-k.CapC*x*x - k.CapD*z*z)
	d, t := -2*k.CapC*x, -2*k.CapD*z
	return jet{f: p, d: d * p, t: t * p, dd: (d*d - 2*k.CapC) * p, dt: d * t * p, tt: (t*t - 2*k.CapD) * p}
}
