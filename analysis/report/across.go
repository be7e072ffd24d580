package report

import (
	"context"
	"errors"

	"rimelog/analysis/drift"
	"rimelog/analysis/say"
	"rimelog/pipeline/table"
)

// Across is what holds systems, instruments and repairs against each other.
type Across struct {
	Peers       []table.PeerCompared
	Instruments []table.InstrumentCompared
	Recurrences []table.Recurrence
	Coverage    []table.Coverage
	Steps       []table.StepSeen
}

// across reads it.
func (s *Stage) across(ctx context.Context) (a Across, err error) {
	var errs [5]error
	a.Peers, errs[0] = fleetRows[table.PeerCompared](ctx, s, table.PeersCompared())
	a.Instruments, errs[1] = fleetRows[table.InstrumentCompared](ctx, s, table.InstrumentsCompared())
	a.Recurrences, errs[2] = fleetRows[table.Recurrence](ctx, s, table.Recurrences())
	a.Coverage, errs[3] = fleetRows[table.Coverage](ctx, s, table.Coverages())
	a.Steps, errs[4] = fleetRows[table.StepSeen](ctx, s, table.StepsSeen())
	return a, errors.Join(errs[:]...)
}

// An acrossRow is one thing that shows only in the whole fleet.
type acrossRow struct{ Who, Href, What string }

// across lists what shows only in the whole fleet: faults that came back, the odd one
// out of a model, instruments that read otherwise than others, systems nobody saw for
// months, and small charges.
func (f Fleet) across() (out []acrossRow) {
	l, names := f.say, f.names()
	add := func(id, what string) {
		w := nameOf(names, id)
		out = append(out, acrossRow{w.Title, w.Href, what})
	}
	for _, r := range f.Across.Recurrences {
		add(r.System, l.Text("%s came back %s after it was put right", l.Prose(r.Kind), l.Count(int(r.Days), "day")))
	}
	for _, s := range f.Across.Steps {
		switch s.Verdict {
		case drift.StepMissing:
			add(s.System, l.Text("%s kg booked on %s do not show in subcooling (%s): %s", l.Number(s.KG, 2), l.Day(s.On, f.AsOf.Location()), l.Change(say.Difference, s.Step, 1), l.Prose(s.Note)))
		case drift.StepUnrecorded:
			add(s.System, l.Text("possible unrecorded addition before %s (%s): %s", l.Day(s.On, f.AsOf.Location()), l.Change(say.Difference, s.Step, 1), l.Prose(s.Note)))
		}
	}
	for _, c := range f.Across.Peers {
		if c.Odd {
			add(c.System, l.Text("the odd one out of %s of its model: %s %s from the others", l.Count(int(c.Systems), "system"), l.Lower(featureName(l, c.Feature)), l.Change(say.Difference, c.Apart, 1)))
		}
	}
	for _, i := range f.Across.Instruments {
		if i.Doubtful {
			out = append(out, acrossRow{Who: i.Serial, What: l.Text("this instrument shows %s %s beside others at %s: have it calibrated", l.Lower(featureName(l, i.Feature)), l.Change(say.Difference, i.Offset, 1), l.Count(int(i.Systems), "system"))})
		}
	}
	for _, c := range f.Across.Coverage {
		switch {
		case c.Unseen && c.Visits == 0:
			add(c.System, l.Text("never logged"))
		case c.Unseen:
			add(c.System, l.Text("no usable visit for %s", l.Count(int(c.Months), "month")))
		}
		if c.Advice != "" {
			add(c.System, l.Prose(c.Advice))
		}
	}
	return out
}
