package trust

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"rimelog/analysis/cycle"
	"rimelog/pipeline/register"
)

// visitIn is a sound visit to a cold room, in the k-th month: superheat and the condenser's
// difference follow the weather as machines with head pressure control show it (common
// practice, no source), with the scatter of visits.
func visitIn(k int, r *rand.Rand) Facts {
	outdoor := 12 - 12*math.Cos(2*math.Pi*float64(k)/12)
	scatter := func(sd float64) float64 { return sd * r.NormFloat64() }
	condensing := 30 + math.Max(0, outdoor-10) + scatter(0.3)
	f := Facts{Start: int64(k) * 30 * 86400e6, Serials: []string{"A-1"}, Mean: map[string]float64{}}
	f.End = f.Start + 3600e6
	for q, v := range map[cycle.Quantity]float64{
		cycle.OutdoorTemp: outdoor, cycle.Condensing: condensing, cycle.CondenserTD: condensing - outdoor, cycle.Evaporating: -8 + scatter(0.3),
		cycle.Superheat: 6 + 0.1*outdoor + scatter(0.4), cycle.Subcooling: 5 - 0.05*outdoor + scatter(0.4), cycle.EvaporatorTD: 8 + scatter(0.3),
		cycle.DischargeSuperheat: 30 + 0.3*outdoor + scatter(1), cycle.DischargeTemp: 60 + outdoor + scatter(1),
		cycle.SuctionPressure: 217, cycle.DischargePressure: 100 * math.Exp(0.0297*condensing+1.16), // R134a at -8 °C, and near 35 °C
	} {
		f.Mean[q.String()] = v
	}
	return f
}

// One mistake at the last of sixteen visits is seen against the fifteen before, each by its
// own rule, and none is seen without one.
func TestHistorySeesMistakes(t *testing.T) {
	system := register.NewSystem("CR-01")
	system.Kind, system.RefrigerantName = register.ColdRoom, "R134a"
	move := func(by float64, quantities ...cycle.Quantity) func(*Facts) {
		return func(f *Facts) {
			for _, q := range quantities {
				f.Mean[q.String()] += by
			}
		}
	}
	for _, tc := range []struct {
		name  string
		spoil func(*Facts)
		want  []string
	}{
		{"nothing", func(*Facts) {}, nil},
		{"a suction probe that reads 7 K too low", move(-7, cycle.Superheat), []string{"D26"}},
		{"a loose suction probe", move(7, cycle.Superheat), []string{"D10"}},
		{"a loose liquid probe", move(6, cycle.Subcooling), []string{"D10"}},
		{"a liquid probe in the sun", move(-6.5, cycle.Subcooling), []string{"D27"}},
		{"a low pressure 3 K too high", move(-3, cycle.Superheat, cycle.EvaporatorTD), []string{"D30"}},
		{"an outdoor probe in the sun", func(f *Facts) {
			f.Mean[cycle.OutdoorTemp.String()] += 8
			f.Mean[cycle.CondenserTD.String()] -= 8
		}, []string{"D29"}},
		{"a valve that opened: wetter gas, warmer evaporator, cooler discharge", func(f *Facts) {
			move(-5, cycle.Superheat, cycle.DischargeSuperheat, cycle.DischargeTemp)(f)
			move(-1, cycle.EvaporatorTD)(f)
		}, nil},
	} {
		r := rand.New(rand.NewPCG(3, 5))
		var visits []Facts
		for k := range 16 {
			visits = append(visits, visitIn(k, r)) // the last in spring: the machine has shown warmer days
		}
		tc.spoil(&visits[15])
		got := Review(system, nil, nil, visits)
		for k, f := range got[:15] {
			if len(f.Doubts) > 0 {
				t.Fatalf("%s: visit %d: %+v", tc.name, k, f.Doubts)
			}
		}
		if rules := rulesOf(got[15]); !slices.Equal(rules, tc.want) {
			t.Errorf("%s: %v, want %v", tc.name, rules, tc.want)
		}
	}
}

// What stays for good is the machine: the second visit with the same shift is no mistake.
func TestAShiftThatStaysIsNoMistake(t *testing.T) {
	system := register.NewSystem("CR-01")
	system.Kind, system.RefrigerantName = register.ColdRoom, "R134a"
	r := rand.New(rand.NewPCG(3, 7))
	var visits []Facts
	for k := range 17 {
		visits = append(visits, visitIn(k+3, r))
		if k >= 15 {
			visits[k].Mean[cycle.Superheat.String()] += 7
		}
	}
	got := Review(system, nil, nil, visits)
	if rulesOf(got[15]) == nil || rulesOf(got[16]) != nil {
		t.Errorf("the first visit %v, the second %v; want a doubt, then none", rulesOf(got[15]), rulesOf(got[16]))
	}
}

// The pressures of a machine at rest in a cool room, isobutane at 186 kPa, are near twice
// the air's: no hose hangs there. Source: R600a boils at 186 kPa at 5 °C, from memory.
func TestAMachineAtRestIsNoHoseInTheAir(t *testing.T) {
	low, high := make([]float64, 40), make([]float64, 40)
	for i := range low {
		if low[i], high[i] = 186.1, 250.1; i >= 13 {
			low[i], high[i] = 90, 600
		}
	}
	if first, last := openRun(low, high, 2*93.1, [2]float64{nearAir, nearAir}, nearAir); first+last > 0 {
		t.Errorf("%d and %d samples in the air, want none", first, last)
	}
}

// Hot gas of a machine that switches on and off, sampled every quarter of an hour: 85 °C
// stands between 60 °C and 60 °C, and is what the probe measured, as 82 and 88 °C are.
func TestHotGasOf85IsNoCode(t *testing.T) {
	c := &cycle.Columns{}
	for i, v := range []float64{60, 82, 60, 85, 60, 88, 60, 60, 81, 60, 85, 60} {
		c.Time = append(c.Time, int64(i)*900e6)
		c.Values[cycle.DischargeTemp] = append(c.Values[cycle.DischargeTemp], v)
	}
	if found := Screen(c, Site{}); len(found) > 0 {
		t.Errorf("found %+v, want nothing", found)
	}
}
