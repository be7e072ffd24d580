package robust

import (
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"
)

// Selection agrees with the standard library's sort, ties included, and with gonum's
// quantiles of what is sorted.
func TestNthAgreesWithSorting(t *testing.T) {
	rng := rand.New(rand.NewPCG(71, 71))
	for range 500 {
		x := make([]float64, 1+rng.IntN(60))
		for i := range x {
			x[i] = float64(rng.IntN(40))
		}
		sorted := slices.Sorted(slices.Values(x))
		k := rng.IntN(len(x))
		if got := nth(slices.Clone(x), k); got != sorted[k] {
			t.Fatalf("value %d of %v: got %v, want %v", k, x, got, sorted[k])
		}
		if got := medianOf(slices.Clone(x)); got != middle(sorted) {
			t.Fatalf("median of %v: got %v, want %v", x, got, middle(sorted))
		}
		p := []float64{0, 0.02, 0.5, 0.98, 1, rng.Float64()}[rng.IntN(6)]
		if got, want := quantileOf(slices.Clone(x), p), stat.Quantile(p, stat.LinInterp, sorted, nil); got != want {
			t.Fatalf("quantile %v of %v: got %v, want %v", p, x, got, want)
		}
	}
}
