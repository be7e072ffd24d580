package analysis

import (
	"context"
	"slices"

	"rimelog/analysis/energy"
	"rimelog/analysis/trust"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/table"
)

// An aside is a time in which windows are not believed, by a doubt.
type aside struct {
	From     int64  `json:"from"` // microseconds since 1970
	To       int64  `json:"to"`
	Rule     string `json:"rule"`
	Evidence string `json:"evidence"`
}

// touches tells whether windows of a month may lie in it.
func (a aside) touches(m dataset.Month) bool {
	return a.From <= m.To+around.Microseconds() && a.To >= m.From
}

// asides are the times of visits whose data are in doubt: no COP is worked out from a
// pressure or a temperature that is not believed. The rows of table quality about them are
// those of the visits.
func (s *Stage) asides(ctx context.Context, p *systemPlan) (out []aside, err error) {
	f, err := s.file(ctx, p.generation, p.visits)
	if err != nil {
		return nil, err
	}
	var facts []trust.Facts
	if err := s.noted(ctx, f, noteDoubts, &facts); err != nil {
		return nil, err
	}
	for _, visit := range facts {
		for _, d := range visit.Doubts {
			if !d.Hides || len(d.Channels) > 0 && !slices.ContainsFunc(d.Channels, restsOn) {
				continue
			}
			from, to := visit.Start, visit.End
			if d.To != 0 {
				from, to = d.From, d.To
			}
			out = append(out, aside{from, to, energy.RuleDoubt + " " + d.Rule, d.Evidence})
		}
	}
	return out, nil
}

// setAside flags the windows in them.
func setAside(windows []table.EnergyWindow, asides []aside) {
	for _, a := range asides {
		energy.SetAside(windows, a.From, a.To, a.Rule, a.Evidence)
	}
}

// restsOn tells whether a COP may rest on a channel.
func restsOn(channel string) bool { return slices.Contains(energy.Needed(), channel) }
