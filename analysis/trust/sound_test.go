package trust

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"rimelog/analysis/cycle"
	"rimelog/pipeline/register"
)

// visitAt is a sound visit to an air-water heat pump, k weeks after the first.
func visitAt(k int, evaporating, superheat, subcooling float64) Facts {
	return Facts{Start: int64(k) * 7 * 86400e6, Mean: map[string]float64{
		cycle.Evaporating.String(): evaporating, cycle.Superheat.String(): superheat, cycle.Subcooling.String(): subcooling,
		cycle.EvaporatorTD.String(): 8, cycle.CondenserTD.String(): 8.5, cycle.DischargeSuperheat.String(): 30,
	}}
}

// In the cold a heat pump has less of its charge in the evaporator and shows some 5 K
// more of subcooling than in summer: no winter is a loose probe, the first and the later
// ones (common practice, no source). Under like conditions one visit that stands alone is.
func TestWinterIsNoLooseProbe(t *testing.T) {
	var visits []Facts
	for k := range 36 {
		evaporating := 5 - 9*math.Cos(2*math.Pi*float64(k)/18+2)
		visits = append(visits, visitAt(k, evaporating, 5, math.Max(0.3, 0.3+0.9*(2-evaporating))))
	}
	system := register.NewSystem("AH-01")
	system.Kind = register.AirHeatPump
	for k, f := range Review(system, nil, nil, visits) {
		if len(f.Doubts) > 0 {
			t.Errorf("visit %d at %.1f °C: %+v", k, f.Mean[cycle.Evaporating.String()], f.Doubts)
		}
	}
	visits[35].Mean[cycle.Subcooling.String()] += 7
	if got := rulesOf(Review(system, nil, nil, visits)[35]); !slices.Equal(got, []string{"D10"}) {
		t.Errorf("7 K off the visits under like conditions: %v, want D10", got)
	}
}

// A machine that loses charge shows more superheat and less subcooling from visit to
// visit. A probe comes loose, and a gauge is set wrong, between two of them.
func TestAMachineOnItsWayIsNoMistake(t *testing.T) {
	var visits []Facts
	for k := range 20 {
		gone := math.Max(0, float64(k-8))
		visits = append(visits, visitAt(k, 4, 8+gone, 8-0.7*gone))
	}
	system := register.NewSystem("AC-01")
	system.Kind, system.RefrigerantName = register.AirConditioning, "R410A"
	for k, f := range Review(system, nil, nil, visits) {
		if len(f.Doubts) > 0 {
			t.Errorf("visit %d: %+v", k, f.Doubts)
		}
	}
}

// A logger that writes changes only leaves gaps everywhere, and some of them follow each
// other: no probe fails. A run of gaps in a full log is one that does.
func TestGapsEverywhereAreNoFailingProbe(t *testing.T) {
	s := usualScene()
	r := rand.New(rand.NewPCG(5, 1))
	thin := map[int64]bool{}
	s.spoil = func(at float64, x *cycle.Row) {
		for _, q := range []cycle.Quantity{cycle.SuctionTemp, cycle.LiquidTemp, cycle.OutdoorTemp} {
			if r.Float64() < 0.35 {
				x[q] = math.NaN()
				thin[int64(at)] = true
			}
		}
	}
	if f := s.look(t, 5); len(thin) == 0 || len(f.Doubts) > 0 {
		t.Errorf("a third of the values missing all over: %+v", f.Doubts)
	}
}

// R32 compressed from 5 to 43 °C leaves at some 40 K above condensing though it was
// sucked in at saturation (isentropic efficiency 0.6): the hot gas says nothing against
// a superheat near zero. R134a at like temperatures stays cool, and does.
func TestHotGasNeedNotBeSuperheated(t *testing.T) {
	for name, hot := range map[string]bool{"R32": true, "R134a": false} {
		sys := register.NewSystem("AC-01")
		sys.RefrigerantName = name
		circuit, err := cycle.NewCircuit(sys)
		if err != nil {
			t.Fatal(err)
		}
		low, high := 349.7, 1101.0 // R134a at 5 and 43 °C (Tillner-Roth & Baehr 1994)
		if name == "R32" {
			low, high = 951.5, 2663.0 // Tillner-Roth & Yokozeki 1997
		}
		l := look{Visit: Visit{Circuit: circuit}, mean: cycle.NewRow()}
		l.mean[cycle.SuctionPressure], l.mean[cycle.DischargePressure] = low, high
		if x := l.dryGas(); x > 30 != hot || x < 5 || x > 50 {
			t.Errorf("%s: dry suction gas leaves %.1f K above condensing", name, x)
		}
	}
}

// A valve that hunts with 85 s, sampled once a minute, seems to wander by itself in four
// minutes; its pressure belongs to this circuit all the same.
func TestHuntingSampledOnceAMinuteIsThisCircuit(t *testing.T) {
	s := usualScene()
	s.step, s.minutes, s.swing = 60, 240, 0
	s.spoil = func(at float64, x *cycle.Row) {
		x[cycle.SuctionPressure] = 200.6 * (1 + 0.03*math.Sin(2*math.Pi*at/85-1))
	}
	if f := s.look(t, 3); slices.Contains(rulesOf(f), "D20") {
		t.Errorf("%+v", f.Doubts)
	}
}

// At rest a low side without liquid lies below saturation: pumped down, not off its zero.
func TestPumpedDownIsNoLostZero(t *testing.T) {
	s := usualScene()
	s.standing, s.minutes = 5, 20
	s.spoil = func(at float64, x *cycle.Row) {
		if at < 300 {
			x[cycle.SuctionPressure] -= 70
		}
	}
	if f := s.look(t, 7); slices.Contains(rulesOf(f), "D30") {
		t.Errorf("%+v", f.Doubts)
	}
}

// Where the register names no refrigerant that is known, what the visits show tells which it may
// be: an R134a machine (Tillner-Roth & Baehr 1994) evaporating at -10 °C and condensing at 40 °C.
func TestRefrigerantThatTheRegisterDoesNotName(t *testing.T) {
	system := register.NewSystem("CR-01")
	system.Kind = register.ColdRoom
	var visits []Facts
	for k := range int64(4) {
		visits = append(visits, Facts{Start: k * 30 * 86400e6, End: k*30*86400e6 + 3600e6, Mean: map[string]float64{
			cycle.SuctionPressure.String(): 200.6, cycle.DischargePressure.String(): 1016.6, cycle.SuctionTemp.String(): -2, cycle.LiquidTemp.String(): 35,
			cycle.OutdoorTemp.String(): 28, cycle.EvaporatorAirOn.String(): -1,
		}})
	}
	for k, f := range Review(system, nil, nil, visits) {
		i := slices.IndexFunc(f.Doubts, func(d Doubt) bool { return d.Rule == "D1" })
		if k+1 < fewestShown {
			if i >= 0 {
				t.Errorf("visit %d: %+v, want nothing from so few", k+1, f.Doubts[i])
			}
			continue
		}
		if i < 0 || !slices.Contains(f.Doubts[i].Candidates, "R134a") || len(f.Doubts[i].Candidates) > mostCandidates {
			t.Errorf("visit %d: %+v, want R134a among at most %d", k+1, f.Doubts, mostCandidates)
		}
	}
}
