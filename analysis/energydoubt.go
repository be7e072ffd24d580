package analysis

import (
	"context"
	"slices"

	"rimelog/analysis/energy"
	"rimelog/analysis/trust"
	"rimelog/pipeline/table"
)

// setAside flags the windows of visits whose data are in doubt: no COP is worked out
// from a pressure or a temperature that is not believed. The rows of table quality
// about them are those of the visits.
func (s *Stage) setAside(ctx context.Context, p *systemPlan, windows []table.EnergyWindow) error {
	f, err := s.file(ctx, p.generation, p.visits)
	if err != nil {
		return err
	}
	var facts []trust.Facts
	if err := s.noted(ctx, f, noteDoubts, &facts); err != nil {
		return err
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
			energy.SetAside(windows, from, to, energy.RuleDoubt+" "+d.Rule, d.Evidence)
		}
	}
	return nil
}

// restsOn tells whether a COP may rest on a channel.
func restsOn(channel string) bool { return slices.Contains(energy.Needed(), channel) }
