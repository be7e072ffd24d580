package demofleet

import (
	"context"
	"io"
	"math"
	"testing"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/register"
)

// What a fault did is told once in each log, and grows with the fault: fouling moves its
// own coil, wear and gas cost capacity.
func TestEffectsOfFaults(t *testing.T) {
	for _, c := range []struct {
		fault  truth.Fault
		change func(*Faults, Trouble)
		size   float64
		of     func(truth.Effect) float64
		least  float64 // K, or share
	}{
		{truth.CondenserFouling, func(f *Faults, x Trouble) { f.CondenserFouling = x }, 0.5, func(e truth.Effect) float64 { return e.Condenser }, 3},
		{truth.EvaporatorFouling, func(f *Faults, x Trouble) { f.EvaporatorFouling = x }, 0.5, func(e truth.Effect) float64 { return e.Evaporator }, 2},
		{truth.Restriction, func(f *Faults, x Trouble) { f.Restriction = x }, 0.8, func(e truth.Effect) float64 { return e.Capacity }, 0.05},
		{truth.Wear, func(f *Faults, x Trouble) { f.Wear = x }, 0.3, func(e truth.Effect) float64 { return e.Capacity }, 0.1},
		{truth.ForeignGas, func(f *Faults, x Trouble) { f.ForeignGas = x }, 1, func(e truth.Effect) float64 { return e.Capacity }, 0.02},
		{truth.ValveStuck, func(f *Faults, x Trouble) { f.ValveClosed = x }, 0.35, func(e truth.Effect) float64 { return e.Capacity }, 0.03},
	} {
		mix := DefaultMix()
		mix.Mistakes, mix.Quirks, mix.OddFiles, mix.Faults = nil, nil, false, Faults{Unnoticed: 0.35}
		mix.Kinds = Kinds{AirConditioner: 1}
		mix.Machines.Reversible = 0
		c.change(&mix.Faults, Trouble{Share: 1, Onset: Range{0.3, 0.3}, Sudden: Range{c.size, c.size}})
		o := Options{Seed: 3, Systems: 4, Years: 1, Logging: ByVisits, Mix: &mix}
		largest := 0.0
		see := func(f truth.File, _ []truth.Point) error {
			for _, e := range f.Effects {
				if e.Fault != c.fault {
					t.Errorf("%s in a fleet with %s", e.Fault, c.fault)
				}
				if e.Time.Before(f.Start) || e.Time.After(f.End) {
					t.Errorf("%s: effect of %v", f.Path, e.Time)
				}
				largest = math.Max(largest, c.of(e))
			}
			return nil
		}
		if _, err := Generate(context.Background(), o, func(_ string, w func(io.Writer) error) error { return w(io.Discard) }, see); err != nil {
			t.Fatal(err)
		}
		if largest < c.least {
			t.Errorf("%s of %.2f: effect up to %.3f, want %.3f at least", c.fault, c.size, largest, c.least)
		}
	}
}

// Foreign gas shows at standstill: the condenser's pressure lies above saturation at the
// temperature of what is around it, by the gas's own pressure there (Dalton's law; the
// check of the trade, common practice). Without gas there is no excess.
func TestForeignGasShowsAtStandstill(t *testing.T) {
	for _, kpa := range []float64{0, 200} {
		mix := DefaultMix()
		mix.Faults = Faults{ForeignGas: Trouble{Share: 1, Sudden: Range{kpa / 1000, kpa / 1000}}}
		mix.Changes = Changes{}
		f, err := newFleet(Options{Seed: 3, Systems: 18, Years: 0.3, Logging: ByVisits, Mix: &mix}.withDefaults())
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range f.machines {
			at := f.options.Start.AddDate(0, 1, 0)
			x := m.rest(0, m.conditions(at, 0), at, m.weather.outdoor(at))
			excess := x[dischargePressure] - m.fluid(at).Pressure(x[liquidTemp])
			if excess < 0.8*kpa || excess > 1.05*kpa+1e-9 {
				t.Errorf("%s: %.1f kPa above saturation at standstill with gas of %.0f kPa", m.truth.ID, excess, kpa)
			}
		}
	}
}

// Where faults come together, each system that has one has two at least.
func TestFaultsComeTogether(t *testing.T) {
	mix := DefaultMix()
	mix.Faults.Together = 1
	f, err := newFleet(Options{Seed: 3, Systems: 60, Years: 3, Logging: ByVisits, Mix: &mix}.withDefaults())
	if err != nil {
		t.Fatal(err)
	}
	for i := range f.machines {
		n := 0
		for _, k := range mix.Faults.troubles() {
			if f.lots()[k.name][i] {
				n++
			}
		}
		if n == 1 {
			t.Errorf("system %d has one fault alone", i)
		}
	}
}

// What was too much and is noticed is taken out again at a later visit, and both are
// written down with what they weigh.
func TestOverchargeIsTakenOutAgain(t *testing.T) {
	mix := DefaultMix()
	mix.Faults = Faults{Overcharge: Trouble{Share: 1, Onset: Range{0.2, 0.4}, Sudden: Range{0.1, 0.2}, Repaired: 1}}
	mix.Visits.Hose, mix.Changes = 0, Changes{}
	f, err := newFleet(Options{Seed: 3, Systems: 9, Years: 2, Logging: ByVisits, Mix: &mix}.withDefaults())
	if err != nil {
		t.Fatal(err)
	}
	in, out := map[string]float64{}, map[string]float64{}
	for _, e := range f.events {
		switch e.Kind {
		case register.ChargeAdded:
			in[e.System] += e.KG
		case register.Recovered:
			out[e.System] += e.KG
		}
	}
	for _, m := range f.machines {
		e := m.truth.Episodes[0]
		if e.Ended.IsZero() || m.truth.Charge(e.Ended) != m.truth.RatedCharge || m.truth.Charge(e.Onset) < 1.09*m.truth.RatedCharge {
			t.Errorf("%s: %+v, want too much until it is taken out", m.truth.ID, e)
		}
		if in[m.truth.ID] == 0 || in[m.truth.ID] != out[m.truth.ID] {
			t.Errorf("%s: %.3f kg added, %.3f kg recovered", m.truth.ID, in[m.truth.ID], out[m.truth.ID])
		}
	}
}

// Dirt stays on its coil: the coil outdoors of a machine that heats is its evaporator, so that
// there it moves the evaporating temperature and leaves the condensing one alone.
func TestDirtStaysOnItsCoil(t *testing.T) {
	mix := DefaultMix()
	mix.Kinds, mix.Machines.Reversible = Kinds{AirConditioner: 1}, 1
	mix.Faults = Faults{Unnoticed: 0.35, CondenserFouling: Trouble{Share: 1, Onset: Range{0.05, 0.05}, Sudden: Range{0.4, 0.4}}}
	o := Options{Seed: 3, Systems: 4, Years: 1, Logging: ByVisits, Mix: &mix}.withDefaults()
	f, err := newFleet(o)
	if err != nil {
		t.Fatal(err)
	}
	machines := map[string]*machine{}
	for _, m := range f.machines {
		machines[m.truth.ID] = m
	}
	warm, cold := 0, 0
	see := func(f truth.File, _ []truth.Point) error {
		for _, e := range f.Effects {
			switch heats := machines[f.System].heats(e.Time); {
			case heats && !(e.Evaporator > 0.5 && e.Condenser < 0.1), !heats && !(e.Condenser > 0.5 && e.Evaporator < 0.1):
				t.Errorf("%s heats %t: condensing %+.2f K, evaporating %+.2f K farther off", f.Path, heats, e.Condenser, e.Evaporator)
			case heats:
				cold++
			default:
				warm++
			}
		}
		return nil
	}
	if _, err := Generate(context.Background(), o, func(_ string, w func(io.Writer) error) error { return w(io.Discard) }, see); err != nil {
		t.Fatal(err)
	}
	if warm == 0 || cold == 0 {
		t.Errorf("%d effects while cooling, %d while heating: the test says nothing", warm, cold)
	}
}
