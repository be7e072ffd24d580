package thermo

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// TestCycleReference compares efficiencies, COP, flow and capacity with
// simulated steady cycles published with vclibpy (RWTH-EBC, BSD-3-Clause,
// files Standard_Propane.csv and Standard_R410A.csv; rows retyped). Their
// R410A is the pseudo-pure equation, which accounts for the wider tolerance.
func TestCycleReference(t *testing.T) {
	for _, c := range []struct {
		refrigerant                         string
		t1, t2, p1, p2                      float64 // K, Pa; liquid is saturated
		flow, power, isentropic, mechanical float64
		heating, cop, volumeFlow, filling   float64
		tol                                 float64
	}{
		{"R290", 263.15, 336.665046, 291623.591, 1115446.23, 0.00327189622, 500.717039, 0.602059624, 0.700382109, 1278.04942, 2.55243844, 0.000515862816, 0.724017987, 1e-6},
		{"R290", 273.149922, 328.219447, 406036.03, 1130862.23, 0.00464723243, 497.87055, 0.634570431, 0.724050213, 1725.01618, 3.46478854, 0.000535021282, 0.750907062, 1e-6},
		{"R290", 272.936961, 339.561977, 403296.03, 1264634.23, 0.016404665, 1949.41139, 0.564691908, 0.819667035, 6194.4382, 3.17759414, 0.00190087493, 0.800368393, 1e-6},
		{"R410A", 263.15, 357.59438, 480039.712, 1984078.76, 0.00910046338, 911.514201, 0.590458274, 0.693023787, 2173.28608, 2.38425916, 0.000508861453, 0.714191512, 3e-3},
		{"R410A", 262.491209, 378.570195, 468744.712, 2228372.76, 0.0313425618, 3567.28183, 0.504304921, 0.78919014, 7857.38401, 2.20262496, 0.00179362123, 0.755208939, 3e-3},
	} {
		r := mustLookup(t, c.refrigerant)
		suction, err1 := r.At(Pascal(c.p1), Kelvin(c.t1))
		discharge, err2 := r.At(Pascal(c.p2), Kelvin(c.t2))
		liquid, err3 := r.BubbleAt(Pascal(c.p2))
		if err := errors.Join(err1, err2, err3); err != nil {
			t.Fatal(err)
		}
		cyc := Cycle{Suction: suction, Discharge: discharge, Liquid: liquid, Outlet: suction, ShellLoss: 1 - c.mechanical}
		eta, err := IsentropicEfficiency(r, suction, discharge)
		if err != nil {
			t.Fatal(err)
		}
		cop, err := cyc.HeatingCOP()
		if err != nil {
			t.Fatal(err)
		}
		flow, err := cyc.FlowByEnergyBalance(Watt(c.power))
		if err != nil || flow.Route != RouteEnergyBalance {
			t.Fatal(flow, err)
		}
		heating := cyc.Heating(flow)
		displacement := c.volumeFlow / c.filling
		for _, v := range []struct {
			what      string
			got, want float64
		}{
			{"isentropic efficiency", eta, c.isentropic},
			{"heating COP", cop, c.cop},
			{"mass flow", float64(flow.Value), c.flow},
			{"heating capacity", float64(heating.Value), c.heating},
			{"suction volume flow", float64(flow.Value) / float64(suction.Density), c.volumeFlow},
			{"volumetric efficiency", cyc.VolumetricEfficiency(flow.Value, displacement), c.filling},
		} {
			if math.Abs(v.got/v.want-1) > c.tol {
				t.Errorf("%s: %s = %.8g, want %.8g within %g", c.refrigerant, v.what, v.got, v.want, c.tol)
			}
		}
	}
}

// idealCycle is an isentropic cycle between two saturation temperatures.
func idealCycle(t *testing.T, r *Refrigerant, evaporating, condensing, superheat, subcooling Kelvin) Cycle {
	t.Helper()
	p1, err1 := r.DewP(evaporating)
	p2, err2 := r.BubbleP(condensing)
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	suction, err := r.DewAt(p1)
	if superheat > 0 {
		suction, err = r.At(p1, evaporating+superheat)
	}
	if err != nil {
		t.Fatal(err)
	}
	discharge, err := r.AtPS(p2, suction.Entropy)
	if err != nil {
		t.Fatal(err)
	}
	liquid, err := r.BubbleAt(p2)
	if subcooling > 0 {
		liquid, err = r.At(p2, condensing-subcooling)
	}
	if err != nil {
		t.Fatal(err)
	}
	return Cycle{Suction: suction, Discharge: discharge, Liquid: liquid, Outlet: suction}
}

// TestCarnot: the COP of an ideal cycle never exceeds Carnot's between the
// highest temperature of the source (the suction gas, at best) and the lowest
// of the sink (the liquid, at best). Between saturation temperatures that is no
// law: R134a at 0/40 degrees C with 30 K subcooling has 7.15 against 6.83.
func TestCarnot(t *testing.T) {
	rng := rand.New(rand.NewPCG(15, 16))
	for _, name := range []string{"R134a", "R290", "R717", "R32", "R410A", "R448A", "R454C"} {
		r := mustLookup(t, name)
		for range 30 {
			te := FromCelsius(-30 + 35*rng.Float64())
			tc := te + 20 + Kelvin(25*rng.Float64())
			c := idealCycle(t, r, te, tc, Kelvin(10*rng.Float64()), Kelvin(10*rng.Float64()))
			cop, err := c.CoolingCOP()
			if err != nil {
				t.Fatal(err)
			}
			if limit := float64(c.Suction.T / (c.Liquid.T - c.Suction.T)); c.Liquid.T > c.Suction.T && cop > limit {
				t.Errorf("%s %.1f/%.1f C: COP %.4f above Carnot's %.4f", name, te.Celsius(), tc.Celsius(), cop, limit)
			}
			heat, err := c.HeatingCOP()
			if err != nil || math.Abs(heat-cop-1) > 1e-12*heat {
				t.Errorf("%s: heating COP %.12g, cooling %.12g: their difference is not 1 (%v)", name, heat, cop, err)
			}
		}
	}
	cop, err := idealCycle(t, mustLookup(t, "R134a"), 273.15, 313.15, 0, 30).CoolingCOP()
	if err != nil || math.Abs(cop-7.15) > 0.005 {
		t.Errorf("R134a 0/40 C with 30 K subcooling: COP %.4f, %v; want 7.15", cop, err)
	}
	fraction, err := CarnotFraction(cop, 273.15, 313.15, false)
	if err != nil || math.Abs(fraction-7.15/6.83) > 0.002 {
		t.Errorf("internal Carnot fraction %.4f, %v; want 7.15/6.83", fraction, err)
	}
	if _, err := CarnotFraction(3, 300, 307, true); err == nil {
		t.Error("a Carnot fraction at 7 K lift was given")
	}
}

// TestCompressorWork: the shell loss divides, and impossible input is refused.
func TestCompressorWork(t *testing.T) {
	in, out := State{Enthalpy: 400e3}, State{Enthalpy: 440e3}
	if w, err := CompressorWork(in, out, 0.2); err != nil || math.Abs(float64(w)-50e3) > 1e-9 {
		t.Errorf("work %g, %v; want 40/0.8 = 50 kJ/kg", w, err)
	}
	for _, loss := range []float64{-0.1, 1, math.NaN()} {
		if _, err := CompressorWork(in, out, loss); err == nil {
			t.Errorf("shell loss %g accepted", loss)
		}
	}
	if _, err := CompressorWork(out, in, 0); err == nil {
		t.Error("a falling enthalpy was accepted")
	}
}

// TestSecondaryRoutes: flow by both heat exchangers and by the energy balance
// agree for streams made from one cycle, and each says its route.
func TestSecondaryRoutes(t *testing.T) {
	c := idealCycle(t, mustLookup(t, "R410A"), 275, 315, 6, 4)
	const flow = 0.05
	const cp = 4186 // J/(kg K), water near 15 degrees C; ISO/TR 3666, from memory
	qe := flow * float64(c.Outlet.Enthalpy-c.Liquid.Enthalpy)
	qc := flow * float64(c.Discharge.Enthalpy-c.Liquid.Enthalpy)
	source := Secondary{MassFlow: 0.4, Cp: cp, In: 285, Out: 285 - Kelvin(qe/(0.4*cp))}
	sink := Secondary{MassFlow: 0.5, Cp: cp, In: 303, Out: 303 + Kelvin(qc/(0.5*cp))}
	e, errE := c.FlowByEvaporator(source)
	k, errK := c.FlowByCondenser(sink)
	b, errB := c.FlowByEnergyBalance(Watt(qc - qe))
	if err := errors.Join(errE, errK, errB); err != nil {
		t.Fatal(err)
	}
	for _, f := range []Flow{e, k, b} {
		if math.Abs(float64(f.Value)-flow) > 1e-10 {
			t.Errorf("flow by %s = %.12g, want %g", f.Route, f.Value, flow)
		}
	}
	if e.Route != RouteSecondaryFluid || c.Cooling(b).Route != RouteEnergyBalance {
		t.Errorf("routes %s, %s", e.Route, c.Cooling(b).Route)
	}
	if _, err := c.FlowByEvaporator(sink); err == nil {
		t.Error("a source that is heated gave a flow")
	}
}
