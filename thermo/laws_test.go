package thermo

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

var pureFluids = []string{
	"R134a", "R32", "R125", "R143a", "R152a", "R22", "R290", "R600a", "R1270", "R717", "R744", "R1234yf", "R1234ze(E)",
}

// TestSaturationRoundTrip: T(p(T)) = T on both lines, and the slope is that of
// a finite difference.
func TestSaturationRoundTrip(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, name := range pureFluids {
		r := mustLookup(t, name)
		tc, _ := r.Critical()
		lo := float64(r.Range().TMin)
		for range 20 {
			want := Kelvin(lo + rng.Float64()*(0.98*float64(tc)-lo))
			p, err := r.DewP(want)
			if err != nil {
				t.Fatal(err)
			}
			got, err := r.DewT(p)
			if err != nil || math.Abs(float64(got-want)) > 1e-8 {
				t.Errorf("%s: DewT(DewP(%g)) = %.12g, %v", name, want, got, err)
			}
			b, err := r.BubbleT(p)
			if err != nil || math.Abs(float64(b-want)) > 1e-8 {
				t.Errorf("%s: bubble and dew of a pure fluid differ: %.12g, %.12g, %v", name, b, want, err)
			}
			s, err := r.DewSlope(p)
			hi, _ := r.DewT(p * 1.0001)
			low, _ := r.DewT(p * 0.9999)
			if diff := float64(hi-low) / float64(p*0.0002); err != nil || math.Abs(s/diff-1) > 1e-6 {
				t.Errorf("%s at %g Pa: slope %.9g, finite difference %.9g, %v", name, p, s, diff, err)
			}
		}
	}
}

// TestClapeyron: dp/dT = (h"-h')/(T(v"-v')) along the saturation line of a pure
// fluid (Clausius-Clapeyron).
func TestClapeyron(t *testing.T) {
	for _, name := range pureFluids {
		r := mustLookup(t, name)
		tc, _ := r.Critical()
		for _, reduced := range []float64{0.75, 0.85, 0.95} {
			p, err := r.DewP(Kelvin(reduced) * tc)
			if err != nil {
				t.Fatal(err)
			}
			l, _ := r.BubbleAt(p)
			v, _ := r.DewAt(p)
			s, _ := r.DewSlope(p)
			want := float64(l.T) * (1/float64(v.Density) - 1/float64(l.Density)) / float64(v.Enthalpy-l.Enthalpy)
			if math.Abs(s/want-1) > 1e-8 {
				t.Errorf("%s at %g Tc: dT/dp = %.10g, Clapeyron %.10g", name, reduced, s, want)
			}
			if ds := float64(v.Entropy-l.Entropy) * float64(l.T); math.Abs(ds/float64(v.Enthalpy-l.Enthalpy)-1) > 1e-9 {
				t.Errorf("%s at %g Tc: Gibbs energies differ", name, reduced)
			}
		}
	}
}

// TestSinglePhaseLaws: at random states enthalpy rises with temperature by cp,
// entropy falls with pressure by the thermal expansion (Maxwell), cp > cv, the
// speed of sound is real, and the inverse calls come back.
func TestSinglePhaseLaws(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for _, name := range pureFluids {
		r := mustLookup(t, name)
		_, pc := r.Critical()
		checked := 0
		for range 60 {
			p := Pascal(math.Exp(math.Log(2e4) + rng.Float64()*math.Log(2*float64(pc)/2e4)))
			temp := Kelvin(max(float64(r.Range().TMin), 210) + rng.Float64()*170)
			s, err := r.At(p, temp)
			if err != nil {
				continue
			}
			const d = 0.01
			up, err1 := r.At(p, temp+d)
			down, err2 := r.At(p, temp-d)
			dense, err3 := r.At(p*1.0001, temp)
			thin, err4 := r.At(p*0.9999, temp)
			if errors.Join(err1, err2, err3, err4) != nil {
				continue
			}
			checked++
			if cp := float64(up.Enthalpy-down.Enthalpy) / (2 * d); math.Abs(cp/float64(s.Cp)-1) > 1e-4 {
				t.Errorf("%s %g Pa %g K: dh/dT = %g, cp = %g", name, p, temp, cp, s.Cp)
			}
			left := float64(dense.Entropy-thin.Entropy) / (0.0002 * float64(p))
			right := -(1/float64(up.Density) - 1/float64(down.Density)) / (2 * d)
			if math.Abs(left-right) > 2e-4*math.Abs(right) {
				t.Errorf("%s %g Pa %g K: Maxwell ds/dp = %g, -dv/dT = %g", name, p, temp, left, right)
			}
			if !(s.Cp > s.Cv && s.Cv > 0 && s.Sound > 0) {
				t.Errorf("%s %g Pa %g K: cp %g, cv %g, sound %g", name, p, temp, s.Cp, s.Cv, s.Sound)
			}
			checkInverse(t, r, s)
		}
		if checked < 25 {
			t.Errorf("%s: only %d states checked", name, checked)
		}
	}
}

func checkInverse(t *testing.T, r *Refrigerant, s State) {
	t.Helper()
	h, err := r.AtPH(s.P, s.Enthalpy)
	if err != nil || math.Abs(float64(h.T-s.T)) > 1e-6 {
		t.Errorf("%s: AtPH(%g, %g) = %.9g K, %v; want %.9g", r, s.P, s.Enthalpy, h.T, err, s.T)
	}
	e, err := r.AtPS(s.P, s.Entropy)
	if err != nil || math.Abs(float64(e.T-s.T)) > 1e-6 {
		t.Errorf("%s: AtPS(%g, %g) = %.9g K, %v; want %.9g", r, s.P, s.Entropy, e.T, err, s.T)
	}
}
