package energy

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"rimelog/pipeline/table"
)

// drawn gives days of a heat pump that takes heat from ground that follows the air 60 days late:
// 3 kWh for each K below 16 °C, and 3 % more for each K that the ground is colder.
func drawn(r *rand.Rand, from, to int) (days []Observation) {
	season := func(d int) float64 { return math.Cos(2 * math.Pi * float64(d) / 365) }
	spell := 0.0
	for d := from; d < to; d++ {
		spell = 0.8*spell + 1.6*r.NormFloat64()
		o := Observation{Day: d, Temp: 6 - 9*season(d) + spell, Ground: -4 * season(d-60)}
		o.Y = (2 + 3*math.Max(0, 16-o.Temp)) * (1 - 0.03*o.Ground) * (1 + 0.02*r.NormFloat64())
		days = append(days, o)
	}
	return days
}

// Nothing was done in September: after it came a winter and a spring of colder ground, and before
// it a whole year. By the outdoor temperature alone something would have been avoided, or have
// cost; the ground tells that nothing was.
func TestGroundIsNoSaving(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 21))
	for range 3 {
		before, after := drawn(r, -120, 245), drawn(r, 245, 440)
		s := Save(245, before, after, false, CalibratedHourly)
		if a := s.Avoided[1]; a.Lo > 0 || a.Hi < 0 || math.Abs(a.Value) > 0.02*s.Actual {
			t.Errorf("avoided %+v of %.0f kWh, truly nothing", a, s.Actual)
		}
	}
}

// What heat comes from is told from the outdoor air by how far it lies from it from day to day;
// of machines that cool it is another matter.
func TestGroundIsNotTheOutdoorAir(t *testing.T) {
	for name, c := range map[string]struct {
		mode   string
		source func(out float64, day int) float64
		ground bool
	}{
		"brine": {Heating, func(_ float64, day int) float64 { return 4 + 2*math.Sin(float64(day)/60) }, true},
		"air":   {Heating, func(out float64, _ int) float64 { return out - 1 }, false},
		"room":  {Cooling, func(float64, int) float64 { return 4 }, false},
	} {
		var days []table.EnergyDay
		for d := range 300 {
			out := 10 + 9*math.Sin(float64(d)/58)
			days = append(days, table.EnergyDay{Day: time.Unix(int64(86400*d), 0), Mode: c.mode, Outdoor: out, Room: c.source(out, d)})
		}
		days[7].Room = math.NaN()
		got, some := grounds(days), false
		for _, k := range got {
			some = some || k != 0
		}
		if some != c.ground || len(got) != len(days) || got[7] != 0 {
			t.Errorf("%s: ground %v", name, got[:9])
		}
	}
}
