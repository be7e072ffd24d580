package helmholtz

// Derivs holds a dimensionless Helmholtz energy and its logarithmic
// derivatives with respect to delta (D) and tau (T):
//
//	D  = delta*a_delta              T  = tau*a_tau
//	DD = delta^2*a_deltadelta + D   TT = tau^2*a_tautau + T
//	DT = delta*tau*a_deltatau
type Derivs struct {
	A, D, T, DD, DT, TT float64
}

// Add returns a + s*b, term by term.
func (a Derivs) Add(s float64, b *Derivs) Derivs {
	return Derivs{
		A:  a.A + s*b.A,
		D:  a.D + s*b.D,
		T:  a.T + s*b.T,
		DD: a.DD + s*b.DD,
		DT: a.DT + s*b.DT,
		TT: a.TT + s*b.TT,
	}
}
