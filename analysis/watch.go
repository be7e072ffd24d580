package analysis

import (
	"context"
	"slices"
	"sort"
	"time"

	"rimelog/analysis/condition"
	"rimelog/analysis/cycle"
	"rimelog/analysis/steady"
	"rimelog/analysis/trust"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// valveOpening is a column of samples that is only watched.
const valveOpening = "valve_opening_pct"

// watched goes over the stays of a month against the limits that hold for the system: in
// parts, where somebody intervened.
func (s *Stage) watched(system register.System, f *frame.Frame, c *cycle.Columns, stays []steady.Stay) (out []condition.Watch) {
	var valve []float64
	if f.Has(valveOpening) {
		valve = f.Floats(nil, valveOpening)
	}
	limits := condition.NewLimits(system, s.Register.Limits(system.ID))
	for _, stay := range stays {
		from, to := stay.Rows()
		bounds := limits.On(time.UnixMicro(stay.Start).UTC())
		for _, part := range s.partsOf(system.ID, c.Time, from, to) {
			st := condition.Stretch{Columns: c, Valve: valve, From: part[0], To: part[1], On: stay.On(), Told: stay.By != steady.Assumed}
			out = append(out, st.Watch(bounds))
		}
	}
	return out
}

// partsOf cuts rows at the interventions that have a time of day.
func (s *Stage) partsOf(id string, t []int64, from, to int) (parts [][2]int) {
	cuts := []int{from}
	for _, e := range s.Register.Events(id) {
		at := e.Time.UnixMicro()
		if e.Kind.Intervenes() && e.HasTime && at > t[from] && at < t[to-1] {
			cuts = append(cuts, from+sort.Search(to-from, func(i int) bool { return t[from+i] >= at }))
		}
	}
	cuts = slices.Compact(append(cuts, to))
	for i := 1; i < len(cuts); i++ {
		parts = append(parts, [2]int{cuts[i-1], cuts[i]})
	}
	return parts
}

// conditions puts together what was watched of a system, but for visits of which that is
// known.
func (s *Stage) conditions(ctx context.Context, p *systemPlan, visits []table.Visit, doubts []trust.Facts, was judged) ([]table.Condition, error) {
	var watches []condition.Watch
	for _, m := range p.windows[was.months:] {
		f, err := s.file(ctx, p.generation, m.result)
		if err != nil {
			return nil, err
		}
		var more []condition.Watch
		if err := s.noted(ctx, f, noteWatches, &more); err != nil {
			return nil, err
		}
		watches = append(watches, more...)
	}
	visits = visits[standing(visits, was.to):]
	rows := condition.Of(visits, watches, func(v table.Visit, channel string) bool { return hides(doubts, v, channel) })
	return append(was.conditions, rows...), nil
}

// hides tells whether the data of a channel are in doubt at a visit.
func hides(facts []trust.Facts, v table.Visit, channel string) bool {
	from, to := v.Start.UnixMicro(), v.End.UnixMicro()
	for _, f := range facts {
		if f.Start > to || f.End < from {
			continue
		}
		for _, d := range f.Doubts {
			about := len(d.Channels) == 0 || slices.Contains(d.Channels, channel)
			if d.Hides && about && (d.To == 0 || d.From <= to && d.To >= from) {
				return true
			}
		}
	}
	return false
}
