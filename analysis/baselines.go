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
	taught  map[string][]table.Prior // by quarter
}

// peers reads what the visits of all systems say.
func (s *Stage) peers(ctx context.Context) (*peerage, error) {
	p := &peerage{taught: map[string][]table.Prior{}}
	for _, sys := range s.systems {
		visits, err := rowsOfResult[table.Visit](ctx, s, sys.generation, sys.visits)
		if err != nil {
			return nil, err
		}
		p.records = append(p.records, drift.NewRecord(sys.system, s.repaired(sys.system.ID), visits, s.Options.drift()))
	}
	return p, nil
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
