package thermo

import (
	"math"
	"math/rand/v2"
	"testing"
)

// fastSet are the refrigerants whose fast path the tests try; the accuracy
// report does all.
var fastSet = []string{"R134a", "R32", "R290", "R717", "R744", "R1234yf", "R404A", "R407C", "R410A", "R448A", "R454B", "R455A", "R507A", "R513A"}

// TestFastSaturation: the curves agree with the equations at random points.
// Tolerances: a hundredth of what a saturation temperature needs (1 mK) and of
// density (1e-4), enthalpy 0.02 kJ/kg.
func TestFastSaturation(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for _, name := range fastSet {
		r := mustLookup(t, name)
		f, err := r.Fast()
		if err != nil {
			t.Fatal(err)
		}
		lo, hi := f.t.dew.Domain()
		for range 60 {
			p := Pascal(math.Exp(lo + rng.Float64()*(hi-lo)))
			compareSaturated(t, name, p, r.DewAt, f.DewAt)
			compareSaturated(t, name, p, r.BubbleAt, f.BubbleAt)
		}
		a, b := f.t.lnPD.Domain()
		for range 60 {
			temp := Kelvin(a + rng.Float64()*(b-a))
			want, errWant := r.DewP(temp)
			got, errGot := f.DewP(temp)
			if errWant != nil || errGot != nil || math.Abs(float64(got/want)-1) > 1e-8 {
				t.Errorf("%s: DewP(%g) = %.10g, %v; equations %.10g, %v", name, temp, got, errGot, want, errWant)
			}
			want, errWant = r.BubbleP(temp)
			got, errGot = f.BubbleP(temp)
			if (errWant == nil) != (errGot == nil) || errGot == nil && math.Abs(float64(got/want)-1) > 1e-8 {
				t.Errorf("%s: BubbleP(%g) = %.10g, %v; equations %.10g, %v", name, temp, got, errGot, want, errWant)
			}
		}
	}
}

func compareSaturated(t *testing.T, name string, p Pascal, exact func(Pascal) (State, error), fast func(Pascal) (Saturated, error)) {
	t.Helper()
	want, errWant := exact(p)
	got, errGot := fast(p)
	if (errWant == nil) != (errGot == nil) {
		t.Errorf("%s at %g Pa: fast %v, equations %v", name, p, errGot, errWant)
		return
	}
	if errGot != nil {
		return
	}
	if math.Abs(float64(got.T-want.T)) > 1e-5 || math.Abs(float64(got.Density/want.Density)-1) > 1e-6 ||
		math.Abs(float64(got.Enthalpy-want.Enthalpy)) > 1 || math.Abs(float64(got.Entropy-want.Entropy)) > 0.01 {
		t.Errorf("%s at %g Pa: fast %+v, equations %+v", name, p, got, want)
	}
}

// TestFastSinglePhase: the patches agree with the equations at random points:
// enthalpy 0.02 kJ/kg, entropy 5e-5 kJ/(kg K), density 1e-4 are required; the
// tolerances here are five times tighter.
func TestFastSinglePhase(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	for _, name := range fastSet {
		r := mustLookup(t, name)
		f, err := r.Fast()
		if err != nil {
			t.Fatal(err)
		}
		lo, hi := f.t.dew.Domain()
		lo = max(lo, math.Log(fastPatchP))
		for range 150 {
			p := Pascal(math.Exp(lo + rng.Float64()*(hi-lo)))
			dew, errD := r.DewT(p)
			bubble, errB := r.BubbleT(p)
			if errD == nil {
				compareState(t, f, p, dew+Kelvin(0.01+rng.Float64()*(fastSuperheat-1)))
			}
			if errB == nil {
				compareState(t, f, p, bubble-Kelvin(0.01+rng.Float64()*(fastSubcool-1)))
			}
		}
	}
}

func compareState(t *testing.T, f *Fast, p Pascal, temp Kelvin) {
	t.Helper()
	want, errWant := f.r.At(p, temp)
	got, errGot := f.At(p, temp)
	if (errWant == nil) != (errGot == nil) {
		t.Errorf("%s at %g Pa, %g K: fast %v, equations %v", f.r, p, temp, errGot, errWant)
		return
	}
	if errGot != nil {
		return
	}
	rel := func(a, b float64) float64 { return math.Abs(a/b - 1) }
	switch {
	case math.Abs(float64(got.Enthalpy-want.Enthalpy)) > 4,
		math.Abs(float64(got.Entropy-want.Entropy)) > 0.01,
		rel(float64(got.Density), float64(want.Density)) > 2e-5,
		rel(float64(got.Cp), float64(want.Cp)) > 1e-3,
		rel(float64(got.Cv), float64(want.Cv)) > 1e-3,
		rel(float64(got.Sound), float64(want.Sound)) > 1e-4:
		t.Errorf("%s at %g Pa, %g K:\nfast      %+v\nequations %+v", f.r, p, temp, got, want)
	}
}

// TestIsentropic: the fast isentropic enthalpy agrees with the equations.
func TestIsentropic(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 10))
	for _, name := range fastSet {
		r := mustLookup(t, name)
		f, err := r.Fast()
		if err != nil {
			t.Fatal(err)
		}
		for range 30 {
			p1, errP := r.DewP(Kelvin(250 + 30*rng.Float64()))
			p2, errQ := r.DewP(Kelvin(300 + 30*rng.Float64()))
			if errP != nil || errQ != nil {
				continue
			}
			dew, _ := r.DewT(p1)
			s, err := r.At(p1, dew+Kelvin(1+25*rng.Float64()))
			if err != nil {
				t.Fatal(err)
			}
			want, errWant := r.AtPS(p2, s.Entropy)
			got, errGot := f.IsentropicEnthalpy(p2, s.Entropy)
			if (errWant == nil) != (errGot == nil) || errGot == nil && math.Abs(float64(got-want.Enthalpy)) > 4 {
				t.Errorf("%s from %g to %g Pa: fast %g, %v; equations %g, %v", name, p1, p2, got, errGot, want.Enthalpy, errWant)
			}
		}
	}
}

// TestColumns: column calls equal scalar calls, list the bad rows and allocate
// nothing on good ones.
func TestColumns(t *testing.T) {
	f := mustFast(t, "R448A")
	p := []float64{2e5, -1, 8e5, math.NaN(), 9e9, 0, 1.5e6}
	dst := make([]float64, len(p))
	bad := f.DewTemperatures(dst, p)
	if len(bad) != 4 || bad[0].Row != 1 || bad[1].Row != 3 || bad[2].Row != 4 || bad[3].Row != 5 {
		t.Fatalf("bad rows: %+v", bad)
	}
	for i, v := range p {
		want, err := f.DewT(Pascal(v))
		if err == nil && dst[i] != float64(want) || (err != nil) != math.IsNaN(dst[i]) {
			t.Errorf("row %d: %g, scalar %g, %v", i, dst[i], want, err)
		}
	}
	good := []float64{2e5, 3e5, 4e5}
	temp := []float64{290, 291, 292}
	out := make([]float64, 3)
	for name, call := range map[string]func() []RowError{
		"DewTemperatures":    func() []RowError { return f.DewTemperatures(out, good) },
		"BubbleTemperatures": func() []RowError { return f.BubbleTemperatures(out, good) },
		"DewPressures":       func() []RowError { return f.DewPressures(out, temp) },
		"BubblePressures":    func() []RowError { return f.BubblePressures(out, temp) },
		"Superheats":         func() []RowError { return f.Superheats(out, good, temp) },
		"Subcoolings":        func() []RowError { return f.Subcoolings(out, good, temp) },
		"Enthalpies":         func() []RowError { return f.Enthalpies(out, good, temp) },
		"Entropies":          func() []RowError { return f.Entropies(out, good, temp) },
		"DewSlopes":          func() []RowError { return f.DewSlopes(out, good) },
		"BubbleSlopes":       func() []RowError { return f.BubbleSlopes(out, good) },
		"HeatCapacities":     func() []RowError { return f.HeatCapacities(out, good, temp) },
		"Densities":          func() []RowError { return f.Densities(out, good, temp) },
	} {
		if n := testing.AllocsPerRun(20, func() {
			if bad := call(); bad != nil {
				t.Errorf("%s: %v", name, bad)
			}
		}); n != 0 {
			t.Errorf("%s allocates %g times", name, n)
		}
	}
}

// TestFastSlopes: dT/dp of both lines agrees with the equations.
func TestFastSlopes(t *testing.T) {
	for _, name := range fastSet {
		r, f := mustLookup(t, name), mustFast(t, name)
		for _, p := range []Pascal{6e5, 1.1e6, 2.5e6} {
			for what, calls := range map[string][2]func(Pascal) (float64, error){
				"dew": {f.DewSlope, r.DewSlope}, "bubble": {f.BubbleSlope, r.BubbleSlope},
			} {
				got, errGot := calls[0](p)
				want, errWant := calls[1](p)
				if errGot != nil || errWant != nil || math.Abs(got/want-1) > 1e-5 {
					t.Errorf("%s %s at %g Pa: slope %.9g, %v; equations %.9g, %v", name, what, p, got, errGot, want, errWant)
				}
			}
		}
	}
}

// TestDense: above the critical pressure the dense patch of R744 agrees with the
// equations, away from the critical point itself, and so does an isentropic
// compression into it.
func TestDense(t *testing.T) {
	rng := rand.New(rand.NewPCG(19, 20))
	r, f := mustLookup(t, "R744"), mustFast(t, "R744")
	fast := 0
	for range 300 {
		p := Pascal(7.6e6 + 6e6*rng.Float64())
		temp := FromCelsius(-5 + 140*rng.Float64())
		s, ok := f.locate(float64(p), float64(temp))
		if !ok {
			continue
		}
		fast++
		want, err := r.At(p, temp)
		if err != nil || math.Abs(s.at(patchH)-float64(want.Enthalpy)) > 10 || math.Abs(s.at(patchS)-float64(want.Entropy)) > 0.03 ||
			math.Abs(math.Exp(s.at(patchLnRho))/float64(want.Density)-1) > 1e-4 {
			t.Errorf("%g Pa, %g K: fast h %g, s %g, rho %g; equations %+v, %v", p, temp, s.at(patchH), s.at(patchS), math.Exp(s.at(patchLnRho)), want, err)
		}
	}
	if fast < 270 {
		t.Errorf("only %d of 300 states were on the patch", fast)
	}
	for range 50 {
		s, err := r.At(Pascal(2.5e6+1.5e6*rng.Float64()), FromCelsius(8+15*rng.Float64()))
		if err != nil {
			t.Fatal(err)
		}
		p2 := Pascal(8e6 + 5e6*rng.Float64())
		want, errWant := r.IsentropicEnthalpy(p2, s.Entropy)
		got, errGot := f.IsentropicEnthalpy(p2, s.Entropy)
		if errWant != nil || errGot != nil || math.Abs(float64(got-want)) > 4 {
			t.Errorf("to %g Pa: fast %g, %v; equations %g, %v", p2, got, errGot, want, errWant)
		}
	}
}

func mustFast(t testing.TB, name string) *Fast {
	t.Helper()
	f, err := mustLookup(t, name).Fast()
	if err != nil {
		t.Fatal(err)
	}
	return f
}
