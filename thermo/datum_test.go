package thermo

import (
	"math"
	"sync"
	"testing"
)

// TestDatum: the values at the datum states are those the datum says, and
// differences do not depend on it.
func TestDatum(t *testing.T) {
	for _, name := range []string{"R134a", "R32", "R717", "R290", "R245fa", "R1234ze(E)", "R404A", "R448A", "R455A", "R508B", "R170"} {
		r := mustLookup(t, name)
		for _, c := range []struct {
			d    Datum
			temp Kelvin // 0: the bubble point of 101.325 kPa
			h, s float64
		}{{IIR, 273.15, 200e3, 1e3}, {ASHRAE, 233.15, 0, 0}, {NBP, 0, 0, 0}} {
			x := r.WithDatum(c.d)
			p := Pascal(101325)
			if c.temp > 0 {
				var err error
				if p, err = x.BubbleP(c.temp); err != nil {
					t.Fatalf("%s %s: %v", name, c.d, err)
				}
			}
			l, err := x.BubbleAt(p)
			if err != nil || math.Abs(float64(l.Enthalpy)-c.h) > 1e-3 || math.Abs(float64(l.Entropy)-c.s) > 1e-5 {
				t.Errorf("%s %s: h' %.6f J/kg, s' %.6f J/(kg K), %v; want %g, %g", name, c.d, l.Enthalpy, l.Entropy, err, c.h, c.s)
			}
			if x.Datum() != c.d {
				t.Errorf("%s: datum %s, want %s", name, x.Datum(), c.d)
			}
		}
	}
	iir, nbp := mustLookup(t, "R410A"), mustLookup(t, "R410A").WithDatum(NBP)
	a1, _ := iir.At(3e5, 290)
	a2, _ := iir.At(2e6, 350)
	b1, _ := nbp.At(3e5, 290)
	b2, _ := nbp.At(2e6, 350)
	if math.Abs(float64((a2.Enthalpy-a1.Enthalpy)-(b2.Enthalpy-b1.Enthalpy))) > 1e-6 {
		t.Errorf("enthalpy difference %g by IIR, %g by NBP", a2.Enthalpy-a1.Enthalpy, b2.Enthalpy-b1.Enthalpy)
	}
	f, err := nbp.Fast()
	if err != nil {
		t.Fatal(err)
	}
	if got, err := f.At(3e5, 290); err != nil || math.Abs(float64(got.Enthalpy-b1.Enthalpy)) > 1 || math.Abs(float64(got.Entropy-b1.Entropy)) > 0.01 {
		t.Errorf("fast path in NBP: %+v, %v; equations %+v", got, err, b1)
	}
}

// TestDatumFallback: where a datum's own state does not exist, the documented
// one is used, and there is still an answer.
func TestDatumFallback(t *testing.T) {
	for _, c := range []struct {
		name string
		d    Datum
		p    Pascal // a saturated liquid that is the datum
		h    float64
	}{
		{"R14", IIR, 101325, 200e3},
		{"R50", IIR, 101325, 200e3},
		{"R14", ASHRAE, 101325, 0},
	} {
		l, err := mustLookup(t, c.name).WithDatum(c.d).BubbleAt(c.p)
		if err != nil || math.Abs(float64(l.Enthalpy)-c.h) > 1e-3 {
			t.Errorf("%s %s: %g J/kg, %v; want %g", c.name, c.d, l.Enthalpy, err, c.h)
		}
	}
	for _, name := range []string{"R744", "R718", "R1132(E)", "R1234ze(Z)"} {
		for _, d := range []Datum{IIR, ASHRAE, NBP} {
			r := mustLookup(t, name).WithDatum(d)
			if s, err := r.At(1e4, 320); err != nil || math.IsNaN(float64(s.Enthalpy)) {
				t.Errorf("%s %s: %+v, %v", name, d, s, err)
			}
		}
	}
}

func TestParseDatum(t *testing.T) {
	for in, want := range map[string]Datum{"iir": IIR, "ASHRAE": ASHRAE, "Nbp": NBP} {
		if got, err := ParseDatum(in); err != nil || got != want {
			t.Errorf("ParseDatum(%q) = %s, %v", in, got, err)
		}
	}
	if _, err := ParseDatum("sea level"); err == nil {
		t.Error("an unknown datum was accepted")
	}
}

// TestShared: one refrigerant may be used from many goroutines from the first
// call on, and all get the same answer.
func TestShared(t *testing.T) {
	c := newCore(registry().byName["R454A"])
	e := *registry().byName["R454A"]
	e.core = c
	r := &Refrigerant{entry: &e}
	var wg sync.WaitGroup
	got := make([]State, 8)
	for i := range got {
		wg.Go(func() {
			f, err := r.Fast()
			if err != nil {
				t.Error(err)
				return
			}
			s, err := r.At(8e5, 300+Kelvin(i%2))
			if err != nil {
				t.Error(err)
			}
			if _, err := f.At(8e5, 300); err != nil {
				t.Error(err)
			}
			got[i] = s
		})
	}
	wg.Wait()
	for i := range got {
		if got[i] != got[i%2] {
			t.Errorf("goroutine %d: %+v, want %+v", i, got[i], got[i%2])
		}
	}
}
