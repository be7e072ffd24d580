package trust

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"rimelog/analysis/cycle"
	"rimelog/pipeline/table"
)

func add(q cycle.Quantity, by float64) func(float64, *cycle.Row) {
	return func(_ float64, x *cycle.Row) { x[q] += by }
}

// TestRulesSeeTheirMistake makes each mistake in one visit to a sound machine and
// expects the rule, and no other. Signatures: the trade's list of mistakes; sizes are
// common practice, no source.
func TestRulesSeeTheirMistake(t *testing.T) {
	for _, c := range []struct {
		rule  string
		what  string
		scene func(*scene)
		spoil func(float64, *cycle.Row)
	}{
		{rule: "D1", what: "R290 in a machine entered as R134a, at rest", scene: func(s *scene) { s.standing = 5 },
			spoil: func(at float64, x *cycle.Row) { // R290 boils at 836 kPa at 20 °C (Lemmon et al. 2009), from memory
				if at < 300 {
					x[cycle.SuctionPressure], x[cycle.DischargePressure] = 836, 836
				}
			}},
		{rule: "D2", what: "absolute pressures taken for gauge ones, at rest", scene: func(s *scene) { s.standing = 5 },
			spoil: func(_ float64, x *cycle.Row) { x[cycle.SuctionPressure] += 101.3; x[cycle.DischargePressure] += 101.3 }},
		{rule: "D2", what: "absolute pressures taken for gauge ones, running",
			spoil: func(_ float64, x *cycle.Row) { x[cycle.SuctionPressure] += 101.3; x[cycle.DischargePressure] += 101.3 }},
		{rule: "D2", what: "the air left out, seen before the hoses are connected", scene: func(s *scene) { s.standing = 5 },
			spoil: func(at float64, x *cycle.Row) {
				if at < 60 {
					x[cycle.SuctionPressure], x[cycle.DischargePressure] = 0.1, 0.1
				}
			}},
		{rule: "D5", what: "°F under °C", spoil: func(_ float64, x *cycle.Row) {
			for _, q := range temperatures {
				x[q] = x[q]*1.8 + 32
			}
		}},
		{rule: "D5", what: "°C under °F", spoil: func(_ float64, x *cycle.Row) {
			for _, q := range temperatures {
				x[q] = (x[q] - 32) / 1.8
			}
		}},
		{rule: "D7", what: "suction and liquid probe swapped", spoil: func(_ float64, x *cycle.Row) {
			x[cycle.SuctionTemp], x[cycle.LiquidTemp] = x[cycle.LiquidTemp], x[cycle.SuctionTemp]
		}},
		{rule: "D8", what: "hoses swapped", spoil: func(_ float64, x *cycle.Row) {
			x[cycle.SuctionPressure], x[cycle.DischargePressure] = x[cycle.DischargePressure], x[cycle.SuctionPressure]
		}},
		{rule: "D9", what: "suction and discharge probe swapped", spoil: func(_ float64, x *cycle.Row) {
			x[cycle.SuctionTemp], x[cycle.DischargeTemp] = x[cycle.DischargeTemp], x[cycle.SuctionTemp]
		}},
		{rule: "D10", what: "suction probe hangs loose: half of the way to the air, slow", spoil: func(_ float64, x *cycle.Row) {
			x[cycle.SuctionTemp] = -2 + 0.45*(24+2) + 0.05*(x[cycle.SuctionTemp]+2)
		}},
		{rule: "D10", what: "the same logged every 30 s, while the room swings with its thermostat", scene: func(s *scene) { s.step, s.minutes = 30, 60 }, spoil: func(at float64, x *cycle.Row) {
			x[cycle.SuctionTemp] = -2 + 0.45*(24+2) + 0.05*(x[cycle.SuctionTemp]+2)
			x[cycle.SuctionPressure] *= 1 + 0.02*math.Sin(2*math.Pi*at/1300)
			x[cycle.EvaporatorAirOn] += 0.6 * math.Sin(2*math.Pi*at/1300)
		}},
		{rule: "D20", what: "suction pressure of another circuit, which does not swing", spoil: func(at float64, x *cycle.Row) {
			x[cycle.SuctionPressure] = 215 * (1 + 0.03*math.Sin(2*math.Pi*at/700))
		}},
		{rule: "D19", what: "a room pulled down beside a thermostat's swing", scene: func(s *scene) { s.minutes = 55 }, spoil: func(at float64, x *cycle.Row) {
			warm := 6*math.Exp(-at/1500) + 0.9*math.Sin(2*math.Pi*at/1300)
			x[cycle.EvaporatorAirOn] += warm
			x[cycle.SuctionTemp] += warm * 0.8
			x[cycle.SuctionPressure] *= 1 + 0.032*warm
		}},
		{rule: "D11", what: "suction probe falls off", spoil: func(at float64, x *cycle.Row) {
			if at > 1200 {
				x[cycle.SuctionTemp] = 24 - 26*math.Exp(-(at-1200)/8)
			}
		}},
		{rule: "D13", what: "the value of a digital sensor before its first conversion", spoil: func(at float64, x *cycle.Row) {
			if at > 1200 && at < 1320 {
				x[cycle.LiquidTemp] = math.NaN()
			}
		}},
		{rule: "D14", what: "high-pressure hose closed", spoil: func(at float64, x *cycle.Row) {
			x[cycle.DischargePressure] = 1016.6 - 0.01*at
		}},
		{rule: "D14", what: "high-pressure hose shut before the start", scene: func(s *scene) { s.standing = 5 }, spoil: func(at float64, x *cycle.Row) {
			x[cycle.DischargePressure] = 572 - 0.005*at
		}},
		{rule: "D17", what: "two minutes between samples", scene: func(s *scene) { s.step, s.minutes, s.swing = 120, 60, 0 }},
		{rule: "D18", what: "six minutes", scene: func(s *scene) { s.minutes = 6 }},
		{rule: "D19", what: "a room pulled down", spoil: func(at float64, x *cycle.Row) {
			warm := 8 * math.Exp(-at/1500)
			x[cycle.EvaporatorAirOn] += warm
			x[cycle.SuctionTemp] += warm * 0.8
			x[cycle.SuctionPressure] *= 1 + 0.032*warm
		}},
		{rule: "D20", what: "suction pressure of another circuit", scene: func(s *scene) { s.swing = 0 }, spoil: func(at float64, x *cycle.Row) {
			x[cycle.SuctionPressure] *= 0.85 * (1 + 0.03*math.Sin(2*math.Pi*at/700))
		}},
		{rule: "D23", what: "no liquid temperature", scene: func(s *scene) { s.without = []cycle.Quantity{cycle.LiquidTemp} }},
		{rule: "D25", what: "the room's probe on the coil", spoil: func(_ float64, x *cycle.Row) { x[cycle.EvaporatorAirOn] = -10.8 }},
		{rule: "D25", what: "the air that enters the evaporator colder than the air that leaves it", scene: func(s *scene) { s.airOff = 1 },
			spoil: add(cycle.EvaporatorAirOn, -4)},
		{rule: "D19", what: "a room pulled down while its thermostat switches a fan", spoil: func(at float64, x *cycle.Row) {
			warm := 8*math.Exp(-at/1500) + 0.7*math.Sin(2*math.Pi*at/700)
			x[cycle.EvaporatorAirOn] += warm
			x[cycle.SuctionTemp] += warm * 0.8
			x[cycle.SuctionPressure] *= 1 + 0.032*warm
		}},
		{rule: "D26", what: "suction probe far too low", spoil: add(cycle.SuctionTemp, -12)},
		{rule: "D27", what: "liquid probe in the sun", spoil: add(cycle.LiquidTemp, 8)},
		{rule: "D29", what: "outdoor probe in the sun", spoil: add(cycle.OutdoorTemp, 10)},
		{rule: "D30", what: "low-pressure sensor off by 50 kPa, at rest", scene: func(s *scene) { s.standing = 5; s.minutes = 20 }, spoil: add(cycle.SuctionPressure, 50)},
		{rule: "D15", what: "day and month the other way round", scene: func(s *scene) { s.paths = []string{"CR-01/2024-05-03-log.csv"} }},
	} {
		s := usualScene()
		if c.scene != nil {
			c.scene(&s)
		}
		s.spoil = c.spoil
		f := s.look(t, 7)
		if got := rulesOf(f); !slices.Equal(got, []string{c.rule}) {
			t.Errorf("%s: rules %v, want %s alone: %+v", c.what, got, c.rule, f.Doubts)
			continue
		}
		if d := f.Doubts[0]; d.Remedy == "" || !strings.ContainsAny(d.Evidence, "0123456789") && c.rule != "D23" {
			t.Errorf("%s: a doubt needs evidence in numbers and a remedy: %+v", c.what, d)
		}
	}
}

// TestStuckChannel holds a channel in the middle of a visit.
func TestStuckChannel(t *testing.T) {
	s := usualScene()
	c := s.columns(3)
	v := c.Values[cycle.OutdoorTemp]
	for i := 100; i < 180; i++ {
		v[i] = v[99]
	}
	found := Screen(c, Site{})
	if len(found) != 1 || found[0].Rule != "D12" || found[0].From != c.Time[99] || found[0].To != c.Time[179] {
		t.Fatalf("found %+v, want one stuck channel from sample 99 to 179", found)
	}
	if !math.IsNaN(v[150]) || math.IsNaN(v[190]) {
		t.Error("what stuck is taken out, and nothing else")
	}
}

// A logger that writes what has changed leaves most values of a quiet channel out: the channel
// is not missing, and its mean is known.
func TestLogsOfChangesOnly(t *testing.T) {
	s := usualScene()
	full := s.look(t, 5).Mean[cycle.OutdoorTemp.String()]
	s.spoil = func(at float64, x *cycle.Row) {
		if math.Mod(at, 120) > 11 {
			x[cycle.OutdoorTemp] = math.NaN()
		}
	}
	f := s.look(t, 5)
	if got := f.Mean[cycle.OutdoorTemp.String()]; !(math.Abs(got-full) < 0.1) || len(f.Doubts) > 0 {
		t.Errorf("outdoor %.2f and %+v, want %.2f without doubt", got, f.Doubts, full)
	}
}

// Liquid 10 K warmer than it can be (a probe in the sun, 8 K and more; common practice, no
// source) is seen in a visit of five samples some minutes apart, too.
func TestFarBelowZeroInFewSamples(t *testing.T) {
	s := usualScene()
	s.step, s.minutes = 288, 26
	if f := s.look(t, 2); slices.Contains(rulesOf(f), "D27") {
		t.Errorf("a sound visit: %v", rulesOf(f))
	}
	s.spoil = func(_ float64, x *cycle.Row) { x[cycle.LiquidTemp] += 15 }
	if f := s.look(t, 2); !slices.Contains(rulesOf(f), "D27") {
		t.Errorf("subcooling %.1f K: %v, want D27 among them", f.Mean[cycle.Subcooling.String()], rulesOf(f))
	}
}

// TestErrorCodes takes codes out, and leaves a discharge temperature of 85 °C.
func TestErrorCodes(t *testing.T) {
	s := usualScene()
	s.spoil = func(at float64, x *cycle.Row) { x[cycle.DischargeTemp] = 84 + at/1200 }
	c := s.columns(4)
	c.Values[cycle.LiquidTemp][50], c.Values[cycle.LiquidTemp][51] = 85, 85
	c.Values[cycle.SuctionTemp][60] = -127
	c.Values[cycle.DischargeTemp][100] = 85
	found := Screen(c, Site{})
	if len(found) != 2 || found[0].Rule != "D13" || found[1].Rule != "D13" {
		t.Fatalf("found %+v, want codes in two channels", found)
	}
	if !math.IsNaN(c.Values[cycle.LiquidTemp][50]) || math.IsNaN(c.Values[cycle.DischargeTemp][100]) {
		t.Error("a code far from its neighbours is taken out, a value among its like stays")
	}
}

// TestSoundVisitsAreLeftAlone plays sound visits of many seeds, sampling and swings.
func TestSoundVisitsAreLeftAlone(t *testing.T) {
	for seed := range uint64(60) {
		s := usualScene()
		s.standing = float64(seed%3) * 3
		s.swing = float64(seed%5) * 0.6
		s.step = []float64{1, 5, 10, 20, 30}[seed%5]
		if f := s.look(t, seed); len(f.Doubts) > 0 {
			t.Errorf("seed %d: %+v", seed, f.Doubts)
		}
	}
}

// TestProposalsAreLinesOfTheRegister expects the line to paste, with the header as found.
func TestProposalsAreLinesOfTheRegister(t *testing.T) {
	s := usualScene()
	s.standing = 5
	s.spoil = func(_ float64, x *cycle.Row) { x[cycle.SuctionPressure] += 101.3; x[cycle.DischargePressure] += 101.3 }
	d := s.look(t, 1).Doubts[0]
	if !strings.Contains(d.Remedy, "CR-01,CR-01/2024-03-05-log.csv,Low [bar],suction_pressure,,,absolute") {
		t.Errorf("remedy %q has no line to paste", d.Remedy)
	}
}

// TestDoubtHides expects what rests on a doubtful channel to be gone, and no more.
func TestDoubtHides(t *testing.T) {
	v := table.Visit{Superheat: 8, Subcooling: 5, CondenserTD: 12, EvaporatorTD: 8, OutdoorTemp: 28, Power: 2, Use: table.UseTrend}
	Hide(&v, []Doubt{{Rule: "D10", Channels: about(cycle.SuctionTemp), Hides: true}})
	if !math.IsNaN(v.Superheat) || v.Subcooling != 5 || v.EvaporatorTD != 8 || v.Use != table.UseTrend || v.Doubt != "D10" {
		t.Errorf("after a loose suction probe: %+v", v)
	}
	Hide(&v, []Doubt{{Rule: "D5", Hides: true}})
	if !math.IsNaN(v.Subcooling) || v.Use != table.UseNone || !strings.Contains(v.Reason, "°F") {
		t.Errorf("after doubt about everything: %+v", v)
	}
	w := table.Visit{Superheat: 8, Subcooling: 5, Use: table.UseTrend}
	Hide(&w, []Doubt{{Rule: "D17"}})
	if w.Superheat != 8 || w.Doubt != "" || w.Use != table.UseTrend {
		t.Errorf("a remark hides nothing: %+v", w)
	}
}

// TestRulesAreComplete expects D1 to D33, each with a name and a signature.
func TestRulesAreComplete(t *testing.T) {
	rules := Rules()
	if len(rules) != 33 {
		t.Fatalf("%d rules, want 33", len(rules))
	}
	for i, r := range rules {
		if r.ID != fmt.Sprintf("D%d", i+1) || r.Name == "" || r.Signature == "" || r.Action == "" {
			t.Errorf("rule %d: %+v", i+1, r)
		}
	}
}

// Liquid colder than the air that cools it tells of a subcooler or an internal heat
// exchanger that nobody entered: the remedy says so, and where it is entered there is
// no doubt. Taken for the condenser's own, such subcooling would look like a change of
// charge whenever the exchanger's duty changes.
func TestSubcoolerIsNoCharge(t *testing.T) {
	s := usualScene()
	s.spoil = add(cycle.LiquidTemp, -9) // 26 °C in air of 28 °C
	f := s.look(t, 1)
	if len(f.Doubts) != 1 || f.Doubts[0].Rule != "D29" || !strings.Contains(f.Doubts[0].Remedy, "subcooler or internal heat exchanger in systems.csv") {
		t.Errorf("liquid below the air: %+v", f.Doubts)
	}
	s.subcooler = table.Yes
	if f := s.look(t, 1); len(f.Doubts) > 0 {
		t.Errorf("with the subcooler in the register: %+v", f.Doubts)
	}
}

// In heating a split unit's gas line is the high side: low and high pressure are alike
// and the gas is hot. The visit is no visit of a low charge.
func TestGasLineInHeating(t *testing.T) {
	s := usualScene()
	s.spoil = func(_ float64, x *cycle.Row) {
		x[cycle.SuctionPressure], x[cycle.SuctionTemp] = x[cycle.DischargePressure]-10, 68
	}
	s.off = true // pressures alike: nothing seems to run
	if got := rulesOf(s.look(t, 2)); !slices.Equal(got, []string{"D22"}) {
		t.Errorf("rules %v, want D22 alone", got)
	}
}

// Hoses in the air before and after say what pressures are counted from and whether a
// sensor has lost its zero; the machine runs all the while.
func TestHosesInTheAir(t *testing.T) {
	for _, c := range []struct {
		rule      string
		low, high float64 // kPa
	}{{"", 101.3, 101.3}, {"D2", 0.2, 0.1}, {"D2", 202.6, 202.7}, {"D30", 141.3, 101.3}} {
		s := usualScene()
		s.spoil = func(at float64, x *cycle.Row) {
			if at < 120 || at > 2300 {
				x[cycle.SuctionPressure], x[cycle.DischargePressure] = c.low, c.high
			}
		}
		columns := s.columns(9)
		found := Screen(columns, Site{Air: 101.325})
		var got string
		for _, d := range found {
			got += d.Rule
		}
		if got != c.rule {
			t.Errorf("hoses showing %.1f and %.1f kPa: %q, want %q: %+v", c.low, c.high, got, c.rule, found)
		}
		if v := columns.Values[cycle.SuctionPressure]; !math.IsNaN(v[0]) || math.IsNaN(v[100]) || !math.IsNaN(v[len(v)-1]) {
			t.Error("what hoses in the air show is taken out, and nothing else")
		}
		if in := columns.InAir; !in[0] || in[100] || !in[len(in)-1] {
			t.Error("the minutes with the hoses in the air are marked, and no others")
		}
	}
}
