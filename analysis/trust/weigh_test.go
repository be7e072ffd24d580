package trust

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/pipeline/register"
)

// coldRoom is a cold room with sixteen sound visits by the month, spoilt by a function of
// their number.
func coldRoom(spoil func(k int, f *Facts)) (register.System, []Facts) { return coldRoomOf(16, spoil) }

// coldRoomOf is one with so many visits.
func coldRoomOf(visits int, spoil func(k int, f *Facts)) (register.System, []Facts) {
	system := register.NewSystem("CR-01")
	system.Kind, system.RefrigerantName, system.Altitude = register.ColdRoom, "R134a", 850
	r := rand.New(rand.NewPCG(3, 11))
	var list []Facts
	for k := range visits {
		f := visitIn(k, r)
		f.Mean[cycle.Power.String()] = 2.5 * math.Exp(0.01*r.NormFloat64()) * (math.Pow(f.mean(cycle.DischargePressure)/217, 0.1304) - 1)
		f.Mean[cycle.EvaporatorAirOn.String()], f.Mean[cycle.EvaporatorMedium.String()] = 0, 0
		f.U = map[string]float64{cycle.Superheat.String(): 1.2, cycle.Subcooling.String(): 0.8}
		spoil(k, &f)
		list = append(list, f)
	}
	return system, list
}

func shift(f *Facts, by float64, quantities ...cycle.Quantity) {
	for _, q := range quantities {
		f.Mean[q.String()] += by
	}
}

// Two mistakes at one visit are told apart, each by its own rule, where either alone leaves
// the other's shift unexplained. Sizes are common practice, no source.
func TestTwoMistakesAtOneVisit(t *testing.T) {
	for _, tc := range []struct {
		name  string
		spoil func(*Facts)
		want  []string
	}{
		{"a suction probe too cold and one phase of three", func(f *Facts) {
			shift(f, -8, cycle.Superheat)
			f.Mean[cycle.Power.String()] /= 3
		}, []string{"D26", "D28"}},
		{"a loose suction probe and a liquid probe in the sun", func(f *Facts) {
			shift(f, 7, cycle.Superheat)
			shift(f, -7, cycle.Subcooling)
		}, []string{"D10", "D27"}},
	} {
		system, visits := coldRoom(func(k int, f *Facts) {
			if k == 15 {
				tc.spoil(f)
			}
		})
		got := rulesOf(Review(system, nil, nil, visits)[15])
		if slices.Sort(got); !slices.Equal(got, tc.want) {
			t.Errorf("%s: %v, want %v", tc.name, got, tc.want)
		}
	}
}

// Suction and liquid probe in each other's place show superheat and subcooling too large by
// what the probes differ, though both may still be usual of some machine.
func TestSwappedProbesAgainstHistory(t *testing.T) {
	system, visits := coldRoom(func(k int, f *Facts) {
		f.Mean[cycle.SuctionTemp.String()], f.Mean[cycle.LiquidTemp.String()] = 2, 14
		if k == 15 {
			f.Mean[cycle.SuctionTemp.String()], f.Mean[cycle.LiquidTemp.String()] = 14, 2
			shift(f, 12, cycle.Superheat, cycle.Subcooling)
		}
	})
	if got := rulesOf(Review(system, nil, nil, visits)[15]); !slices.Equal(got, []string{"D7"}) {
		t.Errorf("%v, want D7", got)
	}
}

// Instruments that read 2 K apart, each by its own error, are no mistake when they take turns;
// twice that below the level of its own set is one.
func TestInstrumentsKeepTheirLevel(t *testing.T) {
	kits := [][]string{{"A-1"}, {"B-1"}}
	last := func(by float64) []string {
		system, visits := coldRoom(func(k int, f *Facts) {
			f.Serials = kits[k%2]
			shift(f, 2*float64(k%2), cycle.Superheat)
			if k == 15 {
				shift(f, by, cycle.Superheat)
			}
		})
		got := rulesOf(Review(system, nil, nil, visits)[15])
		return slices.DeleteFunc(got, func(rule string) bool { return rule == "D24" })
	}
	if got := last(0); len(got) > 0 {
		t.Errorf("a set at its own level: %v, want nothing", got)
	}
	if got := last(-4); !slices.Equal(got, []string{"D26"}) {
		t.Errorf("4 K below its own level: %v, want D26", got)
	}
}

// Another machine is told by channels that this one cannot have, where its temperatures alone
// might still be this one's on a bad day.
func TestChannelsTellAnotherMachine(t *testing.T) {
	system, visits := coldRoom(func(k int, f *Facts) {
		if k == 15 {
			delete(f.Mean, cycle.EvaporatorAirOn.String())
			f.Mean[cycle.SourceInlet.String()], f.Mean[cycle.Speed.String()] = 12, 48
			f.Mean[cycle.EvaporatorMedium.String()] = 12
			shift(f, -5, cycle.EvaporatorTD)
			shift(f, -4, cycle.Superheat, cycle.Subcooling)
		}
	})
	if got := rulesOf(Review(system, nil, nil, visits)[15]); !slices.Equal(got, []string{"D32"}) {
		t.Errorf("%v, want D32", got)
	}
}

// A machine that is wholly different from some visit on was rebuilt: the first visit may be
// another machine's, the second with the same levels is this one's.
func TestAnotherMachineThatStaysIsThisOne(t *testing.T) {
	system, visits := coldRoom(func(k int, f *Facts) {
		if k >= 14 {
			shift(f, -20, cycle.Superheat, cycle.EvaporatorTD)
			shift(f, 25, cycle.Subcooling, cycle.CondenserTD)
		}
	})
	got := Review(system, nil, nil, visits)
	if first, second := rulesOf(got[14]), rulesOf(got[15]); !slices.Contains(first, "D32") || slices.Contains(second, "D32") {
		t.Errorf("first %v, then %v; want another machine at first alone", first, second)
	}
}

// Gas in the condenser raises condensing and what seems to be subcooling by tens of kelvins,
// and leaves the low side as it was: that is this machine, in need of help.
func TestGasInTheCondenserIsThisMachine(t *testing.T) {
	system, visits := coldRoom(func(k int, f *Facts) {
		if k == 15 {
			shift(f, 45, cycle.Subcooling, cycle.CondenserTD, cycle.Condensing)
		}
	})
	if got := rulesOf(Review(system, nil, nil, visits)[15]); slices.Contains(got, "D32") {
		t.Errorf("%v, want no other machine", got)
	}
}

// The outdoor air is some 11 K above what the season leaves to expect, while the condenser
// seems to work with 4 K less than ever: the probe hangs in the sun. A warm day alone is weather.
func TestSeasonHelpsToSeeTheSun(t *testing.T) {
	for _, tc := range []struct {
		outdoor, condenser float64
		want               []string
	}{{11, -4, []string{"D29"}}, {7, 0, nil}} {
		system, visits := coldRoom(func(k int, f *Facts) {
			f.Start = time.Date(2023, time.Month(1+k), 15, 12, 0, 0, 0, time.UTC).UnixMicro()
			f.End = f.Start + 3600e6
			if k == 15 {
				shift(f, tc.outdoor, cycle.OutdoorTemp)
				shift(f, tc.condenser, cycle.CondenserTD)
			}
		})
		if got := rulesOf(Review(system, nil, nil, visits)[15]); !slices.Equal(got, tc.want) {
			t.Errorf("outdoor air %+g K, condenser %+g K: %v, want %v", tc.outdoor, tc.condenser, got, tc.want)
		}
	}
}

// A log without the outdoor temperature that all visits before had lacks it, also where water
// comes from both sides and no rule about the one visit asks for it.
func TestMissingOutdoorTemperatureAgainstHistory(t *testing.T) {
	system, visits := coldRoom(func(k int, f *Facts) {
		if k == 15 {
			delete(f.Mean, cycle.OutdoorTemp.String())
			delete(f.Mean, cycle.CondenserTD.String())
		}
	})
	if got := rulesOf(Review(system, nil, nil, visits)[15]); !slices.Equal(got, []string{"D23"}) {
		t.Errorf("%v, want D23", got)
	}
}

// A logger that leaves the unit out of its header once is the same logger.
func TestHeadersWithoutUnitsAreAlike(t *testing.T) {
	a, b := `columns "Suction pressure [bar(g)]", "Suction temperature [°C]"`, `columns "Suction pressure", "Suction temperature"`
	if !alike(a, b) || !alike(b, a) {
		t.Errorf("%s and %s are not alike", a, b)
	}
	if other := `columns "P1 bar", "T1 °C"`; alike(a, other) {
		t.Errorf("%s and %s are alike", a, other)
	}
}
