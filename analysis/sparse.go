package analysis

import (
	"fmt"

	"rimelog/analysis/steady"
	"rimelog/pipeline/table"
)

// A sparse says what cannot be seen of a system for want of samples.
type sparse struct {
	Step   float64 `json:"step"`   // the largest usual distance of samples, s
	Runs   int64   `json:"runs"`   // runs of the compressor that last long enough for a window
	Unseen int64   `json:"unseen"` // those of them without any
}

func sparseOf(stays []steady.Stay) (out sparse) {
	for _, s := range stays {
		out.Step = max(out.Step, s.Step)
		out.Runs, out.Unseen = out.Runs+s.Runs, out.Unseen+s.Unseen
	}
	return out
}

// mostUnseen is the share of runs that may go unseen without a word.
const mostUnseen = 0.2

// problem is the row of table quality that says what is impossible at this sampling, if
// samples are that far apart: runs that cannot be judged, which is a mistake of whoever set
// the logger, or else only what happens within minutes.
func (s sparse) problem(system string) (p table.Problem, ok bool) {
	p = table.Problem{Place: "dataset/samples/system=" + system, System: system, Weight: doubt, Remedy: "set the logger to 60 s or less"}
	switch {
	case float64(s.Unseen) > mostUnseen*float64(s.Runs):
		p.Rule = "D17"
		p.Problem = fmt.Sprintf("%d of %d runs of the compressor cannot be judged: with up to %.0f s between samples too few lie between its settling and its next stop, and at this sampling that is impossible",
			s.Unseen, s.Runs, s.Step)
	case s.Step > 0:
		p.Problem = fmt.Sprintf("%.0f s between samples: hunting, starts and quick changes cannot be seen", s.Step)
	default:
		return p, false
	}
	return p, true
}
