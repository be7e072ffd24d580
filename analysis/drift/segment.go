package drift

import (
	"math"
	"sort"
	"time"

	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A segment is the visits between two events that void a baseline, in time order.
type segment []table.Visit

// segments cuts visits at the events that reset.
func segments(visits []table.Visit, events []register.Event) []segment {
	visits = append([]table.Visit(nil), visits...)
	sort.SliceStable(visits, func(i, j int) bool { return visits[i].Start.Before(visits[j].Start) })
	var out []segment
	last := -1
	for _, v := range visits {
		if n := resetsBefore(events, v.Start); n != last {
			out = append(out, nil)
			last = n
		}
		out[len(out)-1] = append(out[len(out)-1], v)
	}
	return out
}

func resetsBefore(events []register.Event, t time.Time) (n int) {
	for _, e := range events {
		if e.Kind.Resets() && !e.Time.After(t) {
			n++
		}
	}
	return n
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
	power       float64 // electric, kW
	guessed     float64 // how sure the temperature of the medium entering the evaporator is where it was not logged, K; 0 where it was
	raised      float64 // by how much the condenser's difference lies above that of the clean coil in the same weather, K
	heats       bool    // it was logged while heating
	set         string  // instruments
	era         int     // counts the events that reset
}

// pool makes points of the visits since the last decision, one per instrument set.
func pool(visits []table.Visit, fs []feature, era int) []point {
	bySet := map[string][]table.Visit{}
	var sets []string
	for _, v := range visits {
		if v.Use != table.UseTrend {
			continue
		}
		if bySet[v.Instruments] == nil {
			sets = append(sets, v.Instruments)
		}
		bySet[v.Instruments] = append(bySet[v.Instruments], v)
	}
	var out []point
	for _, s := range sets {
		p := pooled(bySet[s], fs)
		p.era = era
		out = append(out, p)
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].at.Before(out[j].at) })
	return out
}

func pooled(vs []table.Visit, fs []feature) point {
	p := point{at: vs[len(vs)-1].Start, set: vs[0].Instruments, heats: vs[len(vs)-1].Mode == heats}
	for _, f := range fs {
		p.values = append(p.values, medianOf(vs, f.of))
		p.doubts = append(p.doubts, medianOf(vs, f.doubt))
	}
	p.outdoor = medianOf(vs, func(v table.Visit) float64 { return v.OutdoorTemp })
	p.room = medianOf(vs, func(v table.Visit) float64 { return v.RoomTemp })
	p.evaporating = medianOf(vs, func(v table.Visit) float64 { return v.EvaporatingTemp })
	p.efficiency = medianOf(vs, func(v table.Visit) float64 { return v.IsentropicEfficiency })
	p.level = medianOf(vs, func(v table.Visit) float64 { return v.ReceiverLevel })
	p.power = medianOf(vs, func(v table.Visit) float64 { return v.Power })
	p.condensing = medianOf(vs, func(v table.Visit) float64 { return v.CondensingTemp })
	return p
}

func medianOf(vs []table.Visit, of func(table.Visit) float64) float64 {
	x := make([]float64, len(vs))
	for i, v := range vs {
		x[i] = of(v)
	}
	m, err := robust.Median(x)
	if err != nil {
		return math.NaN()
	}
	return m
}

// calendarDay is the day of a time, UTC, for distances between decisions.
func calendarDay(t time.Time) time.Time { return t.UTC().Truncate(24 * time.Hour) }
