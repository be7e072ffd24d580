package energy

import (
	"math"
	"testing"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// By hand: ln COP falls by 2 % for each K above 10 °C; windows were seen from there on
// only, as much electricity went by from 0 to 10 °C, and on some days the meter showed a
// thousandfold. The season's COP is heat over electricity of all hours.
func TestElectricityWithoutWindowsCounts(t *testing.T) {
	start := time.Date(2024, 10, 1, 0, 0, 0, 0, time.UTC)
	cop := func(temp float64) float64 { return 4 * math.Exp(-0.02*max(temp-11, 0)) }
	var points []Point
	var hours []table.EnergyHour
	var days []table.EnergyDay
	heat, kwh := 0.0, 0.0
	for d := range 100 {
		at := start.AddDate(0, 0, d)
		day := table.EnergyDay{Day: at, Covered: 24, KWh: 24}
		if d%10 == 9 {
			day.KWh = math.NaN() // flagged
		}
		days = append(days, day)
		for h := range 24 {
			temp, now, used := float64((d*24+h*7)%20)+0.5, at.Add(time.Duration(h)*time.Hour), 1.0
			heat, kwh = heat+cop(temp), kwh+1
			if d%10 == 9 {
				used = 1000
			} else if temp > 10 {
				points = append(points, Point{Start: now, Hours: 0.2, Temp: temp, COP: cop(temp), U: 0.02, KW: 2})
			}
			hours = append(hours, table.EnergyHour{Start: now, Covered: 1, KWh: used, Outdoor: temp})
		}
	}
	asked := demandOf(hours, days, modes{}, nil, 2)
	asked.weigh(points)
	s := Seasons(points, Cooling, ByStates, register.Compressor, Binning{})[0]
	before := s.COP
	asked.complete(&s, points)
	near(t, "share beyond the windows", s.Beyond, 0.5, 0.02)
	near(t, "COP of the season", s.COP, heat/kwh, 0.003*s.COP)
	if math.Abs(before/s.COP-1) < 0.035 || !(s.SE > 0.02*s.COP) {
		t.Errorf("COP %.3f before, %.3f ± %.3f: the windows' own mean should be 4 %% lower, and the line in doubt", before, s.COP, s.SE)
	}
}
