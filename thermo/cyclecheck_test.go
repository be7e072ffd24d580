package thermo_test

import (
	"errors"
	"math"
	"testing"

	"rimelog/thermo"
)

// simulated is one steady cycle of a heat pump without subcooling.
type simulated struct {
	speed                                 float64 // relative to the largest
	evaporating, condensing               thermo.Pascal
	suction, discharge, liquid            thermo.Kelvin
	mechanical                            float64 // efficiency of the drive
	power, flow                           float64 // W, kg/s
	isentropic, volumetric, heating, cold float64 // efficiencies; heating COP; cooling, W
}

// The R290 cycles of another project's open reference results: RWTH-EBC/vclibpy,
// Standard_Propane.csv, all eight rows (BSD-3-Clause,
// Copyright RWTH Aachen University, E.ON Energy Research Center, Institute for
// Energy Efficient Buildings and Indoor Climate), rounded to nine digits. Columns,
// with the file's names: n, p_eva, p_con, T_1, T_2, T_3, eta_mech, P_el,
// m_flow_ref, eta_is, lambda_h, COP, Q_eva_outer.
var propaneCycles = []simulated{
	{0.3, 291623.591, 1115446.23, 263.15, 336.665046, 304.505829, 0.700382109, 500.717039, 0.00327189622, 0.602059624, 0.724017987, 2.55243844, 927.356162},
	{0.3, 291623.591, 2623829.94, 263.15, 462.256364, 343.878692, 0.556115369, 1673.02267, 0.00252665053, 0.288359126, 0.559107106, 0.800343706, 408.599544},
	{1, 291623.591, 1210273.23, 263.15, 348.598932, 307.887158, 0.800682411, 1884.75316, 0.0116603951, 0.529734382, 0.774077344, 2.4954535, 3194.22517},
	{1, 291623.591, 2719378.94, 263.15, 527.392361, 345.721641, 0.697541621, 7097.51302, 0.00917505374, 0.199904799, 0.609087528, 0.898095065, 1423.43069},
	{0.3, 406036.03, 1130862.23, 273.149922, 328.219447, 305.069493, 0.724050213, 497.87055, 0.00464723243, 0.634570431, 0.750907062, 3.46478854, 1364.5329},
	{0.3, 406036.03, 2644056.94, 273.149922, 395.921535, 344.273034, 0.630953858, 1187.14205, 0.00391725172, 0.47068722, 0.632955641, 1.1987876, 674.099315},
	{1, 403296.03, 1264634.23, 272.936961, 339.561977, 309.738891, 0.819667035, 1949.41139, 0.016404665, 0.564691908, 0.800368393, 3.17759414, 4596.56995},
	{1, 406036.03, 2787759.94, 273.149922, 416.09079, 347.010506, 0.747867441, 4480.98567, 0.014072995, 0.388233459, 0.682180941, 1.25736823, 2283.06573},
}

// The same project's R410A cycles, Standard_R410A.csv, columns and licence as above:
// the rows that ran and whose discharge gas is within the range of R32's equation.
var r410aCycles = []simulated{
	{0.3, 480039.712, 1984078.76, 263.15, 357.59438, 305.063741, 0.693023787, 911.514201, 0.00910046338, 0.590458274, 0.714191512, 2.38425916, 1541.58506},
	{1, 468744.712, 2228372.76, 262.491209, 378.570195, 309.688499, 0.78919014, 3567.28183, 0.0313425618, 0.504304921, 0.755208939, 2.20262496, 5042.12036},
	{0.3, 678309.252, 2030649.76, 273.149956, 343.785951, 305.977374, 0.719446098, 916.473216, 0.0133171351, 0.628869542, 0.744305959, 3.21543121, 2287.5035},
	{1, 620346.252, 2350569.76, 270.486208, 365.126001, 311.858842, 0.807484987, 3716.49686, 0.0426511376, 0.543290721, 0.781163481, 2.64546166, 6830.83455},
}

// sweptVolume is that project's largest displacement: its V_flow_ref over n and
// lambda_h, the same in every row, m3/s.
const sweptVolume = 0.002375

// What that project computed with another implementation must come out of the same
// states here. For propane (Lemmon, McLinden and Wagner 2009 in both) nothing but the
// rounding of the figures above parts the two: 5e-10 of a temperature is up to 1e-8
// of a small enthalpy difference, hence 1e-7. For R410A the other side takes the
// blend for one substance (Lemmon 2003, stated uncertainty 0.5 % in saturation
// pressure and heat capacity), this one for a mixture of two (Lemmon & Jacobsen 2004).
func TestOpenCycleReference(t *testing.T) {
	for _, c := range []struct {
		refrigerant string
		rows        []simulated
		tolerance   float64
	}{{"R290", propaneCycles, 1e-7}, {"R410A", r410aCycles, 2e-3}} {
		t.Run(c.refrigerant, func(t *testing.T) {
			r, err := thermo.Lookup(c.refrigerant)
			if err != nil {
				t.Fatal(err)
			}
			for i, row := range c.rows {
				row.compare(t, r, i, c.tolerance)
			}
		})
	}
}

// compare works the cycle out and holds it against the row's own figures.
func (s simulated) compare(t *testing.T, r *thermo.Refrigerant, row int, tolerance float64) {
	t.Helper()
	check := func(what string, got float64, err error, want float64) {
		t.Helper()
		if err != nil || !(math.Abs(got/want-1) <= tolerance) {
			t.Errorf("row %d: %s %.9g, %v; want %.9g +- %g", row, what, got, err, want, tolerance)
		}
	}
	c, err := s.cycle(r)
	if err != nil {
		t.Fatalf("row %d: %v", row, err)
	}
	check("liquid temperature", float64(c.Liquid.T), nil, float64(s.liquid))
	eta, err := thermo.IsentropicEfficiency(r, c.Suction, c.Discharge)
	check("isentropic efficiency", eta, err, s.isentropic)
	check("volumetric efficiency", c.VolumetricEfficiency(thermo.KgPerSecond(s.flow), sweptVolume*s.speed), nil, s.volumetric)
	cop, err := c.HeatingCOP()
	check("heating COP", cop, err, s.heating)
	cop, err = c.CoolingCOP()
	check("cooling COP", cop, err, s.cold/s.power)
	flow, err := c.MassFlow(thermo.Watt(s.power))
	check("mass flow", float64(flow), err, s.flow)
}

// cycle works the states out from pressures and temperatures; the liquid leaves
// the condenser without subcooling.
func (s simulated) cycle(r *thermo.Refrigerant) (thermo.Cycle, error) {
	in, err1 := r.At(s.evaporating, s.suction)
	out, err2 := r.At(s.condensing, s.discharge)
	liquid, err3 := r.BubbleAt(s.condensing)
	return thermo.Cycle{Suction: in, Discharge: out, Liquid: liquid, Outlet: in, ShellLoss: 1 - s.mechanical}, errors.Join(err1, err2, err3)
}
