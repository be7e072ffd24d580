package thermo

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// TestBadInput: every kind of bad input is an error that names the refrigerant,
// the value with its unit and the valid range, and no NaN comes back.
func TestBadInput(t *testing.T) {
	r := mustLookup(t, "R134a")
	blend := mustLookup(t, "R448A")
	nan := math.NaN()
	second := func(_ any, err error) error { return err }
	for what, err := range map[string]error{
		"zero pressure":               second(r.DewT(0)),
		"negative pressure":           second(r.BubbleT(-5)),
		"NaN pressure":                second(r.DewT(Pascal(nan))),
		"infinite pressure":           second(r.At(Pascal(math.Inf(1)), 300)),
		"below the triple point":      second(r.DewP(160)),
		"pressure below triple point": second(r.DewT(100)),
		"NaN temperature":             second(r.BubbleP(Kelvin(nan))),
		"state at zero pressure":      second(r.At(0, 300)),
		"state too hot":               second(r.At(1e5, 500)),
		"state too cold":              second(r.At(1e5, 150)),
		"state NaN":                   second(r.At(1e5, Kelvin(nan))),
		"pressure too high":           second(r.At(1e9, 300)),
		"superheat of NaN":            second(r.Superheat(1e5, Kelvin(nan))),
		"subcooling far too cold":     second(r.Subcooling(1e5, 2)),
		"enthalpy too high":           second(r.AtPH(1e5, 1e7)),
		"enthalpy too low":            second(r.AtPH(1e5, -1e7)),
		"enthalpy NaN":                second(r.AtPH(1e5, JoulePerKg(nan))),
		"entropy too high":            second(r.AtPS(1e5, 1e5)),
		"quality of gas":              second(r.Quality(1e5, 5e5)),
		"blend too cold":              second(blend.BubbleP(120)),
		"blend state too cold":        second(blend.At(1e6, 120)),
		"condensing at zero":          second(r.CondensingAt(0)),
	} {
		var rng *RangeError
		if !errors.As(err, &rng) {
			t.Errorf("%s: %v is no RangeError", what, err)
			continue
		}
		text := err.Error()
		if !strings.Contains(text, rng.Refrigerant) || !strings.Contains(text, rng.Unit) || rng.Unit == "" || rng.Refrigerant == "" {
			t.Errorf("%s: %q names no refrigerant or unit", what, text)
		}
	}
}

// TestSupercritical: no saturation at or above the critical point, told by its
// own error type and by Condensing.
func TestSupercritical(t *testing.T) {
	r := mustLookup(t, "R744")
	_, pc := r.Critical()
	for what, call := range map[string]func() error{
		"DewT":     func() error { _, err := r.DewT(pc); return err },
		"BubbleT":  func() error { _, err := r.BubbleT(9e6); return err },
		"DewP":     func() error { _, err := r.DewP(305); return err },
		"DewAt":    func() error { _, err := r.DewAt(1e7); return err },
		"blend":    func() error { _, err := mustLookup(t, "R410A").BubbleT(6e6); return err },
		"blend T":  func() error { _, err := mustLookup(t, "R410A").DewP(350); return err },
		"fast":     func() error { _, err := mustFast(t, "R744").DewT(9e6); return err },
		"quality":  func() error { _, err := r.Quality(9e6, 3e5); return err },
		"subcools": func() error { _, err := r.Subcooling(9e6, 300); return err },
	} {
		var super *SupercriticalError
		if err := call(); !errors.As(err, &super) || super.Critical.T == 0 {
			t.Errorf("%s: %v is no SupercriticalError", what, err)
		}
	}
	c, err := r.CondensingAt(9e6)
	if err != nil || !c.Transcritical {
		t.Errorf("CondensingAt(9 MPa) = %+v, %v; want transcritical", c, err)
	}
	c, err = r.CondensingAt(6e6)
	if err != nil || c.Transcritical || math.Abs(c.Midpoint().Celsius()-22) > 0.1 {
		t.Errorf("CondensingAt(6 MPa) = %+v, %v; want about 22.0 C", c, err)
	}
	// Above the critical point there is one phase, and it has properties. 10 MPa,
	// 40 C: 628.6 kg/m3 (Span & Wagner 1996, table of single-phase states, from memory).
	s, err := r.At(10e6, 313.15)
	if err != nil || math.Abs(float64(s.Density)-628.6) > 0.2 {
		t.Errorf("R744 at 10 MPa, 40 C: %.2f kg/m3, %v; want 628.6", s.Density, err)
	}
}

// TestNearCritical: blends are refused beyond the ends of their lines, never
// given a trivial solution.
func TestNearCritical(t *testing.T) {
	for _, name := range []string{"R410A", "R454B", "R407C", "R455A", "R508B", "R502"} {
		r := mustLookup(t, name)
		tc, pc := r.Critical()
		for _, reduced := range []float64{0.9, 0.95, 0.98} {
			bubble, errB := r.BubbleP(Kelvin(reduced) * tc)
			dew, errD := r.DewP(Kelvin(reduced) * tc)
			if errB != nil || errD != nil {
				t.Errorf("%s at %g Tc: %v, %v", name, reduced, errB, errD)
				continue
			}
			l, _ := r.BubbleAt(bubble)
			v, _ := r.DewAt(dew)
			if !(l.Density > 1.2*v.Density) || dew > bubble*(1+1e-9) {
				t.Errorf("%s at %g Tc: densities %g and %g, pressures %g and %g", name, reduced, l.Density, v.Density, bubble, dew)
			}
		}
		if p, err := r.BubbleP(tc * 1.01); err == nil {
			t.Errorf("%s: bubble pressure %g above the critical temperature", name, p)
		}
		if temp, err := r.DewT(pc * 1.02); err == nil {
			t.Errorf("%s: dew temperature %g above the critical pressure", name, temp)
		}
	}
}
