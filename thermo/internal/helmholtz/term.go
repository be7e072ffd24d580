package helmholtz

import "math"

// Kind names the published form of a residual term. Each form is
// n * tau^t * exp(uTau) * delta^d * exp(uDelta).
type Kind uint8

const (
	// Power: uDelta = -g*delta^l, absent when l = 0. Papers call it
	// "exponential" when g differs from 1.
	Power Kind = iota
	// Gaussian: uTau = -beta*(tau-gamma)^2, uDelta = -eta*(delta-epsilon)^2.
	Gaussian
	// Lemmon2005: uTau = -tau^m, uDelta = -delta^l; a factor is absent, not
	// exp(-1), when its exponent is 0 (R125).
	Lemmon2005
	// GaoB: uTau = 1/(b + beta*(tau-gamma)^2), uDelta = eta*(delta-epsilon)^2
	// with eta printed negative (R717).
	GaoB
	// GERG: uDelta = -eta*(delta-epsilon)^2 - beta*(delta-gamma); the second
	// part is linear in delta (departure functions of GERG-2008).
	GERG
)

// Term is one separable residual term. Fields a kind does not name are zero.
type Term struct {
	Kind                    Kind
	N, D, T                 float64
	L, G                    float64 // Power, Lemmon2005
	M                       float64 // Lemmon2005
	Eta, Eps, Beta, Gam, B0 float64 // Gaussian, GaoB, GERG
}

// tauTerm is the tau side of a Term, prepared for evaluation.
type tauTerm struct {
	kind               Kind
	n, t, m, beta, gam float64
	b                  float64
}

// deltaTerm is the delta side: delta^d times the group's exponential.
// Terms that share one exponential carry the same group.
type deltaTerm struct {
	d     float64
	power int // d when it is a small whole number, else -1
	group int
}

// deltaExp is one distinct exp(uDelta).
type deltaExp struct {
	gaussian bool
	l, g     float64
	whole    int // l when it is a small whole number, else -1
	eta, eps float64
	lin, gam float64 // -lin*(delta-gam), GERG only
}

// tauFactor is a tau side at one tau: its value and its first and second
// logarithmic derivatives.
type tauFactor struct{ f, f1, f2 float64 }

// at evaluates n*tau^t*exp(u) with q = t + tau*u' and r = tau*q'.
func (k *tauTerm) at(tau, lnTau float64) tauFactor {
	var u, q, r float64
	switch k.kind {
	case Gaussian:
		x := tau - k.gam
		u = -k.beta * x * x
		q = -2 * k.beta * tau * x
		r = q - 2*k.beta*tau*tau
	case Lemmon2005:
		if k.m != 0 {
			u = -math.Exp(k.m * lnTau)
			q = k.m * u
			r = k.m * q
		}
	case GaoB:
		x := tau - k.gam
		u = 1 / (k.b + k.beta*x*x)
		du := -2 * k.beta * x * u * u
		ddu := -2*k.beta*u*u - 4*k.beta*x*u*du
		q = tau * du
		r = q + tau*tau*ddu
	}
	q += k.t
	f := k.n * math.Exp(k.t*lnTau+u)
	return tauFactor{f, f * q, f * (q*q + r)}
}

// expFactor is exp(uDelta) with e1 = delta*u' and e2 = delta*d(e1)/d(delta).
type expFactor struct{ e, e1, e2 float64 }

func (x *deltaExp) at(delta, lnDelta float64, powers *[maxPower + 1]float64) expFactor {
	if x.gaussian {
		y := delta - x.eps
		e1 := delta * (-2*x.eta*y - x.lin)
		e2 := e1 - 2*x.eta*delta*delta
		return expFactor{math.Exp(-x.eta*y*y - x.lin*(delta-x.gam)), e1, e2}
	}
	if x.l == 0 {
		return expFactor{e: 1}
	}
	var p float64
	if x.whole >= 0 {
		p = powers[x.whole]
	} else {
		p = math.Exp(x.l * lnDelta)
	}
	u := -x.g * p
	return expFactor{math.Exp(u), x.l * u, x.l * x.l * u}
}
