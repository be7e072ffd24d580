package analysis

import (
	"strings"
	"testing"

	"rimelog/analysis/steady"
)

// Of a machine that runs for a quarter of an hour at a time a sample every fifteen minutes
// shows one in each run: nothing tells whether it had settled, and that is said. With a
// sample a minute nothing is.
func TestImpossibleAtThisSampling(t *testing.T) {
	for _, tc := range []struct {
		name   string
		unseen int64
		want   bool
	}{{"most runs unseen", 40, true}, {"few unseen", 5, false}, {"none counted", 0, false}} {
		s := sparseOf([]steady.Stay{{Step: 900, Runs: 25, Unseen: tc.unseen / 2}, {Step: 900, Runs: 25, Unseen: tc.unseen - tc.unseen/2}})
		p, ok := s.problem("CR-01")
		if ok != tc.want || ok && (p.Rule != "D17" || !strings.Contains(p.Problem, "900 s") || !strings.Contains(p.Problem, "impossible")) {
			t.Errorf("%s: %v %+v, want %v", tc.name, ok, p, tc.want)
		}
	}
}
