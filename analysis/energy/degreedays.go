package energy

import (
	"math"
	"time"

	"rimelog/pipeline/table"
)

// degreeBase is the outdoor temperature from which degree days count, °C (common
// practice in Europe for heating, no source; taken for cooling too).
const degreeBase = 15.0

// DegreeDays is the sum of what daily means lie below a base (heating) or above it
// (cooling), K·d.
func DegreeDays(temps []float64, base float64, heating bool) float64 {
	sum := 0.0
	for _, t := range temps {
		if heating {
			sum += pos(base - t)
		} else {
			sum += pos(t - base)
		}
	}
	return sum
}

// Normalise is the electricity of a period in the weather of a reference: the part
// that follows the weather is scaled by the degree days, the rest stays.
func Normalise(fixed, weather, degreeDays, reference float64) float64 {
	return fixed + weather*reference/degreeDays
}

// weather fills in the electricity of a season's complete days, their degree days,
// and the same electricity in the weather of the season before.
func weather(row *table.Season, s Season, before *Season, days []table.EnergyDay, zone *time.Location) {
	heating := s.Mode == Heating
	now, temps := s.complete(days, zone)
	if len(now) == 0 {
		return
	}
	row.KWh, row.KWhDays, row.Degrees = 0, int64(len(now)), DegreeDays(temps, degreeBase, heating)
	for _, o := range now {
		row.KWh += o.Y
	}
	if before == nil || len(now) < leastBefore || row.Degrees == 0 {
		return
	}
	earlier, reference := before.complete(days, zone)
	shape := Cooling3
	if heating {
		shape = Heating3
	}
	m, err := Fit(shape, now, false)
	if err != nil || len(earlier) < leastBefore {
		return
	}
	n := float64(len(now))
	fixed := math.Min(row.KWh, math.Max(0, m.Base*n))
	row.Normal = Normalise(fixed, row.KWh-fixed, row.Degrees/n, DegreeDays(reference, degreeBase, heating)/float64(len(earlier)))
}

// complete are the complete days of the season, and their temperatures.
func (s Season) complete(days []table.EnergyDay, zone *time.Location) (out []Observation, temps []float64) {
	if zone == nil {
		zone = time.UTC
	}
	out, _ = span{from: s.From, to: s.To}.complete(record{days, make([]bool, len(days)), make([]float64, len(days)), zone})
	for _, o := range out {
		temps = append(temps, o.Temp)
	}
	return out, temps
}
