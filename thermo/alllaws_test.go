package thermo

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestEveryRefrigerant: for all 200, at random temperatures from -60 degrees C
// (or the cold end) to 0.98 of the critical temperature, both saturation lines
// come back from their inverse, dew pressure is not above bubble pressure, the
// liquid is denser, the slope is that of a finite difference, and the single
// phases beside the lines exist.
func TestEveryRefrigerant(t *testing.T) {
	for _, name := range Names() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := mustLookup(t, name)
			rng := rand.New(rand.NewPCG(21, uint64(len(name))))
			tc, pc := r.Critical()
			l, err := r.entry.core.lines()
			if err != nil {
				t.Fatal(err)
			}
			coldB, _, _, _ := l.bubble.Range()
			coldD, _, _, _ := l.dew.Range()
			low := max(coldB, coldD, min(213.15, 0.7*float64(tc)))
			if low > 215 && r.Range().TMin < 213 {
				t.Errorf("lines begin at %.1f K although the equations reach down to %.1f K", low, r.Range().TMin)
			}
			if !(tc > 190 && tc < 700 && pc > 2e6 && pc < 3e7) {
				t.Errorf("critical point %g K, %g Pa", tc, pc)
			}
			for range 8 {
				checkLines(t, r, Kelvin(low+rng.Float64()*(0.98*float64(tc)-low)))
			}
		})
	}
}

func checkLines(t *testing.T, r *Refrigerant, want Kelvin) {
	t.Helper()
	bubble, errB := r.BubbleP(want)
	dew, errD := r.DewP(want)
	if errB != nil || errD != nil {
		t.Errorf("at %g K: %v, %v", want, errB, errD)
		return
	}
	tb, errB := r.BubbleT(bubble)
	td, errD := r.DewT(dew)
	if errB != nil || errD != nil || math.Abs(float64(tb-want)) > 1e-7 || math.Abs(float64(td-want)) > 1e-7 {
		t.Errorf("at %g K: bubble comes back as %.10g, %v; dew as %.10g, %v", want, tb, errB, td, errD)
	}
	if dew > bubble*(1+1e-9) {
		t.Errorf("at %g K: dew pressure %g above bubble pressure %g", want, dew, bubble)
	}
	l, errL := r.BubbleAt(bubble)
	v, errV := r.DewAt(dew)
	if errL != nil || errV != nil || !(l.Density > v.Density) || !(v.Enthalpy > l.Enthalpy) || !(l.Sound > 0 && v.Sound > 0) {
		t.Errorf("at %g K: liquid %+v, vapour %+v, %v, %v", want, l, v, errL, errV)
	}
	slope, _ := r.BubbleSlope(bubble)
	up, _ := r.BubbleT(bubble * 1.0001)
	down, _ := r.BubbleT(bubble * 0.9999)
	if diff := float64(up-down) / (0.0002 * float64(bubble)); math.Abs(slope/diff-1) > 1e-5 {
		t.Errorf("at %g K: bubble slope %.8g, finite difference %.8g", want, slope, diff)
	}
	gas, errG := r.At(dew, want+5)
	if errG != nil || !(gas.Density < v.Density && gas.Enthalpy > v.Enthalpy) {
		t.Errorf("gas 5 K above dew at %g K: %+v, %v", want, gas, errG)
	}
	if cold := want - 3; cold > r.Range().TMin {
		liquid, err := r.At(bubble, cold)
		if err != nil || !(liquid.Density > l.Density && liquid.Enthalpy < l.Enthalpy) {
			t.Errorf("liquid 3 K below bubble at %g K: %+v, %v", want, liquid, err)
		}
	}
}

// FuzzStates: whatever is asked, the answer is an error or finite, never a NaN,
// and nothing panics.
func FuzzStates(f *testing.F) {
	f.Add(uint16(3), 1e5, 300.0, 4e5, 1.7e3)
	f.Add(uint16(60), -1.0, 1e9, math.Inf(1), math.NaN())
	f.Add(uint16(120), 3.7e6, 345.0, 3.5e5, 1500.0)
	f.Add(uint16(199), 7.4e6, 304.2, 3.3e5, 1.4e3)
	f.Fuzz(func(t *testing.T, which uint16, p, temp, h, s float64) {
		names := Names()
		r := mustLookup(t, names[int(which)%len(names)])
		check := func(what string, err error, values ...float64) {
			if err != nil {
				return
			}
			for _, v := range values {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Errorf("%s: %s(p %g, T %g, h %g, s %g) = %v", r, what, p, temp, h, s, values)
				}
			}
		}
		state := func(what string, x State, err error) {
			check(what, err, float64(x.T), float64(x.P), float64(x.Density), float64(x.Enthalpy), float64(x.Entropy), float64(x.Cp), float64(x.Cv), float64(x.Sound))
			if err == nil && !(x.Density > 0 && x.T > 0) {
				t.Errorf("%s: %s gives %+v", r, what, x)
			}
		}
		dew, err := r.DewT(Pascal(p))
		check("DewT", err, float64(dew))
		bubble, err := r.BubbleP(Kelvin(temp))
		check("BubbleP", err, float64(bubble))
		x, err := r.At(Pascal(p), Kelvin(temp))
		state("At", x, err)
		x, err = r.AtPH(Pascal(p), JoulePerKg(h))
		state("AtPH", x, err)
		x, err = r.AtPS(Pascal(p), JoulePerKgK(s))
		state("AtPS", x, err)
		q, err := r.Quality(Pascal(p), JoulePerKg(h))
		check("Quality", err, q)
	})
}
