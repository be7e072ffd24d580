package energy

import (
	"math"
	"testing"

	"rimelog/pipeline/register"
	"rimelog/thermo"
)

func fluid(t testing.TB, name string) *thermo.Fast {
	t.Helper()
	r, err := properties(name)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func kpa(t testing.TB, r *thermo.Fast, celsius float64) float64 {
	t.Helper()
	p, err := r.DewP(thermo.FromCelsius(celsius))
	if err != nil {
		t.Fatal(err)
	}
	return float64(p) / 1000
}

// machine is a state of an R134a circuit at -5 and 45 °C and what is known of it.
func machine(t testing.TB) (*Machine, State) {
	r := fluid(t, "R134a")
	s := NewState()
	s.SuctionPressure, s.DischargePressure = kpa(t, r, -5), kpa(t, r, 45)
	s.SuctionTemp, s.DischargeTemp, s.LiquidTemp = 4, 78, 39
	s.EvaporatorExit, s.Power = 1, 3
	s.EvaporatorAirOn, s.CondenserAirOn = 4, 33
	nan := math.NaN()
	return &Machine{Refrigerant: r, Kind: register.ColdRoom, Boundary: register.Compressor, Superheat: nan, EvaporatorAir: nan, CondenserAir: nan, AirPressure: 101.325, Mode: Cooling}, s
}

// Uncertainty of a COP by flow and temperature rise: flow ±2 %, power ±1 %, each
// temperature ±0.1, 0.3, 0.5 K at a rise of 5 K, and ±0.3 K at 10 and 3 K; limits
// are rectangular (JCGM 100:2008, 4.3.7), uncorrelated, k = 2. By hand, for the
// first: 2/√3·√(2² + 1² + (0.1·√2/5·100)²) = 4.2 %.
func TestUncertaintyOfCOPByGUM(t *testing.T) {
	for _, c := range []struct{ limit, rise, percent float64 }{
		{0.1, 5, 4.2}, {0.3, 5, 10.1}, {0.5, 5, 16.5}, {0.3, 10, 5.5}, {0.3, 3, 16.5},
	} {
		s, u := NewState(), Doubt(NewState())
		s.SinkIn, s.SinkOut, s.SinkFlow, s.Power = 30, 30+c.rise, 1.2, 2
		u.SinkIn, u.SinkOut = c.limit/math.Sqrt(3), c.limit/math.Sqrt(3)
		u.SinkFlow, u.Power = 0.02*s.SinkFlow/math.Sqrt(3), 0.01*s.Power/math.Sqrt(3)
		m := Machine{Boundary: register.Compressor, Mode: Heating}
		got := 200 * m.Doubts(s, u)[ByHeatMeter]
		near(t, "expanded uncertainty, %", got, c.percent, 0.35) // a step of finite size, and rounding of the figure
	}
}

// The state route against thermo's cycle with the same states: first law for a
// kilogram; and heating is cooling plus work less the shell's loss when the
// evaporator's exit is the suction state.
func TestStateRouteIsTheFirstLaw(t *testing.T) {
	m, s := machine(t)
	s.EvaporatorExit = s.SuctionTemp
	cold := m.Perform(s)
	m.Mode = Heating
	warm := m.Perform(s)
	if len(cold) != 1 || len(warm) != 1 || cold[0].Route != ByStates {
		t.Fatalf("routes: %v, %v", cold, warm)
	}
	near(t, "heating COP", warm[0].COP, cold[0].COP+1-shellLoss, 1e-12)
	near(t, "cooling, kW", cold[0].Heat, 3*cold[0].COP, 1e-12)
}

// All routes agree on a plant whose balances close, whatever the boundary's power.
func TestRoutesAgreeOnAClosedBalance(t *testing.T) {
	m, s := machine(t)
	per, err := m.perKilogram(s, shellLoss)
	if err != nil {
		t.Fatal(err)
	}
	s.RefrigerantFlow = s.Power / per.work
	q := s.RefrigerantFlow * per.use
	s.SourceIn, s.SourceFlow = 12, 1
	s.SourceOut = 12 - q/waterHeat(1, 12, 13)*1
	results := m.Perform(s)
	if len(results) != 3 || results[0].Route != ByHeatMeter {
		t.Fatalf("routes %+v", results)
	}
	for _, r := range results {
		near(t, r.Route.String(), r.COP, per.use/per.work, 0.002*r.COP)
	}
	if d := Disagreements(results, [Routes]float64{0.02, 0.02, 0.02, 0.02, 0.02}); len(d) != 0 {
		t.Errorf("agreeing routes are called different: %+v", d)
	}
	results[0].COP *= 1.2
	if d := Disagreements(results, [Routes]float64{0.02, 0.02, 0.02, 0.02, 0.02}); len(d) != 2 {
		t.Errorf("20 %% off at 2 %% doubt is not seen: %+v", d)
	}
	m.Boundary = register.UnitWithFans
	for _, r := range m.Perform(s) {
		if r.Route == ByStates && (r.Boundary != register.Compressor || finite(r.Heat)) {
			t.Errorf("the state route's boundary is the compressor, and a unit's power says no capacity of it: %+v", r)
		}
	}
}

// What cannot be worked out names its reason.
func TestStateRouteRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*State)
		want   error
	}{
		"wet gas":    {func(s *State) { s.SuctionTemp = -6 }, errWetGas},
		"nearly wet": {func(s *State) { s.SuctionTemp = -5 + leastSuperheat - 0.1 }, errWetGas},
		"flash gas":  {func(s *State) { s.LiquidTemp = 46 }, errFlashGas},
		"bubbles":    {func(s *State) { s.LiquidTemp = 45 - leastSubcooling + 0.1 }, errFlashGas},
		"cold gas":   {func(s *State) { s.DischargeTemp = 46; s.SuctionTemp = 70 }, errNoRise},
	} {
		m, s := machine(t)
		c.change(&s)
		results := m.Perform(s)
		if len(results) != 1 || results[0].Problem != c.want || finite(results[0].COP) {
			t.Errorf("%s: %+v, want %v", name, results, c.want)
		}
	}
}

// Carnot's COP between 0 and 40 °C is 273.15/40 = 6.829 for cooling.
func TestFractions(t *testing.T) {
	near(t, "Carnot, cooling", carnot(0, 40, false), 6.82875, 1e-9)
	near(t, "Carnot, heating", carnot(0, 40, true), 7.82875, 1e-9)
	if finite(carnot(20, 27, false)) {
		t.Error("a fraction of Carnot's is given below 8 K lift")
	}
	m, s := machine(t)
	internal, external := m.Fractions(s, 2.5)
	near(t, "internal", internal, 2.5*50/268.15, 1e-6)
	near(t, "external", external, 2.5*29/277.15, 1e-6)
}

// Heating COP of simulated steady cycles: the first rows of Standard_R410A.csv and
// Standard_Propane.csv of the open cycle data of RWTH-EBC/vclibpy (BSD-3-Clause):
// Q_con over P_el. Their compressors lose 1-eta_mech of the electricity. Liquid there is
// just saturated, as from a receiver; 0.01 K of subcooling parts it from flash gas.
func TestHeatingCOPOfOpenCycleData(t *testing.T) {
	for _, c := range []struct {
		fluid                             string
		low, suction, high, hot, out, eta float64 // Pa, K
		cop                               float64
	}{
		{"R410A", 480039.71183086134, 263.15, 1984078.7628009, 357.594379969956, 305.0637413254377, 0.6930237873133528, 2.3842591595958322},
		{"R290", 291623.5911349992, 263.15, 1115446.2268894755, 336.66504574214696, 304.5058294430483, 0.7003821087043167, 2.552438438611412},
	} {
		m, s := machine(t)
		m.Refrigerant, m.Mode, m.Receiver = fluid(t, c.fluid), Heating, true
		s.SuctionPressure, s.DischargePressure = c.low/1000, c.high/1000
		s.SuctionTemp, s.DischargeTemp, s.LiquidTemp = c.suction-273.15, c.hot-273.15, c.out-273.15-0.01
		per, err := m.perKilogram(s, 1-c.eta)
		if err != nil {
			t.Fatal(c.fluid, err)
		}
		near(t, c.fluid+" heating COP", per.use/per.work, c.cop, 0.005*c.cop)
	}
}

// Law: the fitted curves give the COP of the equations: 1 J/kg of the 30 kJ/kg of
// compression is 0.003 %, and the curves stay within some J/kg (thermo, ACCURACY.md).
func TestCOPByFittedCurvesIsThatOfTheEquations(t *testing.T) {
	for _, name := range []string{"R134a", "R410A", "R290", "R449A", "R717"} {
		m, s := machine(t)
		m.Refrigerant = fluid(t, name)
		r := m.Refrigerant.Refrigerant()
		s.SuctionPressure, s.DischargePressure, s.DischargeTemp = kpa(t, m.Refrigerant, -5), kpa(t, m.Refrigerant, 45), 95
		s.EvaporatorExit = math.NaN()
		per, err := m.perKilogram(s, shellLoss)
		if err != nil {
			t.Fatal(name, err)
		}
		enthalpy := func(kpa, celsius float64) float64 {
			x, err := r.At(pascal(kpa), thermo.FromCelsius(celsius))
			if err != nil {
				t.Fatal(name, err)
			}
			return float64(x.Enthalpy) / 1000
		}
		dew, err := r.DewT(pascal(s.SuctionPressure))
		if err != nil {
			t.Fatal(name, err)
		}
		suction, liquid := enthalpy(s.SuctionPressure, s.SuctionTemp), enthalpy(s.DischargePressure, s.LiquidTemp)
		work := (enthalpy(s.DischargePressure, s.DischargeTemp) - suction) / (1 - shellLoss)
		use := enthalpy(s.SuctionPressure, m.exitTemp(s, dew.Celsius())) - liquid
		near(t, name, per.use/per.work, use/work, 2e-4*use/work)
	}
}
