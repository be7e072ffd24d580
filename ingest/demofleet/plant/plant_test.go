package plant

import (
	"errors"
	"math"
	"strings"
	"testing"

	"rimelog/thermo"
)

func fluid(t *testing.T, name string) *Fluid {
	t.Helper()
	r, err := thermo.Lookup(name)
	if err != nil {
		t.Fatal(err)
	}
	f, err := NewFluid(r)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// airConditioner is an air conditioner at a usual design point (common practice,
// no source).
func airConditioner(f *Fluid, e Expansion) Design {
	return Design{
		Fluid: f, Cooling: 10, Evaporating: 8, Condensing: 46, Source: 25, Sink: 35, Surround: 30,
		Superheat: 6, Subcooling: 7, SourceNTU: 1.3, SinkNTU: 1.2, SuctionRise: 3, LiquidDrop: 0.5,
		Expansion: e, Opening: 0.85, Gradient: 4,
		Isentropic: 0.72, Falloff: 0.012, Clearance: 0.03, HeatLoss: 0.06,
		CondenserLitre: 0.3, EvaporatorLitre: 0.28, LiquidLineLitre: 0.4, SuctionLitre: 2,
		SuctionLoss: 0.7, DischargeLoss: 0.4, Oil: 0.12,
	}
}

// A bench is a plant that tests run at other conditions.
type bench struct {
	t      *testing.T
	plant  *Plant
	design Point
	at     Conditions
}

func newBench(t *testing.T, d Design) bench {
	t.Helper()
	p, s, c, err := d.Plant()
	if err != nil {
		t.Fatal(err)
	}
	return bench{t, p, s, c}
}

// run solves with the design conditions changed.
func (b bench) run(change func(*Conditions)) Point {
	b.t.Helper()
	c := b.at
	change(&c)
	s, err := b.plant.Solve(c, b.design, b.at)
	if err != nil {
		b.t.Fatal(err)
	}
	return s
}

func (b bench) charge(share float64) Point {
	b.t.Helper()
	return b.run(func(c *Conditions) { c.Charge *= share })
}

func TestDesignPointIsMet(t *testing.T) {
	for _, name := range []string{"R134a", "R290", "R717", "R404A", "R449A"} {
		d := airConditioner(fluid(t, name), Thermostatic)
		b := newBench(t, d)
		p := b.design
		f := d.Fluid
		evaporating := (p.Evaporating + f.Bubble(p.Evaporating)) / 2
		for _, c := range []struct {
			what      string
			got, want float64
		}{
			{"cooling", p.Cooling, d.Cooling},
			{"superheat", p.Superheat, d.Superheat},
			{"subcooling", p.Subcooling, d.Subcooling},
			{"condensing", (p.Condensing + f.Bubble(p.Condensing)) / 2, d.Condensing},
			{"evaporating", evaporating, d.Evaporating},
			{"opening", p.Opening, d.Opening},
		} {
			if math.Abs(c.got-c.want) > 1e-5 {
				t.Errorf("%s: %s %.6f, want %.6f", name, c.what, c.got, c.want)
			}
		}
	}
}

// Energy and mass are laws: no source needed, no tolerance but the solver's.
func TestBalancesClose(t *testing.T) {
	for _, name := range []string{"R134a", "R290", "R410A", "R717", "R1234yf"} {
		for _, e := range []Expansion{Thermostatic, Electronic, Fixed} {
			if name == "R717" && e == Fixed {
				continue // nobody feeds ammonia through a capillary
			}
			b := newBench(t, airConditioner(fluid(t, name), e))
			for _, c := range corners(b.at) {
				p, err := b.plant.Solve(c, b.design, b.at)
				if err != nil {
					t.Errorf("%s: %v", name, err)
					continue
				}
				energy := (p.Cooling+p.Input+p.SuctionGain)/(p.Heating+p.LineLoss+p.CompressorLoss) - 1
				mass := p.Inventory.Total()/c.Charge - 1
				if math.Abs(energy) > 1e-6 || math.Abs(mass) > 1e-6 {
					t.Errorf("%s at %+v: energy open by %.2g, mass by %.2g", name, c, energy, mass)
				}
			}
		}
	}
}

// corners are conditions about the design point.
func corners(c Conditions) []Conditions {
	var list []Conditions
	for _, sink := range []float64{-13, 0, 8} {
		for _, source := range []float64{-4, 0, 3} {
			for _, charge := range []float64{0.7, 0.9, 1, 1.1} {
				for _, f := range []Faults{{}, {CondenserFouling: 0.3, EvaporatorFouling: 0.2}, {Wear: 0.15, Gas: 60}} {
					k := c
					k.Sink += sink
					k.Source += source
					k.Charge *= charge
					k.Faults = f
					list = append(list, k)
				}
			}
		}
	}
	return list
}

// The media must carry the heat that the refrigerant gives and takes, zone by
// zone; here the zones' heat is summed along the tube in small steps.
func TestZonesCarryTheHeat(t *testing.T) {
	coil := Coil{Medium: 2, TwoPhase: 2.4, Gas: 0.8, Liquid: 1.3}
	const flowCp, from, to, medium = 0.11, 75.0, 48.0, 30.0
	share := coil.sensible(coil.Gas, flowCp*(from-to), from, to, medium)
	const steps = 200000
	temp := from
	for range steps {
		temp -= coil.Medium * (1 - math.Exp(-coil.Gas/coil.Medium)) * (temp - medium) * share / steps / flowCp
	}
	if math.Abs(temp-to) > 1e-3 {
		t.Errorf("gas leaves the zone at %.4f °C, want %.1f", temp, to)
	}
	// Effectiveness of a cross-flow exchanger with the larger flow unmixed, NTU 1,
	// ratio of heat capacity flows 0.5: 1-exp(-(1-exp(-NTU'))/C'), as the formula
	// of Kays & London, table 2-2, gives it with the tube's flow mixed.
	c := Coil{Medium: 1, Gas: 1}
	got := c.sensible(c.Gas, 0.5*(1-math.Exp(-(1-math.Exp(-1))/0.5)), 1, math.Exp(-(1-math.Exp(-1))/0.5), 0)
	if math.Abs(got-1) > 1e-12 {
		t.Errorf("the whole surface is needed, got a share of %v", got)
	}
}

// Zivi's slip by plain summation over the quality.
func TestMeanVoidByQuadrature(t *testing.T) {
	for _, c := range []struct{ from, to, gas, liquid float64 }{
		{0, 1, 50, 1100}, {0.25, 1, 14, 1250}, {0.05, 0.4, 3.5, 640},
	} {
		const n = 20000
		var sum float64
		for i := range n {
			x := c.from + (c.to-c.from)*(float64(i)+0.5)/n
			slip := math.Cbrt(c.liquid / c.gas)
			sum += 1 / (1 + (1-x)/x*c.gas/c.liquid*slip)
		}
		if got := meanVoid(c.from, c.to, c.gas, c.liquid); math.Abs(got-sum/n) > 1e-5 {
			t.Errorf("mean void of %+v = %.6f, want %.6f", c, got, sum/n)
		}
	}
}

// The tables against the equations they are made from, off the grid.
func TestTablesFollowTheEquations(t *testing.T) {
	for _, name := range []string{"R134a", "R410A", "R717", "R1234yf"} {
		r, err := thermo.Lookup(name)
		if err != nil {
			t.Fatal(err)
		}
		f := fluid(t, name)
		for _, dew := range []float64{-33.3, -8.8, 11.1, 48.7} {
			p, err := r.DewP(thermo.FromCelsius(dew))
			if err != nil {
				t.Fatal(err)
			}
			near(t, name+" pressure", f.Pressure(dew), float64(p)/1000, 1e-5)
			for _, rise := range []float64{3.3, 17.2, 41.9} {
				want, err := r.At(p, thermo.FromCelsius(dew+rise))
				if err != nil {
					t.Fatal(err)
				}
				got := f.Gas(dew, rise)
				near(t, name+" enthalpy", got.Enthalpy, float64(want.Enthalpy)/1000, 1e-4)
				near(t, name+" density", got.Density, float64(want.Density), 5e-4)
				near(t, name+" heat capacity", got.HeatCapacity, float64(want.Cp)/1000, 1e-2)
				near(t, name+" inverse", f.Superheat(got.Enthalpy, dew), rise, 1e-6)
			}
		}
	}
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got/want-1) <= tol) {
		t.Errorf("%s: %.8g, want %.8g within %g", what, got, want, tol)
	}
}

func TestImpossibleDesignIsRefusedByField(t *testing.T) {
	d := airConditioner(fluid(t, "R134a"), Thermostatic)
	d.Cooling, d.Opening, d.Evaporating = math.NaN(), 1.2, 30
	_, _, _, err := d.Plant()
	for _, field := range []string{"cooling NaN", "opening 1.2", "evaporating 30"} {
		if err == nil || !strings.Contains(err.Error(), field) {
			t.Errorf("error %v does not name %s", err, field)
		}
	}
}

func TestNoPointIsAnError(t *testing.T) {
	b := newBench(t, airConditioner(fluid(t, "R134a"), Thermostatic))
	c := b.at
	c.Sink = 120
	if _, err := b.plant.Solve(c, b.design, b.at); !errors.Is(err, ErrNoPoint) {
		t.Errorf("at 120 °C outdoors: error %v, want ErrNoPoint", err)
	}
}
