package energy

import (
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: got %.8g, want %.8g within %.2g", what, got, want, within)
	}
}

// Check values worked out with psychrolib 2.5.0 (MIT licence), itself tested
// against the tables of the ASHRAE Handbook.
func TestMoistAirAgainstPsychrolib(t *testing.T) {
	for at, pascal := range map[float64]float64{
		-40: 12.845249304105623, -20: 103.26037858050408, -5: 401.7641224788012, 0.01: 611.6570243908766,
		10: 1227.9952754407796, 25: 3169.2164701436277, 40: 7383.460008986119, 60: 19943.760621620728,
	} {
		near(t, "saturation pressure", SaturationPressure(at)*1000, pascal, 1e-5*pascal)
	}
	for _, c := range []struct{ t, rh, p, ratio, enthalpy, dew, volume float64 }{
		{25, 50, 101.325, 0.009881043690749623, 50.321958802184665, 13.863973265964844, 0.8580432638526019},
		{2, 85, 101.325, 0.0037051907394146104, 11.292465348826563, -0.2222486523300318, 0.7841117298922444},
		{-20, 90, 101.325, 0.0005709658117139219, -18.713254433099242, -21.093109914614175, 0.7178030180098618},
		{35, 40, 101.325, 0.01413165383445261, 71.47323690458885, 19.38464909971421, 0.8927882682968101},
		{10, 80, 85, 0.007272242836985333, 28.383143052068248, 6.713005486940737, 0.967368003053636},
		{27, 47, 101.325, 0.010464554504328961, 53.85938074253413, 14.735720540853622, 0.864596790703006},
	} {
		a, err := Humid(c.t, c.rh, c.p)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "humidity ratio", a.Ratio, c.ratio, 1e-5*c.ratio)
		near(t, "enthalpy", a.Enthalpy(), c.enthalpy, 1e-5*math.Abs(c.enthalpy))
		near(t, "volume", a.Volume(), c.volume, 1e-5*c.volume)
		near(t, "dew point", a.DewPoint(), c.dew, 0.01)
	}
	for _, rh := range []float64{-1, 101, math.NaN()} {
		if _, err := Humid(20, rh, 101.325); err == nil {
			t.Errorf("%v %% relative humidity is believed", rh)
		}
	}
}

// Laws: a dry coil has no latent part; moister air gives more heat to the same
// coil; leaving air is never past saturation at the surface.
func TestCoilLaws(t *testing.T) {
	last := 0.0
	for rh := 10.0; rh <= 95; rh += 5 {
		on, _ := Humid(27, rh, 101.325)
		s, l, err := Coil{On: on, Off: 14, Surface: 9, Flow: 2000}.Heat()
		if err != nil || l < 0 || s+l < last-0.05 {
			t.Fatalf("at %v %%: sensible %.2f, latent %.2f kW, %v; before %.2f", rh, s, l, err, last)
		}
		if dew := on.DewPoint(); dew < 9 && l != 0 {
			t.Errorf("at %v %% the dew point is %.1f °C, above it the coil is dry; latent %.2f kW", rh, dew, l)
		}
		last = s + l
	}
	if _, _, err := (Coil{On: Air{27, 0.012, 101.325}, Off: 8, Surface: 9, Flow: 2000}).Heat(); err == nil {
		t.Error("air colder than the coil it left is believed")
	}
}

// An example by hand: 2000 m³/h at 27 °C, 47 % (v 0.8646, h 53.859, 10.4646 g/kg) leave a
// coil of 10 °C at 14 °C. Bypass 4/17; wall 7.6301 g/kg (psychrolib, saturated at 10 °C);
// leaving 7.6301+0.23529·2.8345 = 8.2970 g/kg, h = 1.006·14+0.0082970·(2501+1.86·14) = 35.051;
// removed 2.1676 g/kg of 41.86 kJ/kg: 0.091. Dry air 2000/3600/0.8646 = 0.64255 kg/s:
// (53.859-35.051-0.091)·0.64255 = 12.027 kW.
func TestCoilByHand(t *testing.T) {
	on, _ := Humid(27, 47, 101.325)
	s, l, err := Coil{On: on, Off: 14, Surface: 10, Flow: 2000}.Heat()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "total heat, kW", s+l, 12.027, 0.002)
	near(t, "sensible heat, kW", s, 0.64255*(1.006+1.86*0.0104646)*13, 0.01)
}
