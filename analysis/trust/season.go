package trust

import (
	"math"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
)

// The weather by the season, before the site has shown its own: half the difference of
// summer and winter and of afternoon and night, the warmest day and hour, and how far spells
// of weather go beside it. Usual of temperate climates, common practice, no source.
const (
	seasonK, seasonSD     = 9.0, 3.0 // K
	lateSD                = 2.0      // K, of a season that comes sooner or later
	dailyK, dailySD       = 4.0, 1.5 // K
	warmestDay            = 205
	warmestHour           = 15
	spells, spellsCount   = 3.0, 6.0 // K, and as of how many visits that counts
	fewestSeasons         = 3        // visits
	seasonWild, seasonFar = 0.03, 9.0
)

// season is what the outdoor air should be at this time of year and day by what the site's
// visits showed, in whatever mode.
func (h history) season() expectation {
	unknown := expectation{mean: math.NaN(), sd: math.NaN()}
	room := make([]float64, 5*len(h.all))
	column := func(k int) []float64 { return room[k*len(h.all) : k*len(h.all) : (k+1)*len(h.all)] }
	y, one, year, late, day := column(0), column(1), column(2), column(3), column(4)
	for i := range h.all {
		v := &h.all[i]
		m := v.mean(cycle.OutdoorTemp)
		if math.IsNaN(m) || v.hides(cycle.OutdoorTemp) {
			continue
		}
		row := v.course
		if row == nil {
			row = h.almanac(v.Start)
		}
		y, one, year, late, day = append(y, m), append(one, 1), append(year, row[1]), append(late, row[2]), append(day, row[3])
	}
	middle, err := robust.Median(y)
	if err != nil || len(y) < fewestSeasons {
		return unknown
	}
	fit, err := robust.Belief{
		Y: y, Columns: [][]float64{one, year, late, day}, Mean: []float64{middle, seasonK, 0, dailyK}, SD: []float64{levelSpread, seasonSD, lateSD, dailySD},
		Wild: seasonWild, WildSD: seasonFar, Scatter: spells, ScatterWeight: spellsCount,
	}.Fit()
	if err != nil {
		return unknown
	}
	mean, sd := fit.Along(h.almanac(h.now.Start))
	return expectation{mean: mean, sd: math.Hypot(sd, fit.Scatter)}
}

// almanac is a time as a row: 1, the year's course and what is a quarter later, the day's.
func (h history) almanac(at int64) []float64 { return almanac(at, zoneOr(h.system.Zone)) }

func almanac(at int64, zone *time.Location) []float64 {
	t := time.UnixMicro(at).In(zone)
	year := 2 * math.Pi * float64(t.YearDay()-warmestDay) / 365.25
	return []float64{1, math.Cos(year), math.Sin(year), math.Cos(2 * math.Pi * (float64(t.Hour()-warmestHour) + float64(t.Minute())/60) / 24)}
}
