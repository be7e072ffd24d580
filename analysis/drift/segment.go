package drift

import (
	"iter"
	"math"
	"slices"
	"sort"
	"time"

	"rimelog/analysis/condition"
	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A segment is the visits between two events that void a baseline, in time order.
type segment []table.Visit

// segments cuts visits at the events that reset. They share the visits' memory where these
// are in order, and nobody changes them.
func segments(visits []table.Visit, events []register.Event) (out []segment) {
	byStart := func(i, j int) bool { return visits[i].Start.Before(visits[j].Start) }
	if !sort.SliceIsSorted(visits, byStart) {
		visits = slices.Clone(visits)
		sort.SliceStable(visits, byStart)
	}
	from, resets := 0, -1
	for i := range visits {
		n := resetsBefore(events, visits[i].Start)
		if n != resets && i > 0 {
			out = append(out, segment(visits[from:i:i]))
			from = i
		}
		resets = n
	}
	if from < len(visits) {
		out = append(out, segment(visits[from:len(visits):len(visits)]))
	}
	return out
}

// decisions are the visits that each decision adds, the first at once and the next at the
// first visit that comes so long after: their first place in the segment, and the one after
// their last. Visits after the last decision wait.
func (seg segment) decisions(every time.Duration) iter.Seq2[int, int] {
	return func(yield func(from, to int) bool) {
		from, decided := 0, time.Time{}
		for i := range seg {
			start := seg[i].Start
			if !decided.IsZero() && calendarDay(start).Sub(calendarDay(decided)) < every {
				continue
			}
			if !yield(from, i+1) {
				return
			}
			from, decided = i+1, start
		}
	}
}

func resetsBefore(events []register.Event, t time.Time) (n int) {
	for _, e := range events {
		if e.Kind.Resets() && !e.Time.After(t) {
			n++
		}
	}
	return n
}

// OtherWay is why a visit in heating is only shown: its temperatures of the media are those
// of other coils, and trends compare visits in cooling. What the circuit itself shows of its
// charge is compared with other visits in heating.
const OtherWay = "it heats: the circuit runs the other way round, and only visits in cooling are compared with each other"

// bothWays lets visits in heating count as far as the circuit itself goes: the differences
// of the coils are those of other media.
func bothWays(visits []table.Visit) []table.Visit {
	other := func(v table.Visit) bool { return v.Use == table.UseSpot && v.Reason == OtherWay }
	if !slices.ContainsFunc(visits, other) {
		return visits
	}
	out := slices.Clone(visits)
	for i := range out {
		if v := &out[i]; other(*v) {
			v.Use, v.CondenserTD, v.EvaporatorTD = table.UseTrend, math.NaN(), math.NaN()
		}
	}
	return out
}

// A point is one value per feature: the median of the visits since the decision
// before, with one set of instruments.
type point struct {
	at          time.Time
	values      []float64 // by feature
	doubts      []float64 // by feature: standard uncertainty, instruments included
	outdoor     float64
	room        float64
	condensing  float64 // condensing temperature, stands in where outdoor is not known
	evaporating float64
	efficiency  float64 // isentropic, 1
	level       float64 // in the receiver, %
	atRest      float64 // by how much the standstill pressure lay above saturation, K
	power       float64 // electric, kW
	guessed     float64 // how sure the temperature of the medium entering the evaporator is where it was not logged, K; 0 where it was
	weather     float64 // how sure the outdoor temperature is where it was not logged, K; 0 where it was
	raised      float64 // by how much the condenser's difference lies above that of the clean coil in the same weather, K
	heats       bool    // it was logged while heating
	set         string  // instruments, and where the liquid was measured (place.go)
	era         int     // counts the events that reset
}

// entering is the temperature of the medium that enters the condenser, °C.
func (p *point) entering() float64 { return p.condensing - p.values[atCondenser] }

// pool makes points of the visits since the last decision, one per instrument set
// and mode.
func pool(visits []table.Visit, fs []feature, era int) []point {
	type like struct{ set, mode string }
	alike := map[like][]*table.Visit{}
	var order []like
	for i := range visits {
		v := &visits[i]
		if v.Use != table.UseTrend {
			continue
		}
		k := like{setOf(v), v.Mode}
		if alike[k] == nil {
			order = append(order, k)
		}
		alike[k] = append(alike[k], v)
	}
	var out []point
	for _, k := range order {
		p := pooled(alike[k], fs)
		p.era = era
		out = append(out, p)
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].at.Before(out[j].at) })
	return out
}

func pooled(vs []*table.Visit, fs []feature) point {
	n := len(fs)
	both := make([]float64, 0, 2*n)
	p := point{values: both[:0:n], doubts: both[n:n], at: vs[len(vs)-1].Start, set: setOf(vs[0]), heats: vs[len(vs)-1].Mode == condition.Heats}
	for _, f := range fs {
		p.values = append(p.values, medianOf(vs, f.of))
		p.doubts = append(p.doubts, medianOf(vs, f.doubt))
	}
	p.outdoor = medianOf(vs, func(v *table.Visit) float64 { return v.OutdoorTemp })
	p.room = medianOf(vs, func(v *table.Visit) float64 { return v.RoomTemp })
	p.evaporating = medianOf(vs, func(v *table.Visit) float64 { return v.EvaporatingTemp })
	p.efficiency = medianOf(vs, func(v *table.Visit) float64 { return v.IsentropicEfficiency })
	p.level = medianOf(vs, func(v *table.Visit) float64 { return v.ReceiverLevel })
	p.atRest = medianOf(vs, func(v *table.Visit) float64 { return v.StandstillExcess })
	p.power = medianOf(vs, func(v *table.Visit) float64 { return v.Power })
	p.condensing = medianOf(vs, func(v *table.Visit) float64 { return v.CondensingTemp })
	return p
}

func medianOf(vs []*table.Visit, of func(*table.Visit) float64) float64 {
	if len(vs) == 1 {
		return finite(of(vs[0]))
	}
	var room [16]float64 // two weeks of days
	x, known := room[:0], false
	for _, v := range vs {
		x = append(x, of(v))
		known = known || !math.IsNaN(x[len(x)-1])
	}
	if !known {
		return math.NaN() // as most channels are
	}
	m, err := robust.Median(x)
	if err != nil {
		return math.NaN()
	}
	return m
}

// calendarDay is the day of a time, UTC, for distances between decisions.
func calendarDay(t time.Time) time.Time { return t.UTC().Truncate(24 * time.Hour) }
