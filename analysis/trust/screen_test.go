package trust

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The longest run is what counting each run gives, in series of few values with gaps.
func TestLongestRun(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 12))
	for range 2000 {
		v := make([]float64, rng.IntN(40))
		for i := range v {
			if v[i] = float64(rng.IntN(3)); v[i] == 2 && rng.IntN(2) == 0 {
				v[i] = math.NaN()
			}
		}
		from, n := longestRun(v)
		wantFrom, want := 0, 0
		for i := range v {
			run := 0
			for k := i; k < len(v) && v[k] == v[i]; k++ {
				run++
			}
			if run > want {
				wantFrom, want = i, run
			}
		}
		if from != wantFrom || n != want {
			t.Fatalf("%v: %d from %d, want %d from %d", v, n, from, want, wantFrom)
		}
	}
}
