package plant

import (
	"math"
	"testing"
)

// 1 K lost in the suction line costs 2 to 3 % of the capacity (common practice, no
// source), at a given evaporating temperature: the same machine without the loss, its
// evaporator kept as cold by a slower compressor, draws that much less.
func TestSuctionLineCostsCapacity(t *testing.T) {
	for _, name := range []string{"R134a", "R410A", "R290", "R404A"} {
		d := airConditioner(fluid(t, name), Thermostatic)
		d.SuctionLoss, d.DischargeLoss = 1, 0
		b := newBench(t, d)
		if lost := b.design.Evaporating - b.design.SuctionDew; math.Abs(lost-1) > 1e-4 {
			t.Errorf("%s: the line loses %.2f K, want 1", name, lost)
		}
		d.SuctionLoss = 0
		smooth := newBench(t, d)
		cost := 100 * (1 - smooth.plant.Compressor.Displacement/b.plant.Compressor.Displacement)
		if cost < 2 || cost > 4 {
			t.Errorf("%s: 1 K costs %.1f %% of the displacement, want 2 to 3 (and a little for the ratio)", name, cost)
		}
	}
}

// The pressure lost goes with flow² over density: by hand, half the flow of gas of
// half the density loses half.
func TestPipeLossByHand(t *testing.T) {
	p := Pipe{Drop: 10, Flow: 0.1, Density: 20}
	if got := p.drop(0.05, 10); got != 5 {
		t.Errorf("lost %v kPa, want 5", got)
	}
	if got := (Pipe{}).drop(1, 1); got != 0 {
		t.Errorf("the zero pipe loses %v kPa", got)
	}
}

// Raoult's law by hand: at a third of the saturation pressure a third of the molecules
// are refrigerant, half as many as oil's.
func TestOilByRaoultsLaw(t *testing.T) {
	f := fluid(t, "R134a")
	p := &Plant{Fluid: f, Oil: 1}
	s := &Point{Suction: 40, Discharge: 40, SuctionPressure: f.Pressure(40) / 3}
	near(t, "dissolved", p.dissolved(s), 0.10203/0.5*0.5, 1e-3)
	s.SuctionPressure /= 2
	near(t, "dissolved at half the pressure", p.dissolved(s), 0.10203/0.5/5, 1e-3)
}
