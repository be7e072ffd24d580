package helmholtz

import "math"

// maxPower is the largest whole exponent of delta served from a table of
// powers; larger or broken exponents go through exp and log.
const maxPower = 24

// Residual is the residual part of an equation of state, ready to evaluate.
// It is read-only after NewResidual and may be shared.
type Residual struct {
	tau    []tauTerm
	delta  []deltaTerm
	exps   []deltaExp
	points []NonAnalytic
	top    int // largest whole power of delta in use
}

// NewResidual prepares terms for evaluation, collecting those that share an
// exponential in delta.
func NewResidual(terms []Term, points []NonAnalytic) *Residual {
	r := &Residual{points: points}
	groups := map[deltaExp]int{}
	for _, t := range terms {
		e := deltaSide(t)
		g, ok := groups[e]
		if !ok {
			g = len(r.exps)
			groups[e] = g
			r.exps = append(r.exps, e)
		}
		r.top = max(r.top, e.whole, wholePower(t.D))
		r.delta = append(r.delta, deltaTerm{t.D, wholePower(t.D), g})
		r.tau = append(r.tau, tauTerm{t.Kind, t.N, t.T, t.M, t.Beta, t.Gam, t.B0})
	}
	return r
}

func deltaSide(t Term) deltaExp {
	switch t.Kind {
	case Gaussian:
		return deltaExp{gaussian: true, eta: t.Eta, eps: t.Eps, whole: -1}
	case GaoB:
		return deltaExp{gaussian: true, eta: -t.Eta, eps: t.Eps, whole: -1}
	case GERG:
		return deltaExp{gaussian: true, eta: t.Eta, eps: t.Eps, lin: t.Beta, gam: t.Gam, whole: -1}
	}
	return deltaExp{l: t.L, g: t.G, whole: wholePower(t.L)}
}

func wholePower(x float64) int {
	if n := int(x); float64(n) == x && n >= 0 && n <= maxPower {
		return n
	}
	return -1
}

// Terms is the number of separable terms.
func (r *Residual) Terms() int { return len(r.tau) }

// Isotherm holds the tau factors of one Residual at one tau, and scratch
// space. Reuse it: it grows once and then allocates nothing. It must not be
// shared between goroutines.
type Isotherm struct {
	tau     float64
	factors []tauFactor
	exps    []expFactor
	powers  [maxPower + 1]float64
}

// AtTau fills w with the tau factors at tau = Tred/T, which must be positive.
func (r *Residual) AtTau(w *Isotherm, tau float64) {
	if cap(w.factors) < len(r.tau) {
		w.factors = make([]tauFactor, len(r.tau))
	}
	if cap(w.exps) < len(r.exps) {
		w.exps = make([]expFactor, len(r.exps))
	}
	w.tau, w.factors, w.exps = tau, w.factors[:len(r.tau)], w.exps[:len(r.exps)]
	lnTau := math.Log(tau)
	for i := range r.tau {
		w.factors[i] = r.tau[i].at(tau, lnTau)
	}
}

// Sum returns alphaR and its derivatives at delta on the isotherm w, which
// must have been filled by AtTau of the same Residual.
func (r *Residual) Sum(w *Isotherm, delta float64) Derivs {
	lnDelta := r.deltaSides(w, delta)
	var s Derivs
	for i := range r.delta {
		k := &r.delta[i]
		e := &w.exps[k.group]
		f := k.value(w, lnDelta) * e.e
		q := k.d + e.e1
		f1, f2 := f*q, f*(q*q+e.e2)
		t := &w.factors[i]
		s.A += t.f * f
		s.D += t.f * f1
		s.T += t.f1 * f
		s.DD += t.f * f2
		s.DT += t.f1 * f1
		s.TT += t.f2 * f
	}
	for i := range r.points {
		p := r.points[i].at(delta, w.tau)
		s = s.Add(1, &p)
	}
	return s
}

// SumDelta returns only D and DD, what a density iteration needs.
func (r *Residual) SumDelta(w *Isotherm, delta float64) (d, dd float64) {
	lnDelta := r.deltaSides(w, delta)
	for i := range r.delta {
		k := &r.delta[i]
		e := &w.exps[k.group]
		f := w.factors[i].f * k.value(w, lnDelta) * e.e
		q := k.d + e.e1
		d += f * q
		dd += f * (q*q + e.e2)
	}
	for i := range r.points {
		p := r.points[i].at(delta, w.tau)
		d += p.D
		dd += p.DD
	}
	return d, dd
}

// deltaSides fills the powers of delta and the exponentials of w, and returns
// ln(delta).
func (r *Residual) deltaSides(w *Isotherm, delta float64) float64 {
	w.powers[0] = 1
	for i := 1; i <= r.top; i++ {
		w.powers[i] = w.powers[i-1] * delta
	}
	lnDelta := math.Log(delta)
	for i := range r.exps {
		w.exps[i] = r.exps[i].at(delta, lnDelta, &w.powers)
	}
	return lnDelta
}

// value is delta^d.
func (k *deltaTerm) value(w *Isotherm, lnDelta float64) float64 {
	if k.power >= 0 {
		return w.powers[k.power]
	}
	return math.Exp(k.d * lnDelta)
}
