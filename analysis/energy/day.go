package energy

import (
	"fmt"
	"math"
	"slices"
	"time"

	"rimelog/pipeline/table"
)

// mostMissing is how much of a day may lack electricity for it to be complete, h.
const mostMissing = 0.5

// Days puts hours and windows together by the calendar of a zone (nil: UTC). Days
// on which a window's power was in error have no electricity. A day of a change of
// clocks has 23 or 25 h.
func Days(hours []table.EnergyHour, windows []table.EnergyWindow, zone *time.Location) []table.EnergyDay {
	if zone == nil {
		zone = time.UTC
	}
	b := &calendar{zone: zone, at: map[int]*dayBook{}}
	for _, h := range hours {
		b.of(h.Start).hours = append(b.of(h.Start).hours, h)
	}
	for _, w := range windows {
		b.of(w.Start).windows = append(b.of(w.Start).windows, w)
	}
	slices.Sort(b.order)
	rows := []table.EnergyDay{}
	for _, n := range b.order {
		rows = append(rows, b.at[n].row())
	}
	return rows
}

type calendar struct {
	zone  *time.Location
	order []int
	at    map[int]*dayBook
}

// of is the day that a time lies in.
func (c *calendar) of(t time.Time) *dayBook {
	local := t.In(c.zone)
	n := DayNumber(local)
	if c.at[n] == nil {
		y, m, d := local.Date()
		c.at[n] = &dayBook{midnight: time.Date(y, m, d, 0, 0, 0, 0, c.zone), next: time.Date(y, m, d+1, 0, 0, 0, 0, c.zone)}
		c.order = append(c.order, n)
	}
	return c.at[n]
}

// A dayBook is what is known of a day.
type dayBook struct {
	midnight, next time.Time
	hours          []table.EnergyHour
	windows        []table.EnergyWindow
}

func (d *dayBook) row() table.EnergyDay {
	nan := math.NaN()
	row := table.EnergyDay{
		Day: d.midnight.UTC(), KWh: nan, Duty: nan, Outdoor: nan, Room: nan, Power: nan, Capacity: nan, COP: nan, COPU: nan, Specific: nan,
		Internal: nan, External: nan, Heat: nan, Ratio: nan, RatioU: nan,
	}
	heat := d.electricity(&row)
	d.performance(&row)
	if d.wrongPower() {
		d.spoil(&row)
	} else if heat.time > 0 && row.Flagged == 0 { // metered over the whole day: better than windows, and for the same boundary; but it holds windows in error as well
		row.COP, row.Heat = heat.heat/heat.electricity, heat.heat
	} else if finite(row.KWh) && finite(row.COP) && finite(row.Capacity) {
		row.Heat = row.KWh * row.COP
	}
	row.Specific = 1 / row.COP
	d.agree(&row)
	return row
}

// agree holds the routes against each other, in windows without another data error: the
// pair that was compared in most of them.
func (d *dayBook) agree(row *table.EnergyDay) {
	ratios, us := map[string][]float64{}, map[string][]float64{}
	for _, w := range d.windows {
		if w.Compared == "" || w.Flag != "" && w.Flag != RuleRoutes {
			continue
		}
		ratios[w.Compared], us[w.Compared] = append(ratios[w.Compared], w.Ratio), append(us[w.Compared], w.RatioU)
		if len(ratios[w.Compared]) > len(ratios[row.Compared]) {
			row.Compared = w.Compared
		}
	}
	row.Ratio, row.RatioU = median(ratios[row.Compared]), median(us[row.Compared])
}

// A Dispute is what a day says of two routes.
type Dispute struct {
	Day  time.Time
	Far  bool   // they differ by more than their doubt allows
	Said string // in words
}

// Disputes are the days on which routes could be compared, in time order.
func Disputes(days []table.EnergyDay) (out []Dispute) {
	for _, d := range days {
		if !finite(d.Ratio) {
			continue
		}
		by := Disagreement{Ratio: d.Ratio, U: d.RatioU}
		out = append(out, Dispute{d.Day, by.far(), fmt.Sprintf("the COPs by %s stand as %.2f to 1, with a standard uncertainty of %.0f %%", d.Compared, d.Ratio, 100*d.RatioU)})
	}
	return out
}

type metered struct{ heat, electricity, time float64 }

// electricity adds up the hours.
func (d *dayBook) electricity(row *table.EnergyDay) (m metered) {
	var observed, kwh float64
	var outdoor, room, weight []float64
	for _, h := range d.hours {
		row.Covered += h.Covered
		if finite(h.KWh) {
			kwh += h.KWh
			row.KWhBy = "power"
			if h.Counter {
				row.KWhBy = "counter"
			}
		}
		observed, row.Running = observed+h.Observed, row.Running+h.Running
		m = metered{m.heat + h.Heat, m.electricity + h.HeatFor, m.time + h.HeatTime}
		outdoor, room, weight = append(outdoor, h.Outdoor), append(room, h.Room), append(weight, 1)
	}
	if row.Covered > 0 {
		row.KWh = kwh
	}
	if observed > 0 {
		row.Duty = 100 * row.Running / observed
	} else {
		row.Running = math.NaN()
	}
	row.Outdoor, row.Room = weighted(outdoor, weight), weighted(room, weight)
	row.Complete = row.Covered >= d.next.Sub(d.midnight).Hours()-mostMissing && finite(row.Outdoor)
	return m
}

// performance takes the mean of the sound windows of the day's main mode, route
// and boundary.
func (d *dayBook) performance(row *table.EnergyDay) {
	var sound []table.EnergyWindow
	for _, w := range d.windows {
		switch {
		case w.Flag != "":
			row.Flagged++
			if row.Flag == "" {
				row.Flag = w.Flag
			}
		case finite(w.COP):
			sound = append(sound, w)
		}
	}
	if len(sound) == 0 {
		return
	}
	main := mainOf(sound)
	var cop, u, kw, heat, in, ex, weight, hours []float64
	for _, w := range sound {
		if keyOf(w) != main {
			continue
		}
		length := w.End.Sub(w.Start).Hours()
		by := length
		if finite(w.Power) {
			by *= w.Power
		}
		cop, u, kw, heat = append(cop, w.COP), append(u, w.COPU/w.COP), append(kw, w.Power), append(heat, w.Capacity)
		in, ex, weight, hours = append(in, w.Internal), append(ex, w.External), append(weight, by), append(hours, length)
	}
	row.Mode, row.Route, row.Boundary, row.Windows = main.mode, main.route, main.boundary, int64(len(cop))
	row.COP = weighted(cop, weight)
	row.COPU = row.COP * weighted(u, hours)
	row.Power, row.Capacity = weighted(kw, hours), weighted(heat, hours)
	row.Internal, row.External = weighted(in, hours), weighted(ex, hours)
}

// wrongPower tells whether the day's power meter was in error, by itself or by what the
// visit shows.
func (d *dayBook) wrongPower() bool {
	return slices.ContainsFunc(d.windows, func(w table.EnergyWindow) bool {
		return w.Flag == RuleWatts || w.Flag == RulePhase || w.Flag == doubtOf("D28")
	})
}

// doubtOf is the flag of windows in a visit that a trade's rule doubts.
func doubtOf(rule string) string { return RuleDoubt + " " + rule }

// spoil takes away what rests on the electricity of the day.
func (d *dayBook) spoil(row *table.EnergyDay) {
	nan := math.NaN()
	row.KWh, row.Heat, row.Complete = nan, nan, false
	row.COP, row.COPU, row.Power, row.Capacity, row.Internal, row.External = nan, nan, nan, nan, nan, nan
}

// A sort is what figures must share to be pooled.
type sort struct{ mode, route, boundary string }

func keyOf(w table.EnergyWindow) sort { return sort{w.Mode, w.Route, w.Boundary} }

// mainOf is the sort of most windows; of two alike the one that came first.
func mainOf(windows []table.EnergyWindow) sort {
	count := map[sort]int{}
	for _, w := range windows {
		count[keyOf(w)]++
	}
	best := keyOf(windows[0])
	for _, w := range windows {
		if k := keyOf(w); count[k] > count[best] {
			best = k
		}
	}
	return best
}
