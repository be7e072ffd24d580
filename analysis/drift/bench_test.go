package drift

import (
	"math/rand/v2"
	"sync"
	"testing"
	"time"

	"rimelog/pipeline/table"
)

// A thousand systems with 36 visits each, from visits to findings, on two workers: to
// be done within 20 s on two cores.
func BenchmarkThousandSystems(b *testing.B) {
	rng := rand.New(rand.NewPCG(61, 61))
	fleet := make([][]table.Visit, 1000)
	for i := range fleet {
		fleet[i] = machine{visits: 36, every: month, noise: 0.5, offset: 0.5, sets: 3, leak: 3 * float64(i%5/4), from: 15}.draw(rng)
	}
	for b.Loop() {
		var both sync.WaitGroup
		for half := range 2 {
			both.Go(func() {
				for i := half; i < len(fleet); i += 2 {
					trends, causes := Judge(system(), nil, fleet[i], Options{}), Causes(system(), nil, fleet[i], Options{})
					Findings(system(), nil, nil, trends, causes, time.Date(2100, 1, 1, 0, 0, 0, 0, time.UTC), Options{})
				}
			})
		}
		both.Wait()
	}
}
