package robust_test

import (
	"math"
	"testing"

	"rimelog/analysis/robust"
)

// Average is the mean of Mean, to the last bit.
func TestAverageIsTheMean(t *testing.T) {
	for _, x := range [][]float64{nil, {math.NaN()}, {1, math.Inf(1)}, {0.1}, {0.1, 0.2, math.NaN(), 0.7}, {0.1, 0.7, 1e9, -3, 0.3}} {
		if want, _, _, _ := robust.Mean(x); !same(robust.Average(x), want) {
			t.Errorf("%v: %g, want %g", x, robust.Average(x), want)
		}
	}
}
