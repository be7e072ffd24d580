package analysis

import (
	"context"

	"rimelog/analysis/drift"
	"rimelog/analysis/energy"
	"rimelog/pipeline"
	"rimelog/pipeline/table"
)

// StepCompare compares the energy of systems of one kind.
var StepCompare = pipeline.Step{Name: "compare", Version: 3}

// planRanking gives the comparison of systems its fingerprint.
func (s *Stage) planRanking() result {
	return s.resultOf(StepCompare, table.Rankings().Path("", ""), func(h pipeline.Hasher) {
		for _, p := range s.systems {
			h.Add("system", p.system.ID)
			h.Add("seasons", string(p.energy.seasons.fp))
			h.Add("days", string(p.energy.days.fp))
			h.Add("register", s.Register.EnergyRows(p.system.ID))
		}
		h.Add("options", s.Options.energy().Key())
	})
}

// compareSystems makes the comparison of systems.
func (s *Stage) compareSystems(ctx context.Context, to result) error {
	var entries []energy.Entry
	for _, p := range s.systems {
		e, err := s.entry(ctx, p)
		if err != nil {
			return err
		}
		entries = append(entries, e)
	}
	return stageRows(ctx, s.Dataset, to, table.Rankings(), energy.RankingRows(entries, s.Options.energy()))
}

// entry is what the comparison needs of a system.
func (s *Stage) entry(ctx context.Context, p *systemPlan) (e energy.Entry, err error) {
	e = energy.Entry{System: p.system, Tariff: unpriced()}
	var days []table.EnergyDay
	err = firstOf(
		func() error { return gatherRows(ctx, s, p, p.energy.seasons, &e.Seasons, nil) },
		func() error { return gatherRows(ctx, s, p, p.energy.days, &days, nil) },
	)
	if err != nil {
		return e, err
	}
	e.KWh, _ = energy.YearOf(days)
	if len(days) > 0 {
		if t, ok := s.Register.Tariff(p.system.ID, days[len(days)-1].Day); ok {
			e.Tariff = t
		}
	}
	return e, nil
}

// signsOf is what the days say of the balance of energy.
func signsOf(days []table.EnergyDay) (signs []drift.Sign) {
	for _, d := range energy.Disputes(days) {
		signs = append(signs, drift.Sign{Kind: drift.RoutesApart, On: d.Day, Beyond: d.Far, Said: d.Said})
	}
	return signs
}
