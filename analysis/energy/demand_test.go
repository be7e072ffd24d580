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

// copAt is a COP that is as the lift to the power -1.2.
func copAt(lift float64) float64 { return 3 * math.Pow(lift/40, -1.2) }

// seasonByLift is the season of a hundred days alike, a kilowatt-hour an hour, with a window in each
// hour, of which those before noon have a COP; the windows' power may be unknown.
func seasonByLift(power float64, at func(hour int) (temp, lift float64)) Season {
	start := time.Date(2024, 4, 1, 0, 0, 0, 0, time.UTC)
	var points []Point
	var hours []table.EnergyHour
	var windows []table.EnergyWindow
	for h := range 100 * 24 {
		temp, lift := at(h % 24)
		now := start.Add(time.Duration(h) * time.Hour)
		if h%24 < 12 {
			points = append(points, Point{Start: now, Hours: 0.2, Temp: temp, Lift: lift, COP: copAt(lift), U: 0.02, KW: 2})
		}
		hours = append(hours, table.EnergyHour{Start: now, Covered: 1, KWh: 1, Outdoor: temp})
		windows = append(windows, table.EnergyWindow{Start: now, End: now.Add(12 * time.Minute), Mode: Cooling, Outdoor: temp, Lift: lift, Power: power})
	}
	asked := demandOf(hours, nil, modes{}, nil, 2)
	asked.weigh(points)
	asked.lifts(windows, Cooling)
	s := Seasons(points, Cooling, ByStates, register.Compressor, Binning{})[0]
	asked.complete(&s, points)
	return s
}

// By hand: COP is as the lift to the power -1.2; windows with a COP were seen above 20 °C only,
// where the lift is 40 K, those without one at 10 °C as well, where it is 30 K. The COP there is
// (40/30)^1.2 = 1.41 times as high; the season's line alone, of one temperature, would not know.
func TestLiftTellsWhereGasWasNotSettled(t *testing.T) {
	s := seasonByLift(0, func(hour int) (temp, lift float64) {
		if hour < 12 {
			return 21, 40 + 2*math.Sin(float64(hour))
		}
		return 11, 30
	})
	want := (copAt(40) + copAt(30)) / 2
	near(t, "COP of the season", s.COP, want, 0.01*want)
	if !(s.SE > 0.002*s.COP && s.SE < 0.05*s.COP) {
		t.Errorf("± %.3f of %.2f", s.SE, s.COP)
	}
}

// By hand: COP is as the lift to the power -1.2, and half of the electricity of a bin went by at
// lifts about 36 K in windows with a COP, half at 44 K in windows without one. The windows' own
// mean is (44/36)^1.2, 1.27 times, as high as the COP of the others; both count alike.
func TestLiftOfABinIsThatOfAllItsWindows(t *testing.T) {
	s := seasonByLift(2, func(hour int) (temp, lift float64) {
		if hour < 12 {
			return 21, 36 + 2*math.Sin(float64(hour))
		}
		return 21, 44
	})
	want := (copAt(36) + copAt(44)) / 2
	near(t, "COP of the season", s.COP, want, 0.01*want)
	near(t, "relative uncertainty by instruments", s.U/s.COP, 0.02, 1e-9)
	if !(s.SE > 0.01*s.COP && s.SE < 0.03*s.COP) { // 0.12 of ln(44/36)/2
		t.Errorf("± %.3f of %.2f", s.SE, s.COP)
	}
}
