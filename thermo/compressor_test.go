package thermo

import (
	"errors"
	"math"
	"testing"
)

// TestPolynomialOrder: the ten terms are in the standards' order. With C1..C10 =
// 1..10, S = 2 and D = 3 each term has its own size: 1 + 4 + 9 + 16 + 30 + 54 +
// 56 + 96 + 162 + 270 = 698.
func TestPolynomialOrder(t *testing.T) {
	c := Polynomial{1, 2, 3, 4, 5, 6, 7, 8, 9, 10}
	if got := c.At(2, 3); got != 698 {
		t.Errorf("polynomial = %g, want 698", got)
	}
}

// testMap is an invented compressor for R134a: flow from a displacement of
// 6e-3 m3/s and power from 65 % efficiency at -10/40 degrees C, sloped about.
func testMap() *CompressorMap {
	return &CompressorMap{
		Flow:        Polynomial{190, 7.2, -0.35, 0.09},
		Power:       Polynomial{900, -14, 52, -0.9, 0.55},
		RatedReturn: 293.15,
		SuctionMin:  248.15, SuctionMax: 283.15, DischargeMin: 293.15, DischargeMax: 333.15,
	}
}

func TestMapAtRating(t *testing.T) {
	r := mustLookup(t, "R134a")
	m := testMap()
	if err := m.Validate(); err != nil {
		t.Fatal(err)
	}
	p1, _ := r.DewP(263.15)
	p2, _ := r.DewP(313.15)
	pt, err := m.At(r, p1, 293.15, p2)
	if err != nil {
		t.Fatal(err)
	}
	wantFlow := (190 - 72 - 0.35*40 + 9) / 3600.0
	wantPower := 900 + 140 + 52*40 - 90 - 0.55*400.0
	if math.Abs(float64(pt.Flow)/wantFlow-1) > 1e-9 || math.Abs(float64(pt.Power)/wantPower-1) > 1e-9 {
		t.Errorf("at the rated suction state: %.8g kg/s, %.8g W; want %.8g, %.8g", pt.Flow, pt.Power, wantFlow, wantPower)
	}
	if pt.Flow != pt.RatedFlow {
		t.Errorf("corrected flow %g differs from rated %g at the rated state", pt.Flow, pt.RatedFlow)
	}
}

// TestMapCorrection: colder gas is denser, so flow rises by 0.75 of the density
// ratio, and power follows flow and isentropic work (AHRI 540's formula).
func TestMapCorrection(t *testing.T) {
	r := mustLookup(t, "R134a")
	m := testMap()
	p1, _ := r.DewP(263.15)
	p2, _ := r.DewP(313.15)
	pt, err := m.At(r, p1, 268.15, p2)
	if err != nil {
		t.Fatal(err)
	}
	rated, _ := r.At(p1, 293.15)
	actual, _ := r.At(p1, 268.15)
	ratio := 1 + 0.75*(float64(actual.Density/rated.Density)-1)
	if math.Abs(float64(pt.Flow/pt.RatedFlow)/ratio-1) > 1e-12 || ratio < 1.05 {
		t.Errorf("flow ratio %.9g, want %.9g", pt.Flow/pt.RatedFlow, ratio)
	}
	out, _ := r.AtPS(p2, actual.Entropy)
	outRated, _ := r.AtPS(p2, rated.Entropy)
	work := float64(out.Enthalpy-actual.Enthalpy) / float64(outRated.Enthalpy-rated.Enthalpy)
	if got := float64(pt.Power/pt.RatedPower) / ratio; math.Abs(got/work-1) > 1e-9 {
		t.Errorf("power ratio over flow ratio %.9g, want %.9g", got, work)
	}
	fast, err := m.At(mustFast(t, "R134a"), p1, 268.15, p2)
	if err != nil || math.Abs(float64(fast.Power/pt.Power)-1) > 1e-4 {
		t.Errorf("fast path: %+v, %v; equations %+v", fast, err, pt)
	}
}

// TestMapUnits: the same compressor written in degrees F and lb/h gives the same
// point.
func TestMapUnits(t *testing.T) {
	r := mustLookup(t, "R134a")
	si := testMap()
	si.Flow, si.Power = Polynomial{190, 7.2, -0.35}, Polynomial{900, -14, 52}
	ip := *si
	ip.Units = MapIP
	// S_C = (S_F - 32)/1.8, and 1 kg/h = 1/0.45359237 lb/h.
	toIP := func(c Polynomial, unit float64) Polynomial {
		return Polynomial{(c[0] - (c[1]+c[2])*32/1.8) * unit, c[1] / 1.8 * unit, c[2] / 1.8 * unit}
	}
	ip.Flow, ip.Power = toIP(si.Flow, 1/0.45359237), toIP(si.Power, 1)
	p1, _ := r.DewP(263.15)
	p2, _ := r.DewP(313.15)
	a, errA := si.At(r, p1, 280, p2)
	b, errB := ip.At(r, p1, 280, p2)
	if err := errors.Join(errA, errB); err != nil {
		t.Fatal(err)
	}
	if math.Abs(float64(a.Flow/b.Flow)-1) > 1e-12 || math.Abs(float64(a.Power/b.Power)-1) > 1e-12 {
		t.Errorf("SI %+v, IP %+v", a, b)
	}
}

func TestMapGuards(t *testing.T) {
	r := mustLookup(t, "R134a")
	p1, _ := r.DewP(263.15)
	p2, _ := r.DewP(313.15)
	low, _ := r.DewP(243.15)
	high, _ := r.DewP(343.15)
	var rng *RangeError
	if _, err := testMap().At(r, low, 280, p2); !errors.As(err, &rng) {
		t.Errorf("below the envelope: %v", err)
	}
	if _, err := testMap().At(r, p1, 280, high); !errors.As(err, &rng) {
		t.Errorf("above the envelope: %v", err)
	}
	negative := testMap()
	negative.Flow = Polynomial{-1}
	if _, err := negative.At(r, p1, 280, p2); err == nil {
		t.Error("a negative flow was accepted")
	}
	units := testMap()
	units.Units = MapIP
	if _, err := units.At(r, p1, 280, p2); err == nil {
		t.Error("a map read in the wrong units was accepted")
	}
	wide := mustLookup(t, "R744")
	if _, err := testMap().At(wide, 3e6, 280, 9e6); err == nil {
		t.Error("a transcritical discharge pressure was accepted")
	}
	bad := &CompressorMap{Flow: Polynomial{math.NaN()}, FlowFactor: 2, Units: 9}
	if err := bad.Validate(); err == nil {
		t.Error("an invalid map was accepted")
	}
}

// TestMapMidpoint: a map in mean temperatures is read with the mean of bubble
// and dew temperature.
func TestMapMidpoint(t *testing.T) {
	r := mustLookup(t, "R407C")
	m := testMap()
	m.Flow, m.Power = Polynomial{300, 8}, Polynomial{2800, 5, 20}
	m.Midpoint = true
	p1, _ := r.DewP(263.15)
	p2, _ := r.DewP(313.15)
	pt, err := m.At(r, p1, 280, p2)
	if err != nil {
		t.Fatal(err)
	}
	glide, _ := r.Glide(p1)
	if math.Abs(float64(263.15-pt.Suction-glide/2)) > 1e-6 {
		t.Errorf("suction temperature %.4f K with a glide of %.4f K below a dew temperature of 263.15 K", pt.Suction, glide)
	}
}
