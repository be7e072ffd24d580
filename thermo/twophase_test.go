package thermo

import (
	"errors"
	"math"
	"testing"
)

// TestTwoPhase checks laws of a two-phase state at constant pressure: the ends
// are bubble and dew point, quality and temperature rise with enthalpy (a pure
// fluid stays at its temperature), and T*ds = dh along the line.
func TestTwoPhase(t *testing.T) {
	for _, name := range []string{"R134a", "R744", "R410A", "R407C", "R448A", "R455A", "R507A", "R515B", "R470B", "R445A"} {
		r := mustLookup(t, name)
		const p = 8e5
		bubble, errB := r.BubbleAt(p)
		dew, errD := r.DewAt(p)
		if errB != nil || errD != nil {
			t.Fatal(name, errB, errD)
		}
		before := TwoPhase{T: bubble.T, Enthalpy: bubble.Enthalpy, Entropy: bubble.Entropy}
		const steps = 16
		for k := 1; k <= steps; k++ {
			h := bubble.Enthalpy + JoulePerKg(float64(k)/steps)*(dew.Enthalpy-bubble.Enthalpy)
			s, err := r.TwoPhaseAtPH(p, h)
			if err != nil {
				t.Errorf("%s, step %d: %v", name, k, err)
				continue
			}
			dh, ds := float64(s.Enthalpy-before.Enthalpy), float64(s.Entropy-before.Entropy)
			mean := float64(s.T+before.T) / 2
			if math.Abs(mean*ds/dh-1) > 1e-3 { // the mean temperature of a step of wide glide is this good
				t.Errorf("%s, step %d: T*ds = %g, dh = %g", name, k, mean*ds, dh)
			}
			if s.Quality <= before.Quality || float64(s.T-before.T) < -1e-7 {
				t.Errorf("%s, step %d: quality %g after %g, temperature %g after %g", name, k, s.Quality, before.Quality, s.T, before.T)
			}
			before = s
		}
		if math.Abs(float64(before.T-dew.T)) > 1e-6 || math.Abs(before.Quality-1) > 1e-9 {
			t.Errorf("%s: ends at %g K, quality %g; dew point %g K", name, before.T, before.Quality, dew.T)
		}
		var rng *RangeError
		if _, err := r.Quality(p, dew.Enthalpy+1); !errors.As(err, &rng) {
			t.Errorf("%s: quality above the dew point: %v", name, err)
		}
	}
}

// TestTwoPhaseRefused: a state between bubble and dew asked as one phase is a
// *TwoPhaseError.
func TestTwoPhaseRefused(t *testing.T) {
	r := mustLookup(t, "R407C")
	bubble, _ := r.BubbleAt(5e5)
	dew, _ := r.DewAt(5e5)
	var two *TwoPhaseError
	if _, err := r.At(5e5, (bubble.T+dew.T)/2); !errors.As(err, &two) {
		t.Errorf("At between bubble and dew: %v", err)
	}
	if _, err := r.AtPH(5e5, (bubble.Enthalpy+dew.Enthalpy)/2); !errors.As(err, &two) {
		t.Errorf("AtPH between bubble and dew: %v", err)
	}
	if _, err := r.AtPS(5e5, (bubble.Entropy+dew.Entropy)/2); !errors.As(err, &two) {
		t.Errorf("AtPS between bubble and dew: %v", err)
	}
}
