package analysis

import (
	"context"
	"slices"
	"time"

	"rimelog/analysis/drift"
	"rimelog/pipeline/table"
)

// A peerage is what the systems of the fleet teach each other.
type peerage struct {
	records []drift.Record
	seen    map[string]table.Coverage // by system
	taught  map[string][]table.Prior  // by quarter
}

// priors are those of the quarter of a day, worked out once.
func (p *peerage) priors(day time.Time) []table.Prior {
	q := drift.Quarter(day)
	if _, ok := p.taught[q]; !ok {
		p.taught[q] = drift.Priors(p.records, day)
	}
	return p.taught[q]
}

// undated are the findings of systems that were low at their first visits.
func (s *Stage) undated(p *peerage, asOf time.Time) (out []table.Finding) {
	for _, r := range p.records {
		out = append(out, r.Undated(p.priors, s.Register.Answers(r.System.ID), asOf, s.Options.drift())...)
	}
	return out
}

// outlook fills in what the findings come to.
func (s *Stage) outlook(findings []table.Finding) {
	for i := range findings {
		sys, _ := s.Register.System(findings[i].System)
		drift.Outlook(&findings[i], sys, s.Options.drift().Waiting)
	}
}

// baselines are what the features of all systems should be, and the priors of the day.
func (p *peerage) baselines(findings []table.Finding, asOf time.Time) (rows []table.Baseline, priors []table.Prior) {
	bySystem := map[string][]table.Finding{}
	for _, f := range findings {
		bySystem[f.System] = append(bySystem[f.System], f)
	}
	rows, priors = []table.Baseline{}, slices.Clone(p.priors(asOf))
	for _, r := range p.records {
		rows = append(rows, r.Baselines(priors, bySystem[r.System.ID], asOf)...)
	}
	if priors == nil {
		priors = []table.Prior{}
	}
	return rows, priors
}

// compareFleet makes the tables that hold systems, instruments and repairs against each
// other, and when each system was last seen.
func (s *Stage) compareFleet(ctx context.Context, to fleetPlan, p *peerage, findings []table.Finding, baselines []table.Baseline, priors []table.Prior) error {
	of := map[string][]table.Baseline{}
	for _, b := range baselines {
		of[b.System] = append(of[b.System], b)
	}
	odd, steps := []table.PeerCompared{}, []table.StepSeen{}
	for _, r := range p.records {
		odd = append(odd, drift.Odd(r, of[r.System.ID], priors)...)
		steps = append(steps, r.Steps(of[r.System.ID])...)
	}
	return firstOf(
		func() error { return stageRows(ctx, s.Dataset, to.peers, table.PeersCompared(), odd) },
		func() error {
			return stageRows(ctx, s.Dataset, to.instruments, table.InstrumentsCompared(), drift.InstrumentsCompared(p.records, baselines))
		},
		func() error {
			return stageRows(ctx, s.Dataset, to.recurrences, table.Recurrences(), drift.Recurrences(findings))
		},
		func() error { return stageRows(ctx, s.Dataset, to.steps, table.StepsSeen(), steps) },
		func() error { return stageRows(ctx, s.Dataset, to.coverage, table.Coverages(), s.covered(p, to.asOf)) },
	)
}

// covered says of every system when it was last seen: also of those that never were.
func (s *Stage) covered(p *peerage, asOf time.Time) []table.Coverage {
	out := []table.Coverage{}
	for _, sys := range s.Register.Systems {
		c, ok := p.seen[sys.ID]
		if !ok {
			c = drift.Seen(sys, nil, asOf, s.Options.drift())
		}
		out = append(out, c)
	}
	return out
}
