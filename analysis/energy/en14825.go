package energy

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
)

// A Climate is one of EN 14825's seasons: hours in each degree of outdoor
// temperature. Hours and design temperatures are those of EN 14825:2016, annexes A
// and B, from memory; their sums are 4910, 3590, 6446 and 2602 h.
type Climate struct {
	Name   string
	First  int       // outdoor temperature of the first bin, °C
	Hours  []float64 // of each bin from there on, one degree each
	Design float64   // outdoor temperature of full load, °C
	Active float64   // equivalent active hours, h (Regulation (EU) 813/2013, annex VII, for heating)
}

// balance is the outdoor temperature without load, °C.
const balance = 16.0

// The seasons.
var (
	Average = Climate{"average heating season", -10, []float64{1, 25, 23, 24, 27, 68, 91, 89, 165, 173, 240, 280, 320, 357, 356, 303, 330, 326, 348, 335,
		315, 215, 169, 151, 105, 74}, -10, 2066}
	Warmer = Climate{"warmer heating season", 2, []float64{3, 22, 63, 63, 175, 162, 259, 360, 428, 430, 503, 444, 384, 294}, 2, 1336}
	Colder = Climate{"colder heating season", -22, []float64{1, 6, 13, 17, 19, 26, 39, 41, 35, 52, 37, 41, 43, 54, 90, 125, 169, 195, 278, 306, 454, 385,
		490, 533, 380, 228, 261, 279, 229, 269, 233, 230, 243, 191, 146, 150, 97, 61}, -22, 2465}
	CoolingSeason = Climate{"cooling season", 17, []float64{205, 227, 225, 225, 216, 215, 218, 197, 178, 158, 137, 109, 88, 63, 39, 31, 24, 17, 13, 9, 4, 3,
		1, 0}, 35, 350}
)

// Share is the load at an outdoor temperature as a share of full load.
func (c Climate) Share(t float64) float64 { return (t - balance) / (c.Design - balance) }

// A PartLoad is a test of a unit at an outdoor temperature.
type PartLoad struct {
	Temp     float64 // °C
	Capacity float64 // kW
	COP      float64 // at that capacity
	// Degradation is Cdh, by which a water unit that cycles gets worse; NaN: 0.9.
	Degradation float64
}

// defaultDegradation is that of a water unit without a test (EN 14825:2016, 8.4.2, from memory).
const defaultDegradation = 0.9

// A Declaration is what is declared of a heat pump.
type Declaration struct {
	Climate  Climate
	Design   float64    // load at the climate's design temperature, kW
	Limit    float64    // lowest outdoor temperature of operation, °C
	Tests    []PartLoad // in any order; of one temperature the last counts
	Idle     [4]float64 // power when off, with the thermostat off, in standby, of the crankcase heater; kW
	IdleTime [4]float64 // hours of each in a year
}

// Hours a year off, thermostat off, in standby, with the crankcase heater on, in the
// average climate (EN 14825:2016, annex A, from memory).
var (
	ReversibleHours  = [4]float64{0, 178, 0, 178}
	HeatingOnlyHours = [4]float64{3672, 178, 0, 3850}
)

// Seasonal is the SCOPon and SCOP of a declared heat pump that heats water, by
// EN 14825:2016, section 8: in every bin the load is met by the unit up to its
// capacity, the rest by electric heat of COP 1; COPs at part load between the tests
// are interpolated, and beyond them extrapolated, along the line of the nearest two.
func (d Declaration) Seasonal() (on, scop float64, err error) {
	tests, err := d.tests()
	if err != nil {
		return 0, 0, err
	}
	var heat, electricity float64
	for i, hours := range d.Climate.Hours {
		t := float64(d.Climate.First + i)
		load := d.Design * d.Climate.Share(t)
		if load <= 0 {
			continue
		}
		capacity, cop := lineThrough(tests, t)
		if t < d.Limit {
			capacity = 0
		}
		rest := max(0, load-capacity)
		heat, electricity = heat+hours*load, electricity+hours*((load-rest)/cop+rest)
	}
	on = heat / electricity
	year := d.Design * d.Climate.Active
	used := year / on
	for i, p := range d.Idle {
		used += p * d.IdleTime[i]
	}
	return on, year / used, nil
}

// tests are those declared, by temperature, with their COP worsened by cycling
// where the unit gives more than the load.
func (d Declaration) tests() ([]PartLoad, error) {
	byTemp := map[float64]PartLoad{}
	for _, t := range d.Tests {
		if !(t.Capacity > 0 && t.COP > 0) {
			return nil, fmt.Errorf("test at %g °C: capacity %g kW and COP %g; want both above 0", t.Temp, t.Capacity, t.COP)
		}
		byTemp[t.Temp] = t
	}
	if len(byTemp) < 2 {
		return nil, errors.New("a seasonal figure needs tests at two outdoor temperatures at least")
	}
	var tests []PartLoad
	for _, t := range byTemp {
		cd := t.Degradation
		if math.IsNaN(cd) {
			cd = defaultDegradation
		}
		if ratio := d.Design * d.Climate.Share(t.Temp) / t.Capacity; ratio < 1 {
			t.COP *= ratio / (cd*ratio + 1 - cd)
		}
		tests = append(tests, t)
	}
	slices.SortFunc(tests, func(a, b PartLoad) int { return cmp.Compare(a.Temp, b.Temp) })
	return tests, nil
}

// lineThrough is capacity and COP at a temperature on the line of the two tests
// about it, or of the two nearest.
func lineThrough(tests []PartLoad, t float64) (capacity, cop float64) {
	i := 0
	for i < len(tests)-2 && t > tests[i+1].Temp {
		i++
	}
	a, b := tests[i], tests[i+1]
	x := (t - a.Temp) / (b.Temp - a.Temp)
	return a.Capacity + x*(b.Capacity-a.Capacity), a.COP + x*(b.COP-a.COP)
}

// Field is the seasonal COP of a climate from what was measured in the field, by
// EN 14825's weights: field, not rated. Demand follows EN 14825's line; each degree's
// COP is that of the bin it lies in. covered is the share of the season's demand
// whose bins were seen; the rest is left out, not guessed. The variance is that of
// independent bins.
func (c Climate) Field(bins []Bin) (cop, se, covered float64) {
	var demand, seen, used, variance float64
	electricity := map[int]float64{} // per bin: demand met in it
	for i, hours := range c.Hours {
		t := float64(c.First + i)
		need := hours * max(0, c.Share(t))
		demand += need
		at := slices.IndexFunc(bins, func(b Bin) bool { return t >= b.From && t < b.To && b.COP > 0 })
		if at < 0 {
			continue
		}
		seen, used = seen+need, used+need/bins[at].COP
		electricity[at] += need / bins[at].COP
	}
	if used == 0 {
		return math.NaN(), math.NaN(), 0
	}
	for at := range bins {
		if e := electricity[at]; e > 0 {
			share := e / used * bins[at].SE / bins[at].COP
			variance += share * share
		}
	}
	cop = seen / used
	return cop, cop * math.Sqrt(variance), seen / demand
}
