package analysis

import (
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

// compared is what the comparison needs of a system.
func (s *Stage) compared(p *systemPlan, seasons []table.Season, days []table.EnergyDay) energy.Entry {
	e := energy.Entry{System: p.system, Tariff: unpriced(), Seasons: seasons}
	e.KWh, _ = energy.YearOf(days)
	if len(days) > 0 {
		if t, ok := s.Register.Tariff(p.system.ID, days[len(days)-1].Day); ok {
			e.Tariff = t
		}
	}
	return e
}

// signsOf is what the days say of the balance of energy.
func signsOf(days []table.EnergyDay) (signs []drift.Sign) {
	for _, d := range energy.Disputes(days) {
		signs = append(signs, drift.Sign{Kind: drift.RoutesApart, On: d.Day, Beyond: d.Far, Said: d.Said})
	}
	return signs
}
