package steady

import (
	"math"
	"testing"

	"rimelog/analysis/cycle"
)

// A machine that runs for twenty minutes in every thirty, sampled every five: two or three
// samples of each run lie after its settling, and their means are those of the machine.
// Sampled every quarter of an hour, runs go unseen and are counted.
func TestSparseSamplesOfACyclingMachine(t *testing.T) {
	story := func(every string) string {
		s := "every " + every + "\n"
		for range 24 {
			s += "on 20m\noff 10m\n"
		}
		return s
	}
	stays, windows := Cut(tell(t, story("5m")), nil, Options{})
	if len(windows) < 20 || stays[0].Unseen > 4 {
		t.Errorf("%d windows, %d of %d runs unseen; want one in nearly each run", len(windows), stays[0].Unseen, stays[0].Runs)
	}
	for _, w := range windows {
		if math.Abs(w.Mean[cycle.Superheat]-6) > 1 || w.Provisional && !w.StartUnknown {
			t.Errorf("superheat %.1f K, provisional %v; want 6 K", w.Mean[cycle.Superheat], w.Provisional)
		}
	}
	if stays, _ = Cut(tell(t, story("15m")), nil, Options{}); stays[0].Unseen == 0 || stays[0].Step != 900 {
		t.Errorf("%d of %d runs unseen at %g s; want some", stays[0].Unseen, stays[0].Runs, stays[0].Step)
	}
}
