package plant

import (
	"math"
	"testing"
)

// A law: evaporators that are alike, side by side, are one large evaporator.
func TestEqualBranchesAreOneEvaporator(t *testing.T) {
	d := airConditioner(fluid(t, "R449A"), Thermostatic)
	one := newBench(t, d)
	d.Warmer = []float64{0, 0}
	three := newBench(t, d)
	for _, charge := range []float64{0.7, 0.9, 1, 1.1} {
		a, b := one.charge(charge), three.charge(charge)
		for what, off := range map[string]float64{
			"evaporating": a.Evaporating - b.Evaporating, "condensing": a.Condensing - b.Condensing, "superheat": a.Superheat - b.Superheat,
			"subcooling": a.Subcooling - b.Subcooling, "cooling": a.Cooling - b.Cooling, "discharge": a.Discharge - b.Discharge,
		} {
			if math.Abs(off) > 1e-5 {
				t.Errorf("at %.1f of the charge: %s differs by %.2g", charge, what, off)
			}
		}
	}
}

// packed is a pack of three evaporators in rooms of different warmth.
func packed(t *testing.T) bench {
	d := airConditioner(fluid(t, "R134a"), Thermostatic)
	d.Source, d.Sink, d.Evaporating, d.Condensing, d.Surround = 3, 32, -8, 41, 20
	d.Subcooling, d.ReceiverLitre, d.ReceiverLevel = 0, 4, 0.5
	d.LiquidDrop = 1.5
	d.Warmer = []float64{2, 5}
	return newBench(t, d)
}

// Energy and mass are laws.
func TestBranchesBalance(t *testing.T) {
	b := packed(t)
	for _, c := range corners(b.at) {
		if c.Sink < 25 {
			continue // no head-pressure control here
		}
		p, err := b.plant.Solve(c, b.design, b.at)
		if err != nil {
			t.Error(err)
			continue
		}
		energy := (p.Cooling+p.Input+p.SuctionGain)/(p.Heating+p.LineLoss+p.CompressorLoss) - 1
		mass := p.Inventory.Total()/c.Charge - 1
		var flow, cooling float64
		for _, o := range p.Branches {
			flow, cooling = flow+o.Flow, cooling+o.Cooling
		}
		if math.Abs(energy) > 1e-6 || math.Abs(mass) > 1e-6 || math.Abs(flow/p.Flow-1) > 1e-9 || math.Abs(cooling/p.Cooling-1) > 1e-9 {
			t.Errorf("%+v: energy open by %.2g, mass by %.2g, flow %g of %g", c, energy, mass, flow, p.Flow)
		}
	}
}

// A fouled evaporator gives less; its valve closes, the others' superheat is held
// (common practice, no source).
func TestFoulingOfOneBranchStaysThere(t *testing.T) {
	b := packed(t)
	p := b.run(func(c *Conditions) { c.Faults.EvaporatorFouling = 0.5 })
	first, before := p.Branches[0], b.design.Branches[0]
	if first.Cooling > 0.9*before.Cooling || first.Opening >= before.Opening {
		t.Errorf("fouled: cooling %.2f of %.2f kW, opening %.2f of %.2f; want less", first.Cooling, before.Cooling, first.Opening, before.Opening)
	}
	for i := 1; i < 3; i++ {
		if d := p.Branches[i].Superheat - b.design.Branches[i].Superheat; math.Abs(d) > 0.7 {
			t.Errorf("evaporator %d: superheat moved by %.2f K, want it held", i+1, d)
		}
	}
}
