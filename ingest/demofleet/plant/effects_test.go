package plant

import (
	"math"
	"testing"
)

var unitFluids = []string{"R410A", "R22", "R134a", "R32", "R290"}

// What a loss of charge does to units as they are tested: on the air's side, with the
// power and the heat of their fans. Each row names its device and its source.
//   - A quarter of the charge lost, mean of all units tested, whatever their device: capacity
//     -20 %, efficiency -15 % (Kim & Braun, Int. J. Refrigeration 35(7), 2012, as reported
//     by the IIR). Other laboratory data of the same university say -15.5 and -7.5 % (the
//     regression, see TestEffectsAgainstTheRegression). The two differ from each other as
//     much as ours, -13.7 and -10.0 %, from the first: which device how many of the units
//     had is not reported, and ours with a fixed opening lie at -18.5 and -13.4 %.
//   - Thermostatic, 80 % of the charge: efficiency over a season -2 %, against -21 % with a
//     capillary and next to nothing with a short tube (Farzad, thesis, Texas A&M 1990,
//     abstract). That a valve has lost half as much as a fixed opening at 75 % follows from
//     it: it is fully open from 80 % down only (ORNL's summary of ASHRAE RP-1173, which
//     TestExpansionDeviceDecidesWhenCapacityGoes holds the knee to).
//   - Capillary, -15 % of charge: capacity -8 to -22 %, efficiency -4 to -6 % (Home Energy
//     2002 and Choi & Kim 2002, as reported); an orifice loses 11 % of efficiency.
func TestChargeLostAgainstTestedUnits(t *testing.T) {
	valve := unitEffect(t, Thermostatic, 0.75)
	fixed := unitEffect(t, Fixed, 0.75)
	capillary, at80, fixed80 := unitEffect(t, Fixed, 0.85), unitEffect(t, Thermostatic, 0.8), unitEffect(t, Fixed, 0.8)
	both := unitShares{(valve.capacity + fixed.capacity) / 2, (valve.efficiency + fixed.efficiency) / 2}
	for _, c := range []struct {
		source         string
		got, want, tol float64
	}{
		{"capacity, fixed opening, Kim & Braun 2012", fixed.capacity, 0.80, 0.03},
		{"efficiency, fixed opening, Kim & Braun 2012", fixed.efficiency, 0.85, 0.03},
		{"capacity, both devices, Kim & Braun 2012", both.capacity, 0.80, 0.07},
		{"efficiency, both devices, Kim & Braun 2012", both.efficiency, 0.85, 0.06},
		{"capacity, both devices, regression", both.capacity, 0.845, 0.03},
		{"efficiency, both devices, regression", both.efficiency, 0.925, 0.03},
		{"efficiency, thermostatic less 20 %, Farzad 1990", at80.efficiency, 0.98, 0.025},
		{"efficiency, fixed opening less 20 %, from a short tube's to a capillary's, Farzad 1990", fixed80.efficiency, 0.895, 0.105},
		{"capacity, capillary less 15 %", capillary.capacity, 0.85, 0.07},
		{"efficiency, capillary less 15 %", capillary.efficiency, 0.95, 0.012},
	} {
		if math.Abs(c.got-c.want) > c.tol {
			t.Errorf("%s: %.3f, want %.3f ± %.3f", c.source, c.got, c.want, c.tol)
		}
	}
}

// unitShares is what is left of a unit's capacity and efficiency.
type unitShares struct{ capacity, efficiency float64 }

// unitEffect is what is left with a share of the charge, as a mean over refrigerants.
func unitEffect(t *testing.T, e Expansion, charge float64) (sum unitShares) {
	t.Helper()
	for _, name := range unitFluids {
		b := newBench(t, airConditioner(fluid(t, name), e))
		// Fans take 3.25 % of the cooling indoors and 2.25 % of the heat outdoors (common
		// practice, no source).
		indoors, outdoors := 0.0325*b.design.Cooling, 0.0225*b.design.Heating
		unit := func(p Point) (capacity, efficiency float64) {
			return p.Cooling - indoors, (p.Cooling - indoors) / (p.Input + indoors + outdoors)
		}
		capacity, efficiency := unit(b.design)
		lostCapacity, lostEfficiency := unit(b.charge(charge))
		sum.capacity += lostCapacity / capacity / float64(len(unitFluids))
		sum.efficiency += lostEfficiency / efficiency / float64(len(unitFluids))
	}
	return sum
}

// More charge lost never means more capacity or efficiency, and a coil with less
// refrigerant flow transfers less: laws of the model, no source needed.
func TestLessFlowMeansLessConductance(t *testing.T) {
	b := newBench(t, airConditioner(fluid(t, "R410A"), Fixed))
	whole, half := b.plant.Condenser.at(1, b.design.Flow), b.plant.Condenser.at(1, b.design.Flow/2)
	if math.Abs(whole.TwoPhase/b.plant.Condenser.TwoPhase-1) > 1e-6 {
		t.Errorf("conductance %.4f at the design flow, made for %.4f", whole.TwoPhase, b.plant.Condenser.TwoPhase)
	}
	if half.TwoPhase >= whole.TwoPhase || half.Gas/whole.Gas >= half.TwoPhase/whole.TwoPhase {
		t.Errorf("at half the flow %.2f of two phases, %.2f of gas: want less of both, and least of gas", half.TwoPhase/whole.TwoPhase, half.Gas/whole.Gas)
	}
	last := b.design
	for share := 0.97; share > 0.6; share -= 0.03 {
		p := b.charge(share)
		if p.Cooling > last.Cooling || p.COP() > last.COP() {
			t.Errorf("%.2f of the charge: %.3f kW at COP %.3f, were %.3f and %.3f with more", share, p.Cooling, p.COP(), last.Cooling, last.COP())
		}
		last = p
	}
}

// Inside volumes and void fractions together must give the charge that such machines
// hold: 0.15 to 0.35 kg for each kW with HFCs, about half with propane (common
// practice, no source).
func TestChargeOfUsualMachines(t *testing.T) {
	for _, name := range unitFluids {
		least, most := 0.15, 0.35
		if name == "R290" {
			least, most = 0.06, 0.16
		}
		b := newBench(t, airConditioner(fluid(t, name), Thermostatic))
		if charge := b.plant.RatedCharge / b.plant.RatedCooling; charge < least || charge > most {
			t.Errorf("%s: %.3f kg/kW, want %.2f to %.2f", name, charge, least, most)
		}
	}
}

// A thermostatic valve holds capacity until it is fully open, a fixed opening
// does not: fixed degrades noticeably below 90 % of the charge, thermostatic
// below 80 % only (ORNL summary of the six units of ASHRAE RP-1173).
func TestExpansionDeviceDecidesWhenCapacityGoes(t *testing.T) {
	for _, name := range unitFluids {
		valve := newBench(t, airConditioner(fluid(t, name), Thermostatic))
		fixed := newBench(t, airConditioner(fluid(t, name), Fixed))
		loss := func(b bench, share float64) float64 { return 1 - b.charge(share).Cooling/b.design.Cooling }
		if l := loss(valve, 0.85); l > 0.05 {
			t.Errorf("%s, thermostatic: %.1f %% of capacity gone at 85 %% charge, want under 5", name, 100*l)
		}
		if p, q := valve.charge(0.85), valve.charge(0.75); p.Opening >= 1 || q.Opening < 1 {
			t.Errorf("%s, thermostatic: opening %.2f at 85 %% charge, %.2f at 75 %%; want it fully open from about 80 %% down", name, p.Opening, q.Opening)
		}
		if l := loss(valve, 0.65); l < 0.1 {
			t.Errorf("%s, thermostatic: %.1f %% of capacity gone at 65 %% charge, want over 10", name, 100*l)
		}
		if l := loss(fixed, 0.95); l > 0.03 {
			t.Errorf("%s, fixed: %.1f %% of capacity gone at 95 %% charge, want under 3", name, 100*l)
		}
		if l := loss(fixed, 0.85); l < 0.055 {
			t.Errorf("%s, fixed: %.1f %% of capacity gone at 85 %% charge, want over 5.5", name, 100*l)
		}
		if v, f := loss(valve, 0.85), loss(fixed, 0.85); f < 1.4*v {
			t.Errorf("%s at 85 %% charge: fixed loses %.3f, thermostatic %.3f: want fixed to lose clearly more", name, f, v)
		}
		if rise := valve.charge(0.9).Superheat - valve.design.Superheat; rise > 1 {
			t.Errorf("%s, thermostatic: superheat up by %.1f K at 90 %% charge, want it held", name, rise)
		}
		if rise := fixed.charge(0.9).Superheat - fixed.design.Superheat; rise < 3 {
			t.Errorf("%s, fixed: superheat up by %.1f K at 90 %% charge, want some K", name, rise)
		}
	}
}

// Subcooling per charge comes out of the volumes; real machines lie at -0.1 to
// -0.8 K per % (virtual charge sensor literature: about 0.4 K per % with 7.5 K).
func TestSubcoolingPerCharge(t *testing.T) {
	for _, name := range unitFluids {
		b := newBench(t, airConditioner(fluid(t, name), Thermostatic))
		slope := (b.design.Subcooling - b.charge(0.95).Subcooling) / 5
		if slope < 0.1 || slope > 0.8 {
			t.Errorf("%s: subcooling moves %.2f K per %% charge, want 0.1 to 0.8", name, slope)
		}
	}
}

// With a thermostatic valve superheat less subcooling falls about linearly with
// charge and hardly depends on outdoor temperature (Harms 2002, as reported by
// Li & Braun).
func TestSuperheatLessSubcoolingIsLinearInCharge(t *testing.T) {
	b := newBench(t, airConditioner(fluid(t, "R410A"), Thermostatic))
	var x, y []float64
	for share := 0.86; share <= 1.101; share += 0.02 {
		for _, sink := range []float64{30, 35} {
			p := b.run(func(c *Conditions) { c.Charge *= share; c.Sink = sink })
			x, y = append(x, share), append(y, p.Superheat-p.Subcooling)
		}
	}
	slope, r2 := fit(x, y)
	if slope > -10 || r2 < 0.95 {
		t.Errorf("superheat less subcooling: slope %.1f K per charge, R² %.3f; want clearly negative and above 0.95", slope, r2)
	}
}

// fit is a straight line by least squares.
func fit(x, y []float64) (slope, r2 float64) {
	var mx, my, sxx, sxy, syy float64
	for i := range x {
		mx += x[i] / float64(len(x))
		my += y[i] / float64(len(x))
	}
	for i := range x {
		sxx += (x[i] - mx) * (x[i] - mx)
		sxy += (x[i] - mx) * (y[i] - my)
		syy += (y[i] - my) * (y[i] - my)
	}
	return sxy / sxx, sxy * sxy / (sxx * syy)
}

// A receiver feeds the valve until it is empty: subcooling says nothing (common
// practice, no source).
func TestReceiverHidesTheLoss(t *testing.T) {
	d := airConditioner(fluid(t, "R134a"), Thermostatic)
	d.Subcooling, d.LiquidDrop = 0, 1.5
	d.ReceiverLitre, d.ReceiverLevel = 4, 0.5
	b := newBench(t, d)
	subcooling := func(p Point) float64 { return d.Fluid.Bubble(p.Condensing) - p.Liquid }
	p := b.charge(0.8)
	if math.Abs(subcooling(p)-subcooling(b.design)) > 0.2 || math.Abs(p.Superheat-b.design.Superheat) > 0.2 {
		t.Errorf("subcooling %.2f to %.2f, superheat %.2f to %.2f at 80 %% charge; want both as they were",
			subcooling(b.design), subcooling(p), b.design.Superheat, p.Superheat)
	}
	if p.Level >= b.design.Level {
		t.Errorf("level %.2f at 80 %% charge, was %.2f", p.Level, b.design.Level)
	}
	lost := 0.2 * b.plant.RatedCharge
	if held := b.plant.Reserve(b.design) - b.plant.Reserve(p); math.Abs(held-lost) > 0.03*lost {
		t.Errorf("%.3f kg gone from the receiver of %.3f kg lost, want all of it", held, lost)
	}
}

// Once the receiver is empty flash gas reaches the valve: no subcooling is left before
// it, it opens fully, and superheat and discharge temperature rise (common practice, no
// source).
func TestEmptyReceiverStarvesTheValve(t *testing.T) {
	for _, e := range []Expansion{Thermostatic, Electronic} {
		d := airConditioner(fluid(t, "R134a"), e)
		d.Subcooling, d.LiquidDrop = 0, 1.5
		d.ReceiverLitre, d.ReceiverLevel = 4, 0.5
		b := newBench(t, d)
		p := b.charge(0.97 - b.plant.Reserve(b.design)/b.plant.RatedCharge)
		if p.Level > 0.05 || p.ExitQuality == 0 {
			t.Errorf("device %d: level %.2f, gas %.3f leaving the condenser; want an empty receiver that lets gas through", e, p.Level, p.ExitQuality)
		}
		p = b.charge(0.85 - b.plant.Reserve(b.design)/b.plant.RatedCharge)
		if p.ValveQuality <= 0 || p.Opening < 1 {
			t.Errorf("device %d: flash gas %.3f, opening %.2f; want gas before a valve that is fully open", e, p.ValveQuality, p.Opening)
		}
		if p.Superheat < b.design.Superheat+3 || p.Discharge < b.design.Discharge+3 {
			t.Errorf("device %d: superheat %.1f K, discharge %.1f °C; were %.1f and %.1f, want both clearly more",
				e, p.Superheat, p.Discharge, b.design.Superheat, b.design.Discharge)
		}
	}
}

// Flooding holds the condensing temperature in the cold, with liquid out of the
// receiver; a system that has lost charge then runs short in winter first (common
// practice, no source).
func TestFloodingTakesTheReceiversLiquid(t *testing.T) {
	d := airConditioner(fluid(t, "R404A"), Thermostatic)
	d.Subcooling, d.LiquidDrop = 0, 1.5
	d.ReceiverLitre, d.ReceiverLevel, d.Flood = 6, 0.7, 33
	b := newBench(t, d)
	cold := func(share float64) Point {
		return b.run(func(c *Conditions) { c.Sink = 5; c.Charge *= share })
	}
	winter := cold(1)
	if math.Abs(winter.Condensing-d.Flood) > 0.6 || winter.Flooded < 0.2 {
		t.Errorf("at 5 °C: condensing %.1f °C, %.2f of the condenser flooded; want about %.0f °C held", winter.Condensing, winter.Flooded, d.Flood)
	}
	if winter.Level >= b.design.Level {
		t.Errorf("level %.2f in the cold, %.2f at the design point: want less", winter.Level, b.design.Level)
	}
	if summer, short := b.charge(0.5), cold(0.5); summer.ExitQuality > 0 || short.ExitQuality == 0 {
		t.Errorf("with 50 %% of the charge gas leaves the condenser with %.3f in summer, %.3f in winter; want it in winter only",
			summer.ExitQuality, short.ExitQuality)
	}
}

// Signs of what each fault does. Fixed opening: Rossi & Braun 1997, rules as tabled by
// Li & Braun. Thermostatic valve: from memory (NIST SP 1087, Li & Braun, general
// practice). Condensing and subcooling are as gauges show them, at the compressor. Rows
// say which effects are sure; 0 means small, 9 that the table or machines disagree.
func TestFaultSigns(t *testing.T) {
	const (
		down, same, up, any = -1, 0, 1, 9
	)
	columns := []string{"evaporating", "superheat", "condensing", "subcooling", "discharge", "rise of the condenser's air", "fall of the evaporator's air", "input"}
	for _, c := range []struct {
		name   string
		device Expansion
		charge float64
		faults Faults
		signs  [8]int
	}{
		{"leak", Fixed, 0.85, Faults{}, [8]int{down, up, down, down, up, down, down, any}},
		{"compressor wear", Fixed, 1, Faults{Wear: 0.2}, [8]int{up, down, down, down, down, down, down, any}},
		{"restriction", Fixed, 1, Faults{Restriction: 0.75}, [8]int{down, up, down, any, up, down, down, any}},
		{"condenser fouling", Fixed, 1, Faults{CondenserFouling: 0.3}, [8]int{up, down, up, any, any, up, down, any}},
		{"evaporator fouling", Fixed, 1, Faults{EvaporatorFouling: 0.3}, [8]int{down, down, down, down, down, down, up, any}},
		{"leak", Thermostatic, 0.9, Faults{}, [8]int{any, same, down, down, any, any, any, down}},
		{"leak, valve fully open", Thermostatic, 0.65, Faults{}, [8]int{down, up, down, down, up, any, any, down}},
		{"overcharge", Thermostatic, 1.1, Faults{}, [8]int{same, same, up, up, up, any, any, up}},
		{"overcharge", Fixed, 1.1, Faults{}, [8]int{any, down, up, up, down, any, any, up}},
		{"condenser fouling", Thermostatic, 1, Faults{CondenserFouling: 0.3}, [8]int{any, same, up, any, up, any, any, up}},
		{"evaporator fouling", Thermostatic, 1, Faults{EvaporatorFouling: 0.3}, [8]int{down, same, down, any, any, any, any, down}},
		{"restriction", Thermostatic, 1, Faults{Restriction: 0.75}, [8]int{down, up, down, up, up, any, any, down}},
		{"compressor wear", Thermostatic, 1, Faults{Wear: 0.2}, [8]int{up, any, down, down, any, any, any, any}},
		{"foreign gas", Thermostatic, 1, Faults{Gas: 100}, [8]int{any, same, up, up, up, any, any, up}},
		{"valve stuck open", Thermostatic, 1, Faults{ValveStuck: 1}, [8]int{up, down, any, down, down, any, any, any}},
		{"valve stuck closed", Thermostatic, 1, Faults{ValveStuck: 0.55}, [8]int{down, up, down, up, up, any, any, down}},
	} {
		for _, fluidName := range []string{"R410A", "R134a"} {
			b := newBench(t, airConditioner(fluid(t, fluidName), c.device))
			p := b.run(func(k *Conditions) { k.Charge *= c.charge; k.Faults = c.faults })
			moved := b.moved(p)
			for i, want := range c.signs {
				small := 0.6
				if i > 4 { // K of a medium, and share of the input in %
					small = 0.15
				}
				if want != any && sign(moved[i], small) != want && !(want != same && sign(moved[i], 0.02) == want) {
					t.Errorf("%s, device %d, %s: %s moved by %+.2f, want sign %+d", c.name, c.device, fluidName, columns[i], moved[i], want)
				}
			}
		}
	}
}

// moved is how far what gauges, thermometers and a meter show has moved from the design
// point: K, and the input in %.
func (b bench) moved(p Point) [8]float64 {
	d := b.design
	subcooling := func(s Point) float64 { return b.plant.Fluid.Bubble(s.DischargeDew) - s.CondenserOut }
	return [8]float64{
		p.Evaporating - d.Evaporating, p.Superheat - d.Superheat, p.DischargeDew - d.DischargeDew, subcooling(p) - subcooling(d),
		p.Discharge - d.Discharge, p.SinkOut - d.SinkOut, d.SourceOut - p.SourceOut, 100 * (p.Input/d.Input - 1),
	}
}

func sign(x, small float64) int {
	switch {
	case x > small:
		return 1
	case x < -small:
		return -1
	}
	return 0
}

// Foreign gas adds its own pressure in the condenser (Dalton's law). A thermostatic valve
// closes against it, and capacity hardly falls: the published regression of laboratory
// units, at its limit of 0.8, has 1.05 of the capacity at 1.10 of the input per cooling
// (NREL fault models, see TestEffectsAgainstTheRegression), which is 405 kPa in ours. A
// fixed opening feeds more than the evaporator boils: 15 % of capacity go with 700 kPa.
func TestForeignGasCostsCapacityWithAFixedOpening(t *testing.T) {
	for _, name := range []string{"R22", "R134a", "R290"} {
		with := func(e Expansion, kpa float64) (capacity, efficiency float64) {
			b := newBench(t, airConditioner(fluid(t, name), e))
			p := b.run(func(c *Conditions) { c.Faults.Gas = kpa })
			return p.Cooling / b.design.Cooling, p.COP() / b.design.COP()
		}
		if q, cop := with(Thermostatic, 405); math.Abs(q-1.05) > 0.08 || math.Abs(1/cop-1.10) > 0.15 {
			t.Errorf("%s, thermostatic, 405 kPa: capacity %.3f, input per cooling %.3f, published 1.05 and 1.10", name, q, 1/cop)
		}
		if q, _ := with(Fixed, 700); q > 0.85 {
			t.Errorf("%s, fixed opening, 700 kPa: capacity %.3f, want 0.85 at most", name, q)
		}
	}
}
