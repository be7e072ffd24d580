package demofleet

import (
	"math"
	"testing"
	"time"
)

// Cooling COP of sound machines over a year, by kind: common practice, no source
// (ranges as the trade gives them; heat pumps by heating COP). A share of the
// machines may lie a little outside: ranges are of usual machines.
func TestSeasonalCOPOfSoundMachines(t *testing.T) {
	usual := map[string][2]float64{
		"display cabinet":       {1.5, 2.5},
		"cold room":             {1.8, 4.0},
		"freezer room":          {1.0, 1.9},
		"split air conditioner": {2.5, 7},
		"water chiller":         {2.5, 7},
		"water-cooled chiller":  {4.5, 7},
		"air-water heat pump":   {2, 5},
		"ground heat pump":      {3.5, 5.5},
		"supermarket pack":      {2, 4},
	}
	f, err := newFleet(Options{Seed: 8, Systems: 60, Years: 1, Logging: ByVisits}.withDefaults())
	if err != nil {
		t.Fatal(err)
	}
	sum, count := map[string]float64{}, map[string]float64{}
	for _, m := range f.machines {
		if len(m.truth.Episodes) == 0 {
			sum[m.noun] += m.seasonal(t, f.options.Start)
			count[m.noun]++
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
		work += s.Input
		p, at = s, c
	}
	if math.IsNaN(heat / work) {
		t.Errorf("%s: no COP", m.truth.ID)
	}
	return heat / work
}
