package steady

import (
	"fmt"
	"math"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
	"rimelog/pipeline/table"
)

// A phase is a stretch of samples in one state, at one stage or speed.
type phase struct {
	rows
	state    state
	by       Evidence
	dt       int64
	capacity float64 // mean, in whatever counts it; NaN where nothing does
	reversed bool
}

// Phases is what the machine did, stretch by stretch, in the stays that Cut found, from
// a time up to another, microseconds since 1970.
func Phases(c *cycle.Columns, circuit *cycle.Circuit, stays []Stay, from, to int64, o Options) []table.Phase {
	o.EnsureDefaults()
	if len(stays) == 0 {
		return nil
	}
	capacity := capacityOf(c, stays[0].states)
	var list []phase
	for _, s := range stays {
		if s.Start >= from && s.Start < to {
			list = s.phases(c, capacity, list)
		}
	}
	highest := math.NaN()
	for i := range list {
		list[i].reversed = list[i].state == running && circuit.Reverses() && circuit.Reversed(meanRow(c, list[i].rows))
		if v := list[i].capacity; list[i].state == running && !(v <= highest) {
			highest = v
		}
	}
	out := make([]table.Phase, len(list))
	for i, p := range list {
		out[i] = p.row(c, highest, o)
	}
	return out
}

// phases adds those of a stay. A state that goes on past midnight is one stretch.
func (s Stay) phases(c *cycle.Columns, capacity []float64, list []phase) []phase {
	dt := spacing(c.Time[s.from:s.to])
	for from := s.from; from < s.to; {
		to := from + 1
		for to < s.to && s.states[to] == s.states[from] && c.Time[to]-c.Time[to-1] <= hole(dt) {
			to++
		}
		p := phase{rows: rows{from, to}, state: s.states[from], by: s.By, dt: dt, capacity: math.NaN()}
		if n := len(list); n > 0 && list[n-1].to == from && list[n-1].state == p.state && c.Time[from]-c.Time[from-1] <= hole(dt) {
			p.from, list = list[n-1].from, list[:n-1]
		}
		list = append(list, p.stages(c, capacity)...)
		from = to
	}
	return list
}

func (p phase) row(c *cycle.Columns, highest float64, o Options) table.Phase {
	out := table.Phase{
		Start: utc(c.Time[p.from]), End: utc(c.Time[p.to-1]), Samples: int64(p.to - p.from),
		Minutes:  float64(p.to-p.from) * float64(p.dt) / 60e6,
		Capacity: 100 * p.capacity / highest, Speed: meanIn(c.Values[cycle.Speed], p.rows), Power: meanIn(c.Values[cycle.Power], p.rows),
		RunningBy: string(p.by), KnownBy: "detected",
	}
	if p.by == ByLog || p.state == defrosting && c.Defrost != nil && c.Defrost[p.from] == table.Yes {
		out.KnownBy = "logged"
	}
	out.State, out.Excluded = p.words(o)
	return out
}

// words names a phase, and says why no window holds it.
func (p phase) words(o Options) (name, excluded string) {
	switch p.state {
	case off:
		return table.IsOff, "the compressor stands still"
	case open:
		return table.IsHosesInAir, "the hoses hang in the air"
	case starting:
		return table.IsStarting, fmt.Sprintf("less than %v after a start", o.Settle)
	case pumpingDown:
		return table.IsPumpDown, "the low side is pumped empty before a stop"
	case defrosting:
		return table.IsDefrost, "the evaporator is freed of frost"
	case thawing:
		return table.IsAfterDefrost, fmt.Sprintf("less than %v after a defrost", o.AfterDefrost)
	}
	if p.reversed {
		return table.IsReversed, "the circuit runs the other way round: compared with no visit in cooling"
	}
	if p.by == Assumed {
		return table.IsRunning, "nothing tells whether the compressor runs: shown only"
	}
	return table.IsRunning, ""
}

// meanIn is the mean of a column over rows; NaN where there is none.
func meanIn(x []float64, r rows) float64 {
	if x == nil {
		return math.NaN()
	}
	mean, _, _, err := robust.Mean(x[r.from:r.to])
	if err != nil {
		return math.NaN()
	}
	return mean
}

// meanRow is the mean of every quantity over rows.
func meanRow(c *cycle.Columns, r rows) *cycle.Row {
	row := cycle.NewRow()
	for q := range row {
		row[q] = meanIn(c.Values[q], r)
	}
	return &row
}
