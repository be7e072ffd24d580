package demofleet

import (
	"math"
	"testing"
	"time"
)

// Cooling COP of sound machines over a year, fans counted, by kind; heat pumps by heating
// COP: common practice, no source (ranges as the trade gives them). Those of chillers are
// of rating at full load, which the design point is held to; over a year the range is that
// which the trade gives inverters at part load, since ours follow the load. A share of the
// machines may lie a little outside: ranges are of usual machines.
func TestSeasonalCOPOfSoundMachines(t *testing.T) {
	usual := map[string][2]float64{
		"display cabinet":       {1.5, 2.5},
		"cold room":             {1.8, 3.0},
		"freezer room":          {1.0, 1.9},
		"split air conditioner": {2.5, 4.5},
		"water chiller":         {2.5, 7},
		"water-cooled chiller":  {4.5, 7},
		"air-water heat pump":   {2, 4.5},
		"ground heat pump":      {3.5, 5.5},
		"supermarket pack":      {2, 4},
	}
	const chillerLeast, chillerMost = 2.5, 3.8
	f, err := newFleet(Options{Seed: 8, Systems: 60, Years: 1, Logging: ByVisits}.withDefaults())
	if err != nil {
		t.Fatal(err)
	}
	sum, count := map[string]float64{}, map[string]float64{}
	for _, m := range f.machines {
		if len(m.truth.Episodes) == 0 {
			sum[m.noun] += m.seasonal(t, f.options.Start)
			count[m.noun]++
			if cop := m.point.Cooling / (m.point.Input + m.fans.power(m.point, true)); m.noun == "water chiller" && !(cop >= chillerLeast && cop <= chillerMost) {
				t.Errorf("%s: COP %.2f at its design point, usual %.1f to %.1f", m.truth.ID, cop, chillerLeast, chillerMost)
			}
		}
	}
	for kind, limits := range usual {
		if count[kind] == 0 {
			t.Errorf("no sound %s in the fleet", kind)
			continue
		}
		if cop := sum[kind] / count[kind]; !(cop >= limits[0] && cop <= limits[1]) {
			t.Errorf("%s: COP %.2f over a year, usual %.1f to %.1f", kind, cop, limits[0], limits[1])
		}
	}
}

// seasonal is heat over work in a year of afternoons and nights.
func (m *machine) seasonal(t *testing.T, start time.Time) float64 {
	t.Helper()
	var heat, work float64
	p, at := m.point, m.design
	for h := 0; h < 8760; h += 73 {
		c := m.conditions(start.Add(time.Duration(h)*time.Hour), settledAfter)
		s, err := m.plant.Solve(c, p, at)
		if err != nil {
			t.Fatal(err)
		}
		if m.kind.Heats() {
			heat += s.Heating
		} else {
			heat += s.Cooling
		}
		work += s.Input + m.fans.power(s, true)
		p, at = s, c
	}
	if math.IsNaN(heat / work) {
		t.Errorf("%s: no COP", m.truth.ID)
	}
	return heat / work
}
