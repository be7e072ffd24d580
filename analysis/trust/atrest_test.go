package trust

import (
	"math/rand/v2"
	"slices"
	"testing"

	"rimelog/analysis/cycle"
	"rimelog/pipeline/register"
)

// Whoever waits a few minutes before the start sees what the running machine hides: a condenser
// in the shade is as warm as the air, and both sides stand at saturation, where R134a changes by
// 0.08 K with each kPa at -8 °C and by 0.05 K at 12 °C (Tillner-Roth & Baehr 1994, from memory).
// Head pressure that is held up hides the sun from the running one.
func TestRestTellsTheSunAndALostZero(t *testing.T) {
	for _, tc := range []struct {
		name  string
		spoil func(*Facts)
		want  []string
	}{
		{"nothing", func(*Facts) {}, nil},
		{"an outdoor probe in the sun, running it shows little", func(f *Facts) {
			still(f, cycle.OutdoorTemp, 7)
			shift(f, 7, cycle.OutdoorTemp)
		}, []string{"D29"}},
		{"a high pressure 36 kPa too high", func(f *Facts) {
			still(f, cycle.DischargePressure, 2.4)
			shift(f, 1.5, cycle.Subcooling, cycle.CondenserTD)
		}, []string{"D30"}},
		{"a machine pumped down: its low side holds gas alone", func(f *Facts) { still(f, cycle.SuctionPressure, -9) }, nil},
	} {
		r := rand.New(rand.NewPCG(7, 2))
		system, visits := coldRoom(func(k int, f *Facts) {
			f.Still = map[string]Still{
				cycle.SuctionPressure.String():   {KPa: 293, Temp: 0, Over: 0.2 * r.NormFloat64(), U: 0.8},
				cycle.DischargePressure.String(): {KPa: 443, Temp: 12, Over: 0.2 * r.NormFloat64(), U: 0.8},
				cycle.OutdoorTemp.String():       {Temp: 11, Over: -1 + 0.4*r.NormFloat64(), U: 0.6},
			}
			if k == 15 {
				tc.spoil(f)
			}
		})
		if got := rulesOf(Review(system, nil, nil, visits)[15]); !slices.Equal(got, tc.want) {
			t.Errorf("%s: %v, want %v", tc.name, got, tc.want)
		}
	}
}

// still moves what a visit shows at rest.
func still(f *Facts, q cycle.Quantity, by float64) {
	s := f.Still[q.String()]
	s.Over += by
	f.Still[q.String()] = s
}

// A building's water is the warmer the colder it is outdoors, by half a kelvin for each (a heating
// curve as controls are delivered; common practice, no source): beside water of a cold day, warm air
// is a probe in the sun. Water of another use, such as hot water, says nothing.
func TestWaterTellsTheWeather(t *testing.T) {
	for _, tc := range []struct {
		outdoor, water float64
		want           []string
	}{{0, 0, nil}, {8, 0, []string{"D29"}}, {0, 14, nil}} {
		system, visits := coldRoom(func(k int, f *Facts) {
			f.Mean[cycle.SinkInlet.String()] = 35 - 0.5*f.mean(cycle.OutdoorTemp)
			if k == 15 {
				shift(f, tc.outdoor, cycle.OutdoorTemp)
				shift(f, tc.water, cycle.SinkInlet)
			}
		})
		system.Kind = register.GroundHeatPump
		if got := rulesOf(Review(system, nil, nil, visits)[15]); !slices.Equal(got, tc.want) {
			t.Errorf("outdoor air %+g K, water %+g K: %v, want %v", tc.outdoor, tc.water, got, tc.want)
		}
	}
}

// What a sensor shows of the air is its zero: beyond its own limit of error, and what the weather
// does to the air, it is lost, within it is not. Where nobody knows how high the site lies, that
// may be the height.
func TestTheAirShowsAZeroByItsOwnLimit(t *testing.T) {
	for _, tc := range []struct {
		air, high float64
		lost      bool
	}{{101.3, 116, false}, {101.3, 124, true}, {0, 124, false}} {
		s := usualScene()
		s.spoil = func(at float64, x *cycle.Row) {
			if at < 120 || at > 2300 {
				x[cycle.SuctionPressure], x[cycle.DischargePressure] = 101.3, tc.high
			}
		}
		site := Site{Air: tc.air, Limit: func(cycle.Quantity) float64 { return 13.5 }}
		found := Screen(s.columns(9), site)
		if lost := slices.ContainsFunc(found, func(d Doubt) bool { return d.Rule == "D30" }); lost != tc.lost {
			t.Errorf("%g kPa in air of %g kPa: %+v, want lost %v", tc.high, tc.air, found, tc.lost)
		}
	}
}
