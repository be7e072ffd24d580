package helmholtz

import (
	"math"
	"testing"
)

// TestDerivatives checks the logarithmic derivatives of every kind of term
// against central differences, at places with no symmetry. The figures of the
// terms are invented, of the size of published ones.
func TestDerivatives(t *testing.T) {
	kinds := map[string]*Residual{
		"power":                NewResidual([]Term{{Kind: Power, N: 0.7, D: 2, T: 1.3, L: 2, G: 1}, {Kind: Power, N: -0.2, D: 1, T: 0.25}}, nil),
		"power with g":         NewResidual([]Term{{Kind: Power, N: 0.7, D: 2, T: 1.3, L: 2, G: 0.98}}, nil),
		"broken exponents":     NewResidual([]Term{{Kind: Power, N: 0.7, D: 1.5, T: 1.3, L: 2.5, G: 1}}, nil),
		"gaussian":             NewResidual([]Term{{Kind: Gaussian, N: 1.4, D: 1, T: 1.33, Eta: 1, Eps: 0.73, Beta: 1.2, Gam: 0.94}}, nil),
		"lemmon 2005":          NewResidual([]Term{{Kind: Lemmon2005, N: 0.3, D: 2, T: 3, L: 1, G: 1, M: 1.7}}, nil),
		"lemmon without delta": NewResidual([]Term{{Kind: Lemmon2005, N: 0.3, D: 2, T: 3, M: 1.7}}, nil),
		"gao b":                NewResidual([]Term{{Kind: GaoB, N: -1.7, D: 1, T: 4.3, Eta: -2.8, Eps: 0.45, Beta: 0.37, Gam: 1.1, B0: 1.24}}, nil),
		"gerg":                 NewResidual([]Term{{Kind: GERG, N: 0.14, D: 2, T: 3.3, Eta: 0.75, Eps: 0.5, Beta: 1.5, Gam: 0.5}}, nil),
		"non-analytic": NewResidual(nil, []NonAnalytic{
			{N: -0.67, Alpha: 3.5, B: 0.875, Beta: 0.3, CapA: 0.7, CapB: 0.3, CapC: 10, CapD: 275},
		}),
	}
	for name, r := range kinds {
		for _, at := range [][2]float64{{0.3, 1.2}, {1.1, 1.03}, {2.4, 0.8}} {
			checkDerivatives(t, name, r, at[0], at[1])
		}
	}
}

func eval(r *Residual, delta, tau float64) Derivs {
	var w Isotherm
	r.AtTau(&w, tau)
	return r.Sum(&w, delta)
}

func checkDerivatives(t *testing.T, name string, r *Residual, delta, tau float64) {
	t.Helper()
	const h = 1e-5
	up, down := math.Exp(h), math.Exp(-h)
	a := eval(r, delta, tau)
	d1, d0 := eval(r, delta*up, tau), eval(r, delta*down, tau)
	t1, t0 := eval(r, delta, tau*up), eval(r, delta, tau*down)
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"D", a.D, (d1.A - d0.A) / (2 * h)},
		{"T", a.T, (t1.A - t0.A) / (2 * h)},
		{"DD", a.DD, (d1.D - d0.D) / (2 * h)},
		{"TT", a.TT, (t1.T - t0.T) / (2 * h)},
		{"DT", a.DT, (t1.D - t0.D) / (2 * h)},
		{"DT", a.DT, (d1.T - d0.T) / (2 * h)},
	} {
		if math.Abs(c.got-c.want) > 1e-7*(math.Abs(c.want)+math.Abs(a.A)+1e-3) {
			t.Errorf("%s at delta %g, tau %g: %s = %.10g, difference %.10g", name, delta, tau, c.what, c.got, c.want)
		}
	}
	var w Isotherm
	r.AtTau(&w, tau)
	if d, dd := r.SumDelta(&w, delta); math.Abs(d-a.D) > 1e-13*(1+math.Abs(a.D)) || math.Abs(dd-a.DD) > 1e-13*(1+math.Abs(a.DD)) {
		t.Errorf("%s: short path %g, %g; full %g, %g", name, d, dd, a.D, a.DD)
	}
}

// TestAbsentExponent: an exponent of 0 means that the exponential is absent, not
// exp(-1).
func TestAbsentExponent(t *testing.T) {
	r := NewResidual([]Term{{Kind: Lemmon2005, N: 2, D: 1, T: 1}}, nil)
	if a := eval(r, 0.5, 3); math.Abs(a.A-3) > 1e-15 {
		t.Errorf("2*0.5*3 = %g, want 3", a.A)
	}
}

func TestIdealDerivatives(t *testing.T) {
	id := Ideal{A1: -3, A2: 5, LogTau: 2.5, Power: []NT{{-49.8, -0.1}}, Planck: []NT{{2.3, 0.93}, {7.3, 5}}}
	const h = 1e-5
	for _, tau := range []float64{0.6, 1, 2.2} {
		_, dt, dtt := id.At(tau)
		a1, t1, _ := id.At(tau * math.Exp(h))
		a0, t0, _ := id.At(tau * math.Exp(-h))
		if want := (a1 - a0) / (2 * h); math.Abs(dt-want) > 1e-7*math.Abs(want) {
			t.Errorf("tau %g: first derivative %.10g, difference %.10g", tau, dt, want)
		}
		if want := (t1 - t0) / (2 * h); math.Abs(dtt-want) > 1e-7*math.Abs(want) {
			t.Errorf("tau %g: second derivative %.10g, difference %.10g", tau, dtt, want)
		}
	}
}

// BenchmarkSum is one full evaluation on an isotherm.
func BenchmarkSum(b *testing.B) {
	r := NewResidual([]Term{
		{Kind: Power, N: 0.7, D: 2, T: 1.3, L: 2, G: 1}, {Kind: Power, N: -0.2, D: 1, T: 0.25}, {Kind: Power, N: 0.1, D: 4, T: 5, L: 1, G: 1},
		{Kind: Gaussian, N: 1.4, D: 1, T: 1.33, Eta: 1, Eps: 0.73, Beta: 1.2, Gam: 0.94},
	}, nil)
	var w Isotherm
	r.AtTau(&w, 1.1)
	for b.Loop() {
		r.Sum(&w, 0.9)
	}
}
