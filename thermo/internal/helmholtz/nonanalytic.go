package helmholtz

import "math"

// NonAnalytic is a term n * Delta^b * delta * psi that sharpens the critical
// region (R744, R718), with
//
//	theta = (1-tau) + A*((delta-1)^2)^(1/(2*beta))
//	Delta = theta^2 + B*((delta-1)^2)^a
//	psi   = exp(-C*(delta-1)^2 - D*(tau-1)^2)
//
// Source: Span & Wagner, J. Phys. Chem. Ref. Data 25:1509 (1996), eq. 6.1 and
// table 32; Wagner & Pruss, J. Phys. Chem. Ref. Data 31:387 (2002), eq. 6.6.
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

// at evaluates the term. With x = delta-1 and y = x^2, g1 and g2 below are the
// first and second derivatives of the powers of y with respect to delta.
func (k *NonAnalytic) at(delta, tau float64) Derivs {
	delta, tau = awayFromOne(delta), awayFromOne(tau)
	x := delta - 1
	y := x * x
	ex := 1 / (2 * k.Beta)
	a0 := k.CapA * math.Pow(y, ex)
	a1 := a0 * 2 * ex / x
	a2 := a1 * (2*ex - 1) / x
	b0 := k.CapB * math.Pow(y, k.Alpha)
	b1 := b0 * 2 * k.Alpha / x
	b2 := b1 * (2*k.Alpha - 1) / x

	th := (1 - tau) + a0
	del := th*th + b0
	delD := 2*th*a1 + b1
	delT := -2 * th
	delDD := 2*a1*a1 + 2*th*a2 + b2
	delDT := -2 * a1

	pw := math.Pow(del, k.B)
	p1 := k.B * pw / del
	p2 := (k.B - 1) * p1 / del
	pwD, pwT := p1*delD, p1*delT
	pwDD := p2*delD*delD + p1*delDD
	pwDT := p2*delD*delT + p1*delDT
	pwTT := p2*delT*delT + p1*2

	z := tau - 1
	psi := math.Exp(-k.CapC*y - k.CapD*z*z)
	sD, sT := -2*k.CapC*x, -2*k.CapD*z
	psD, psT := sD*psi, sT*psi
	psDD := (sD*sD - 2*k.CapC) * psi
	psDT := sD * sT * psi
	psTT := (sT*sT - 2*k.CapD) * psi

	// f = pw*psi, value = n*delta*f.
	f := pw * psi
	fD := pwD*psi + pw*psD
	fT := pwT*psi + pw*psT
	fDD := pwDD*psi + 2*pwD*psD + pw*psDD
	fDT := pwDT*psi + pwD*psT + pwT*psD + pw*psDT
	fTT := pwTT*psi + 2*pwT*psT + pw*psTT

	n := k.N * delta
	d := n * (f + delta*fD)
	t := n * tau * fT
	return Derivs{
		A:  n * f,
		D:  d,
		T:  t,
		DD: n*delta*(2*fD+delta*fDD) + d,
		DT: n * tau * (fT + delta*fDT),
		TT: n*tau*tau*fTT + t,
	}
}
