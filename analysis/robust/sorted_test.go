package robust_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"rimelog/analysis/robust"
)

// A sample kept in order gives, to the last bit, the quantiles of the same values in any
// order, whatever comes and goes.
func TestSortedGivesTheQuantilesOfItsValues(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 15))
	var s robust.Sorted
	var all []float64
	for range 2000 {
		if len(all) > 0 && r.IntN(3) == 0 {
			i := r.IntN(len(all))
			s.Remove(all[i])
			all = append(all[:i], all[i+1:]...)
		} else {
			v := math.Round(20*r.NormFloat64()) / 10 // with ties
			s.Add(v)
			all = append(all, v)
		}
		s.Add(math.NaN())
		p := r.Float64()
		wantMiddle, _ := robust.Median(all)
		want, _ := robust.Quantile(all, p)
		if got := s.Median(); !same(got, wantMiddle) {
			t.Fatalf("median of %d values is %g, want %g", len(all), got, wantMiddle)
		}
		if got := s.Quantile(p); !same(got, want) {
			t.Fatalf("quantile %g of %d values is %g, want %g", p, len(all), got, want)
		}
	}
}

func same(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }
