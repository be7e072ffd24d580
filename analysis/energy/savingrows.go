package energy

import (
	"math"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// longest is how many days before and after an event count at most: a year, so that
// slow change of the machine hardly counts as weather.
const longest = 366

// A Price is what a kilowatt-hour costs and emits at a time; false where unknown.
type Price func(at time.Time) (register.Tariff, bool)

// SavingRows works out what each intervention avoided, from the complete days
// between it and the interventions before and after it.
func SavingRows(days []table.EnergyDay, events []register.Event, price Price, zone *time.Location, o Options) []table.Saving {
	o.EnsureDefaults()
	if zone == nil {
		zone = time.UTC
	}
	rows := []table.Saving{}
	acts := interventions(events)
	for i, e := range acts {
		before, after := span{to: e.Time}, span{from: e.Time.AddDate(0, 0, 1)}
		if i > 0 {
			before.from = acts[i-1].Time.AddDate(0, 0, 1)
		}
		if i+1 < len(acts) {
			after.to = acts[i+1].Time
		}
		rows = append(rows, savingRow(e, before.last(days, zone), after.first(days, zone), price, o))
	}
	return rows
}

// interventions are the events that change a machine; several within a week are
// one, named by the first.
func interventions(events []register.Event) []register.Event {
	var out []register.Event
	for _, e := range events {
		if !e.Kind.Intervenes() || len(out) > 0 && e.Time.Sub(out[len(out)-1].Time) < 7*24*time.Hour {
			continue
		}
		out = append(out, e)
	}
	return out
}

// A span is a time; zero ends are open.
type span struct{ from, to time.Time }

// complete are the complete days that lie wholly in the span.
func (s span) complete(days []table.EnergyDay, zone *time.Location) (out []Observation, at []time.Time) {
	for _, d := range days {
		local := d.Day.In(zone)
		next := time.Date(local.Year(), local.Month(), local.Day()+1, 0, 0, 0, 0, zone)
		if !d.Complete || !s.from.IsZero() && local.Before(s.from) || !s.to.IsZero() && next.After(s.to) {
			continue
		}
		weekend := local.Weekday() == time.Saturday || local.Weekday() == time.Sunday
		out, at = append(out, Observation{Day: DayNumber(local), Temp: d.Outdoor, Other: weekend, Y: d.KWh}), append(at, local)
	}
	return out, at
}

func (s span) last(days []table.EnergyDay, zone *time.Location) []Observation {
	out, _ := s.complete(days, zone)
	return out[max(0, len(out)-longest):]
}

// dated is observations with their days.
type dated struct {
	days []Observation
	at   []time.Time
}

func (s span) first(days []table.EnergyDay, zone *time.Location) dated {
	out, at := s.complete(days, zone)
	n := min(len(out), longest)
	return dated{out[:n], at[:n]}
}

func savingRow(e register.Event, before []Observation, after dated, price Price, o Options) table.Saving {
	nan := math.NaN()
	s := Save(before, after.days, true, o.path())
	row := table.Saving{
		Event: e.Kind.String(), On: e.Time.UTC(), Stated: s.Why == "", Why: s.Why, Path: o.Path, Before: int64(len(before)), After: int64(s.Days), Outside: int64(s.Outside),
		Point: nan, Point2: nan, CV: nan, NMBE: nan, Rho: nan, Coldest: nan, Warmest: nan, Actual: nan, Expect: nan, Avoided: nan, U: nan, Lo68: nan, Hi68: nan, Lo90: nan, Hi90: nan, Lo95: nan, Hi95: nan,
		Price: nan, Money: nan, MoneyLo: nan, MoneyHi: nan, CO2e: nan, CO2eLo: nan, CO2eHi: nan,
	}
	if len(after.at) > 0 {
		row.Until = after.at[len(after.at)-1].AddDate(0, 0, 1).UTC()
	}
	if s.Model == nil {
		row.After = int64(len(after.days))
		return row
	}
	m := s.Model
	row.Model, row.CV, row.NMBE, row.Rho, row.Coldest, row.Warmest = string(m.Shape), m.CV, m.NMBE, s.Rho, s.Coldest, s.Warmest
	switch m.Shape {
	case Both5:
		row.Point, row.Point2 = m.Low, m.High
	case Heating3, Cooling3, Both4:
		row.Point = m.Low
	}
	if s.U == 0 {
		return row
	}
	row.Actual, row.Expect, row.Avoided, row.U = s.Actual, s.Expected, s.Expected-s.Actual, s.U
	row.Lo68, row.Hi68, row.Lo90, row.Hi90, row.Lo95, row.Hi95 = s.Avoided[0].Lo, s.Avoided[0].Hi, s.Avoided[1].Lo, s.Avoided[1].Hi, s.Avoided[2].Lo, s.Avoided[2].Hi
	if row.Stated {
		worth(&row, m, after, price)
	}
	return row
}

// worth puts a stated saving into money and emissions, at the mean price and factor
// of the days, each counted by the electricity expected on it. A day without either
// leaves that figure out.
func worth(row *table.Saving, m *Model, after dated, price Price) {
	var kwh, money, kg float64
	for i, o := range after.days {
		t, ok := price(after.at[i])
		if !ok {
			t = register.Tariff{Price: math.NaN(), CO2e: math.NaN()}
		}
		y := m.Value(o)
		kwh, money, kg = kwh+y, money+y*t.Price, kg+y*t.CO2e
		if row.Unit == "" {
			row.Unit = t.Currency
		} else if finite(t.Price) && t.Currency != row.Unit {
			money = math.NaN() // two currencies do not add up
		}
	}
	row.Price = money / kwh
	row.Money, row.MoneyLo, row.MoneyHi = row.Avoided*row.Price, row.Lo90*row.Price, row.Hi90*row.Price
	tonnes := kg / kwh / 1000
	row.CO2e, row.CO2eLo, row.CO2eHi = row.Avoided*tonnes, row.Lo90*tonnes, row.Hi90*tonnes
}
