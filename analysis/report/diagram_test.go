package report

import (
	"math"
	"strings"
	"testing"

	"rimelog/pipeline/table"
	"rimelog/thermo"
)

// machine is a visit to an R134a machine that evaporates at -10 and condenses at
// 40 degrees C with 8 K superheat and 5 K subcooling.
func machine(t *testing.T) (*thermo.Refrigerant, table.Visit) {
	t.Helper()
	r, err := thermo.Lookup("R134a")
	if err != nil {
		t.Fatal(err)
	}
	low, err1 := r.DewP(thermo.FromCelsius(-10))
	high, err2 := r.DewP(thermo.FromCelsius(40))
	if err1 != nil || err2 != nil {
		t.Fatal(err1, err2)
	}
	return r, table.Visit{Start: on("2025-10-03"), Use: table.UseTrend, SuctionPressure: float64(low) / 1000, DischargePressure: float64(high) / 1000,
		SuctionTemp: -2, DischargeTemp: 68, LiquidTemp: 35, EvaporatingTemp: -10, CondensingTemp: 40, OutdoorTemp: 24}
}

// Laws of a cycle (first law; a throttle keeps enthalpy): gas gains enthalpy in the
// compressor, gives it up in the condenser, and the valve changes none.
func TestCycleLaws(t *testing.T) {
	r, v := machine(t)
	c, wet, err := System{}.cycle(r, v)
	if err != nil || wet {
		t.Fatal(wet, err)
	}
	h := map[byte]float64{}
	for _, s := range c.States {
		if s.Name != "" {
			h[s.Name[0]] = s.Enthalpy
		}
	}
	if !(h['2'] > h['1'] && h['1'] > h['3']) || h['3'] != h['4'] || !c.Closed {
		t.Errorf("enthalpies %v, closed %v", h, c.Closed)
	}
	for i, s := range c.States {
		if want := v.SuctionPressure / 100; i == 0 && s.Pressure != want {
			t.Errorf("the suction gas is at %g bar, want %g", s.Pressure, want)
		}
	}
}

func TestCycleWithoutDischargeTemperatureIsOpen(t *testing.T) {
	r, v := machine(t)
	v.DischargeTemp = nan
	c, _, err := System{}.cycle(r, v)
	if err != nil {
		t.Fatal(err)
	}
	if c.Closed || c.States[len(c.States)-1].Name != "1 suction gas" {
		t.Errorf("an open cycle ends at %+v, closed %v", c.States[len(c.States)-1], c.Closed)
	}
}

// What reads as a mixture lies on the saturation line, and the page says so.
func TestWetReadingsAreDrawnOnTheLine(t *testing.T) {
	r, v := machine(t)
	v.SuctionTemp, v.LiquidTemp = -12, 41
	c, wet, err := System{}.cycle(r, v)
	dew, err2 := r.DewAt(pascal(v.SuctionPressure))
	bubble, err3 := r.BubbleAt(pascal(v.DischargePressure))
	if err != nil || err2 != nil || err3 != nil || !wet {
		t.Fatal(wet, err, err2, err3)
	}
	if c.States[0].Enthalpy != float64(dew.Enthalpy)/1000 || c.States[4].Enthalpy != float64(bubble.Enthalpy)/1000 {
		t.Errorf("the states %+v and %+v are not on the lines", c.States[0], c.States[4])
	}
	s := System{Visits: []table.Visit{v}}
	s.Register.RefrigerantName = "R134a"
	if charts, _, err := s.diagram(); err != nil || !strings.Contains(charts[0].About, "its true enthalpy is not known") {
		t.Errorf("the page does not say that a reading is a mixture (%v)", err)
	}
}

// What cannot be drawn is not, and the page says why.
func TestNoCycleSaysWhy(t *testing.T) {
	_, v := machine(t)
	blind := v
	blind.LiquidTemp = nan
	for _, c := range []struct {
		refrigerant string
		visit       table.Visit
		want        string
	}{
		{"R134a", blind, "no visit has both pressures"},
		{"Rnone", v, "Rnone"},
	} {
		s := System{Visits: []table.Visit{c.visit}}
		s.Register.RefrigerantName = c.refrigerant
		charts, why, err := s.diagram()
		if err != nil || len(charts) > 0 || !strings.Contains(why, c.want) {
			t.Errorf("%s: %d charts, %q, %v; want the reason %q", c.refrigerant, len(charts), why, err, c.want)
		}
	}
}

// Both lines end in the critical point: 374.21 K, 40.59 bar of R134a (Tillner-Roth &
// Baehr 1994); its enthalpy there, 389.6 kJ/kg with 200 kJ/kg for the liquid at
// 0 °C, is from memory.
func TestDomeClosesInTheCriticalPoint(t *testing.T) {
	r, v := machine(t)
	liquid, vapour := dome(r, v)
	if len(liquid) < domePoints-2 || len(vapour) < domePoints-2 {
		t.Fatalf("%d and %d points", len(liquid), len(vapour))
	}
	top := liquid[len(liquid)-1]
	if top != vapour[len(vapour)-1] {
		t.Errorf("the lines end at %+v and %+v", top, vapour[len(vapour)-1])
	}
	if math.Abs(top.Pressure-40.59) > 0.05 || math.Abs(top.Enthalpy-389.6) > 3 {
		t.Errorf("they end at %.2f bar and %.1f kJ/kg, want 40.59 ± 0.05 and 389.6 ± 3", top.Pressure, top.Enthalpy)
	}
}
