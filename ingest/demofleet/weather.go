package demofleet

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"
)

// A climate is an invented one.
type climate struct {
	name   string
	mean   float64 // of the year, °C
	season float64 // half the difference of summer and winter, K
	daily  float64 // half the difference of afternoon and night, K
	spells float64 // standard deviation of the weather's spells, K
	zone   string  // of the clocks there, as the time zone database calls it
}

// climates are those of the invented archipelago the fleet is in. Its clocks go with
// those of real places: the time zone database knows no others.
var climates = []climate{
	{"lee shore", 11, 8, 4, 2.8, "Atlantic/Faroe"},
	{"high island", 8, 11, 5, 3.4, "Arctic/Longyearbyen"},
	{"south bay", 17, 8, 5, 2.2, "UTC"},
}

// A weather is the outdoor temperature of a climate over the years.
type weather struct {
	climate
	local  *time.Location // of the clocks, daylight saving and all
	start  time.Time
	spells []float64 // by day
}

// newWeather draws a climate's spells, of which a share is left the next day.
func newWeather(c climate, persistence float64, start time.Time, days int, r *rand.Rand) (*weather, error) {
	local, err := time.LoadLocation(c.zone)
	if err != nil {
		return nil, fmt.Errorf("climate %s: %w", c.name, err)
	}
	w := &weather{c, local, start, make([]float64, days+2)}
	fresh := c.spells * math.Sqrt(1-persistence*persistence)
	spell := c.spells * r.NormFloat64()
	for i := range w.spells {
		w.spells[i] = spell
		spell = persistence*spell + fresh*r.NormFloat64()
	}
	return w, nil
}

// Warmest day of the year and hour of the day (common practice, no source).
const (
	warmestDay  = 205
	warmestHour = 15
)

// outdoor is the temperature of the air, °C.
func (w *weather) outdoor(t time.Time) float64 {
	local := t.In(w.local)
	day := (float64(local.Hour()-warmestHour) + float64(local.Minute())/60 + float64(local.Second())/3600) / 24
	return w.day(t) + w.daily*math.Cos(2*math.Pi*day)
}

// day is the mean temperature of the air over the day about a time, °C.
func (w *weather) day(t time.Time) float64 {
	year := (float64(t.Unix()-w.start.Unix())/86400 + float64(w.start.YearDay()) - warmestDay) / 365.25
	return w.mean + w.season*math.Cos(2*math.Pi*year) + w.spell(t)
}

// sunshine is how strongly the sun shines, 0 to 1: clear skies come with warm
// spells, and nights have none.
func (w *weather) sunshine(t time.Time) float64 {
	local := t.In(w.local)
	height := math.Cos(2 * math.Pi * (float64(local.Hour()) + float64(local.Minute())/60 - 12.5) / 24)
	clear := 0.5 + w.spell(t)/(4*w.climate.spells)
	return max(0, height) * max(0, min(1, clear))
}

// ground is the temperature some metres below, °C: the season's, late and small.
func (w *weather) ground(t time.Time) float64 {
	year := (float64(t.YearDay()) - warmestDay - 60) / 365.25
	return w.mean + 0.25*w.season*math.Cos(2*math.Pi*year)
}

func (w *weather) spell(t time.Time) float64 {
	d := t.Sub(w.start).Hours() / 24
	i := max(0, min(len(w.spells)-2, int(d)))
	x := max(0, min(1, d-float64(i)))
	x = x * x * (3 - 2*x) // no kink at midnight
	return w.spells[i] + x*(w.spells[i+1]-w.spells[i])
}
