package analysis

import (
	"fmt"
	"time"

	"rimelog/analysis/drift"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// repaired are the events of a system, with the repairs that answers to its findings date.
func (s *Stage) repaired(system string) []register.Event {
	return drift.Repaired(s.Register.Events(system), s.Register.Answers(system))
}

// unlogged are the findings that people answered at systems that have no samples any more.
func (s *Stage) unlogged(asOf time.Time) (out []table.Finding) {
	logged := map[string]bool{}
	for _, p := range s.systems {
		logged[p.system.ID] = true
	}
	for _, sys := range s.Register.Systems {
		if !logged[sys.ID] {
			out = append(out, drift.Findings(sys, nil, s.Register.Answers(sys.ID), nil, nil, asOf, s.Options.drift())...)
			out = append(out, drift.Present(sys, nil, s.Register.Answers(sys.ID), nil, nil, asOf, s.Options.drift())...)
		}
	}
	return out
}

// unheard are the answers whose findings have no kind that we know.
func (s *Stage) unheard() (out []table.Problem) {
	for _, sys := range s.Register.Systems {
		for _, a := range s.Register.Answers(sys.ID) {
			if _, ok := drift.KindOf(a.Finding); ok {
				continue
			}
			out = append(out, table.Problem{
				Place: fmt.Sprintf("register/answers.csv:%d", a.Line), System: sys.ID, Weight: leftOut,
				Problem: fmt.Sprintf("finding %q: no finding is of this kind", a.Finding),
				Remedy:  "copy the finding's ID from the report or the table findings",
			})
		}
	}
	return out
}
