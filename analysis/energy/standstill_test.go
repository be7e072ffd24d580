package energy

import (
	"math"
	"testing"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// cooled is two years of complete days of a machine that takes 20 kWh and 1 kWh more for each
// kelvin above 5 °C, a tenth more before day 365; below some temperature it does not run.
func cooled(runsAbove float64, running bool) []table.EnergyDay {
	var days []table.EnergyDay
	for d := range 730 {
		outdoor := 12 - 9*math.Cos(2*math.Pi*float64(d)/365) + 2*math.Sin(float64(7*d))
		day := table.EnergyDay{Day: time.Date(2023, 1, 1+d, 0, 0, 0, 0, time.UTC), Outdoor: outdoor, Complete: true, Running: 12}
		day.KWh = (20 + math.Max(0, outdoor-5)) * (1 + 0.01*math.Sin(float64(13*d)))
		if d < 365 {
			day.KWh *= 1.1
		}
		if outdoor < runsAbove {
			day.KWh, day.Running = 0, 0
		}
		if !running {
			day.Running = math.NaN()
		}
		days = append(days, day)
	}
	return days
}

// off has the machine stand on some days.
func off(days []table.EnergyDay, from, to int, kwh float64) {
	for d := from; d < to; d++ {
		days[d].KWh = kwh
		if days[d].Running > 0 {
			days[d].Running = 0
		}
	}
}

// Days of an outage are told, with the day on either side, by running and by electricity
// alone; an air conditioner that stands in the cold as it always does is none.
func TestStandstills(t *testing.T) {
	for _, running := range []bool{true, false} {
		days := cooled(6, running)
		off(days, 200, 230, 0.5)
		for d, stood := range standstills(days) {
			if days[d].Outdoor > 5.5 && days[d].Outdoor < 6.5 {
				continue // where it begins to run, nothing is usual
			}
			if want := d >= 199 && d <= 230; stood != want {
				t.Errorf("running known %v, day %d at %.1f °C: stood %v, want %v", running, d, days[d].Outdoor, stood, want)
			}
		}
	}
}

// A month in which the safety chain kept the machine off, before or after a cleaning, is
// neither a waste nor a saving: what was avoided is a tenth of what it took after.
func TestAnOutageIsNoSaving(t *testing.T) {
	cleaned := []register.Event{{Kind: register.CoilCleaned, Time: time.Date(2024, 1, 1, 12, 0, 0, 0, time.UTC)}}
	unpriced := func(time.Time) (register.Tariff, bool) { return register.Tariff{}, false }
	for name, from := range map[string]int{"never": 0, "before": 300, "after": 420} {
		days := cooled(-99, true)
		if from > 0 {
			off(days, from, from+30, 0)
		}
		s := SavingRows(days, cleaned, unpriced, time.UTC, Options{})[0]
		if want := int64(32); from > 0 && s.Stood != want || from == 0 && s.Stood != 0 {
			t.Errorf("%s: %d days left out, want %d", name, s.Stood, want)
		}
		if share := s.Avoided / s.Actual; !s.Stated || share < 0.08 || share > 0.12 {
			t.Errorf("%s: %.3f of the electricity avoided (%s), want 0.1", name, share, s.Why)
		}
	}
}

// A machine that stood until it was put right tells nothing of what running like that cost.
func TestNoSavingOfWhatKeptTheMachineOff(t *testing.T) {
	repaired := []register.Event{{Kind: register.CoilCleaned, Time: time.Date(2024, 1, 1, 12, 0, 0, 0, time.UTC)}}
	unpriced := func(time.Time) (register.Tariff, bool) { return register.Tariff{}, false }
	days := cooled(-99, true)
	on := 0
	for days[on].Day.Before(repaired[0].Time.Truncate(24 * time.Hour)) {
		on++
	}
	off(days, on-5, on, 0)
	if s := SavingRows(days, repaired, unpriced, time.UTC, Options{})[0]; s.Stated || !math.IsNaN(s.Lo90) {
		t.Errorf("%.0f kWh avoided (%s)", s.Avoided, s.Why)
	}
}
