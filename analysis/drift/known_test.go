package drift

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// Taking over the decisions that stand, at whatever visit, gives exactly what going through
// all visits gives: of machines that leak and are filled up unasked, that foul, that are
// repaired, that change instruments, and whose fans hold head pressure up.
func TestTakingOverGivesTheSameDecisions(t *testing.T) {
	rng := rand.New(rand.NewPCG(19, 83))
	for i, m := range []machine{
		{visits: 30, every: month, noise: 0.4, leak: 5, from: 3}, {visits: 30, every: month / 5, noise: 0.5, fouling: 6, sets: 2, offset: 1},
		{visits: 24, every: month, noise: 0.5},
	} {
		sys := system()
		if i > 0 {
			sys.HeadPressureControl, sys.HeadPressureFloor = table.Yes, 900
		}
		visits := m.draw(rng)
		slices.SortFunc(visits, func(a, b table.Visit) int { return a.Start.Compare(b.Start) })
		if i == 0 {
			for k := 20; k < len(visits); k++ {
				visits[k].Subcooling += 6 // filled up, and nobody wrote it down
			}
		}
		events := []register.Event{{Kind: register.CoilCleaned, Time: visits[12].Start.Add(time.Hour), HasTime: true}}
		whole := Known{}.Decide(sys, events, visits, Options{})
		if i == 0 && (whole.Leaks.IsZero() || len(whole.Causes) == 0) {
			t.Fatal("the leaking machine does not seem to leak")
		}
		for n, v := range visits {
			if n%4 != 3 {
				continue
			}
			before := Known{}.Decide(sys, until(events, v.Start), visits[:n+1], Options{})
			before.Until = v.Start
			got := before.Decide(sys, events, visits, Options{})
			if a, b := fmt.Sprint(got.Trends, got.Causes, got.Leaks), fmt.Sprint(whole.Trends, whole.Causes, whole.Leaks); a != b {
				t.Fatalf("machine %d from visit %d on:\n%s\nwant\n%s", i, n, a, b)
			}
		}
	}
}
