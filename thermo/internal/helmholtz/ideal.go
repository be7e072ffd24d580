package helmholtz

import "math"

// NT is one coefficient with its exponent.
type NT struct{ N, T float64 }

// Ideal is the ideal-gas part
//
//	alpha0 = ln(delta) + A1 + A2*tau + LogTau*ln(tau)
//	         + sum Power n*tau^t + sum Planck n*ln(1 - exp(-t*tau))
//
// Every published form of the ideal-gas heat capacity of a refrigerant
// (constants, polynomials in T, Planck-Einstein terms) integrates to it.
type Ideal struct {
	A1, A2, LogTau float64
	Power, Planck  []NT
}

// At returns alpha0 without its ln(delta) part, and the first and second
// logarithmic derivatives with respect to tau. (The derivative with respect
// to ln(delta) is 1 and all mixed ones vanish.)
func (id *Ideal) At(tau float64) (a, t, tt float64) {
	lnTau := math.Log(tau)
	a = id.A1 + id.A2*tau + id.LogTau*lnTau
	t = id.A2*tau + id.LogTau
	tt = id.A2 * tau
	for _, k := range id.Power {
		p := k.N * math.Exp(k.T*lnTau)
		a += p
		t += k.T * p
		tt += k.T * k.T * p
	}
	for _, k := range id.Planck {
		u := k.T * tau
		e := math.Exp(-u)
		g := u * e / (1 - e)
		a += k.N * math.Log1p(-e)
		t += k.N * g
		tt += k.N * g * (1 - u/(1-e))
	}
	return a, t, tt
}
