package analysis

import (
	"strings"
	"testing"

	"rimelog/analysis/steady"
)

// Of a machine that runs for a quarter of an hour at a time a sample every fifteen minutes
// shows one in each run: nothing tells whether it had settled, and that is said. Where runs
// are long enough, what is said is that hunting cannot be seen, which is no mistake. With a
// sample a minute nothing is.
func TestImpossibleAtThisSampling(t *testing.T) {
	for _, tc := range []struct {
		name       string
		step       float64
		unseen     int64
		rule, says string
	}{
		{"most runs unseen", 900, 40, "D17", "impossible"}, {"few unseen", 900, 5, "", "900 s between samples: hunting"},
		{"all seen", 300, 0, "", "300 s between samples: hunting"}, {"a sample a minute", 0, 0, "", ""},
	} {
		s := sparseOf([]steady.Stay{{Step: tc.step, Runs: 25, Unseen: tc.unseen / 2}, {Step: tc.step, Runs: 25, Unseen: tc.unseen - tc.unseen/2}})
		p, ok := s.problem("CR-01")
		if ok != (tc.says != "") || p.Rule != tc.rule || !strings.Contains(p.Problem, tc.says) {
			t.Errorf("%s: %v %+v, want rule %q and %q", tc.name, ok, p, tc.rule, tc.says)
		}
	}
}
