package thermo

import (
	"math"
	"testing"
)

// The slopes of enthalpy and volume are those of the equations: central differences of them,
// for a gas and a liquid of each of some refrigerants, a blend with glide among them.
func TestSlopesOfAState(t *testing.T) {
	for _, name := range []string{"R134a", "R290", "R717", "R410A", "R449A"} {
		r, err := Lookup(name)
		if err != nil {
			t.Fatal(err)
		}
		low, err := r.DewP(263.15)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range []struct {
			p Pascal
			t Kelvin
		}{{low, 273.15}, {low * 3, 343.15}, {low * 6, 283.15}} {
			at := func(p Pascal, t Kelvin) State {
				s, errAt := r.At(p, t)
				if errAt != nil {
					err = errAt
				}
				return s
			}
			s := at(c.p, c.t)
			dp, dt := c.p*1e-4, Kelvin(0.01)
			slope := float64(at(c.p+dp, c.t).Enthalpy-at(c.p-dp, c.t).Enthalpy) / (2 * float64(dp))
			grows := math.Log(float64(at(c.p, c.t-dt).Density/at(c.p, c.t+dt).Density)) / (2 * float64(dt))
			if err != nil {
				t.Fatalf("%s at %g Pa and %g K: %v", name, c.p, c.t, err)
			}
			if got := s.EnthalpySlope(); math.Abs(got-slope) > 1e-3*math.Abs(slope)+1e-7 {
				t.Errorf("%s at %.0f Pa and %.2f K: enthalpy slope %g, want %g", name, c.p, c.t, got, slope)
			}
			if got := s.Expansivity(); math.Abs(got/grows-1) > 1e-3 {
				t.Errorf("%s at %.0f Pa and %.2f K: expansivity %g, want %g", name, c.p, c.t, got, grows)
			}
		}
	}
}
