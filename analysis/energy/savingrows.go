package energy

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"slices"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// longest is how many days before and after an event count at most: a year, so that
// slow change of the machine hardly counts as weather.
const longest = 366

// A Price is what a kilowatt-hour costs and emits at a time; false where unknown.
type Price func(at time.Time) (register.Tariff, bool)

// A KnownSavings is what interventions avoided, with what each row follows from: fitting a
// year of days before and after anew every night would cost more with every event.
type KnownSavings struct {
	Rows []table.Saving
	From []string // of each row, a hash
}

// take gives the row that follows from something, if it is known.
func (k KnownSavings) take(from string) (table.Saving, bool) {
	i := slices.Index(k.From, from)
	if i < 0 || i >= len(k.Rows) {
		return table.Saving{}, false
	}
	return k.Rows[i], true
}

// SavingRows works out what each intervention avoided, from the complete days
// between it and the interventions before and after it.
func SavingRows(days []table.EnergyDay, events []register.Event, price Price, zone *time.Location, o Options) []table.Saving {
	return KnownSavings{}.After(days, events, price, zone, o).Rows
}

// After is SavingRows where some are known: rows that follow from the same days, prices and
// options are taken over.
func (k KnownSavings) After(days []table.EnergyDay, events []register.Event, price Price, zone *time.Location, o Options) KnownSavings {
	o.EnsureDefaults()
	if zone == nil {
		zone = time.UTC
	}
	out := KnownSavings{Rows: []table.Saving{}, From: []string{}}
	acts, r := interventions(events), record{days, standstills(days), grounds(days), zone}
	for i, e := range acts {
		before, after := span{to: e.Time}, span{from: e.Time.AddDate(0, 0, 1)}
		if i > 0 {
			before.from = acts[i-1].Time.AddDate(0, 0, 1)
		}
		if i+1 < len(acts) {
			after.to = acts[i+1].Time
		}
		last, first := before.last(r), after.first(r).priced(price)
		a := r.act(e, last, first)
		from := a.from(o)
		row, known := k.take(from)
		if !known {
			row = a.row(o)
		}
		out.Rows, out.From = append(out.Rows, row), append(out.From, from)
	}
	return out
}

// An act is an event with the days before and after it.
type act struct {
	register.Event
	on     int // its day
	before []Observation
	after  dated
	stood  int // days on which the machine stood, from the first of those before to the last of those after
	idle   int // of these, just before the event
}

func (r record) act(e register.Event, before []Observation, after dated) act {
	a := act{Event: e, on: DayNumber(e.Time.In(r.zone)), before: before, after: after}
	if len(before) > 0 && len(after.days) > 0 {
		a.stood = r.stoodBetween(before[0].Day, after.days[len(after.days)-1].Day)
		a.idle = r.stoodBetween(before[len(before)-1].Day, a.on-1)
	}
	return a
}

// from is a hash of all that its row follows from.
func (a act) from(o Options) string {
	h := sha256.New()
	fmt.Fprintln(h, a.Kind, a.Time.UnixMicro(), o.Key(), a.before, a.after.days, a.stood, a.idle)
	for i, t := range a.after.tariffs {
		fmt.Fprintln(h, a.after.at[i].UnixMicro(), t.Price, t.CO2e, t.Currency)
	}
	return hex.EncodeToString(h.Sum(nil)[:16])
}

// save is what it avoided. What kept a machine off just before somebody came to put it right
// came at once, and no day tells what it cost to run like that.
func (a act) save(path Path) Saving {
	if a.idle > 0 {
		return Saving{Why: fmt.Sprintf("the machine stood on %d of the last days before it: what they would have cost is not known", a.idle)}
	}
	return Save(a.on, a.before, a.after.days, true, path)
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

// A record is a system's days, on which of them it stood though it mostly runs in such weather,
// and how warm the ground was.
type record struct {
	days   []table.EnergyDay
	stood  []bool
	ground []float64
	zone   *time.Location
}

// stoodBetween counts the days on which it stood from one day to another, both counted.
func (r record) stoodBetween(from, to int) (n int) {
	for i, d := range r.days {
		if day := DayNumber(d.Day.In(r.zone)); r.stood[i] && d.Complete && day >= from && day <= to {
			n++
		}
	}
	return n
}

// complete are the complete days that lie wholly in the span, those left out on which the
// machine stood.
func (s span) complete(r record) (out []Observation, at []time.Time) {
	for i, d := range r.days {
		local := d.Day.In(r.zone)
		next := time.Date(local.Year(), local.Month(), local.Day()+1, 0, 0, 0, 0, r.zone)
		if !d.Complete || r.stood[i] || !s.from.IsZero() && local.Before(s.from) || !s.to.IsZero() && next.After(s.to) {
			continue
		}
		weekend := local.Weekday() == time.Saturday || local.Weekday() == time.Sunday
		out, at = append(out, Observation{Day: DayNumber(local), Temp: d.Outdoor, Other: weekend, Y: d.KWh, Ground: r.ground[i]}), append(at, local)
	}
	return out, at
}

func (s span) last(r record) []Observation {
	out, _ := s.complete(r)
	return out[max(0, len(out)-longest):]
}

// dated is observations with their days.
type dated struct {
	days    []Observation
	at      []time.Time
	tariffs []register.Tariff // see priced
}

// priced looks up what electricity costs and emits on the days; NaN where nobody knows.
func (d dated) priced(price Price) dated {
	for _, at := range d.at {
		t, ok := price(at)
		if !ok {
			t = register.Tariff{Price: math.NaN(), CO2e: math.NaN()}
		}
		d.tariffs = append(d.tariffs, t)
	}
	return d
}

// first are the first complete days. As long as more of them follow they count by whole weeks
// after the event: each weekday as often, and what they tell is fitted anew once a week, not
// every night.
func (s span) first(r record) dated {
	out, at := s.complete(r)
	n := min(len(out), longest)
	if s.to.IsZero() && n > 0 {
		n = wholeWeeks(out[:n], DayNumber(s.from.In(r.zone)))
	}
	return dated{days: out[:n], at: at[:n]}
}

// wholeWeeks counts the days of the weeks from a day on of which the last day was seen, or a
// later one.
func wholeWeeks(days []Observation, from int) int {
	end := from + (days[len(days)-1].Day+1-from)/7*7
	n, _ := slices.BinarySearchFunc(days, end, func(o Observation, day int) int { return cmp.Compare(o.Day, day) })
	return n
}

func (a act) row(o Options) table.Saving {
	nan := math.NaN()
	s, after := a.save(o.path()), a.after
	row := table.Saving{
		Event: a.Kind.String(), On: a.Time.UTC(), Stated: s.Why == "", Why: s.Why, Path: o.Path, Stood: int64(a.stood), Before: int64(len(a.before)), After: int64(s.Days), Outside: int64(s.Outside),
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
		worth(&row, m, after)
	}
	return row
}

// worth puts a stated saving into money and emissions, at the mean price and factor
// of the days, each counted by the electricity expected on it. A day without either
// leaves that figure out.
func worth(row *table.Saving, m *Model, after dated) {
	var kwh, money, kg float64
	for i, o := range after.days {
		t, y := after.tariffs[i], m.Value(o)
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
