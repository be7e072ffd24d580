package steady

import (
	"math"
	"math/rand/v2"
	"sort"
	"testing"

	"rimelog/analysis/cycle"
)

// ratios are the R-statistics of a series: the ratio of two estimates of its variance, near
// 1 where it is at rest. Source: Cao & Rhinehart, Journal of Process Control 5 (1995) 363,
// with filter factors 0.2, 0.1 and 0.1.
func ratios(x []float64) (r []float64) {
	const l1, l2, l3 = 0.2, 0.1, 0.1
	filtered, v2, d2 := x[0], 1.0, 2.0
	for i := 1; i < len(x); i++ {
		v2 = l2*(x[i]-filtered)*(x[i]-filtered) + (1-l2)*v2
		filtered = l1*x[i] + (1-l1)*filtered
		d2 = l3*(x[i]-x[i-1])*(x[i]-x[i-1]) + (1-l3)*d2
		r = append(r, (2-l1)*v2/d2)
	}
	return r
}

func quantile(x []float64, p float64) float64 {
	x = append([]float64(nil), x...)
	sort.Float64s(x)
	return x[int(p*float64(len(x)))]
}

// The statistic as an oracle from outside, with its reference figures: white noise has a
// median of 1.00 and 1.44, 1.73 and 2.20 at 95, 99 and 99.9 %; a ramp of a quarter of the
// noise per sample 2.44, of a half 6.1 (drawn beforehand by another program).
func TestRatioOfVariancesAgainstReference(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1995))
	series := func(slope float64) []float64 {
		x := make([]float64, 400_000)
		for i := range x {
			x[i] = slope*float64(i) + r.NormFloat64()
		}
		return ratios(x)[500:]
	}
	for _, tc := range []struct{ slope, p, want, tolerance float64 }{
		{0, 0.5, 1.00, 0.02}, {0, 0.95, 1.44, 0.02}, {0, 0.99, 1.73, 0.03}, {0, 0.999, 2.20, 0.07}, {0.25, 0.5, 2.44, 0.04}, {0.5, 0.5, 6.1, 0.1},
	} {
		if got := quantile(series(tc.slope), tc.p); math.Abs(got-tc.want) > tc.tolerance {
			t.Errorf("slope %g: quantile %g is %.2f, want %.2f", tc.slope, tc.p, got, tc.want)
		}
	}
}

// Where the statistic says rest, so do windows, and where it says motion, they find none.
// Superheat with noise of 0.3 K, sampled every 10 s: at rest, and rising by a quarter and a
// half of its noise from sample to sample (0.45 and 0.9 K/min).
func TestWindowsAgreeWithTheRatioOfVariances(t *testing.T) {
	for _, tc := range []struct {
		drift float64 // K/min
		rest  bool
	}{{0, true}, {0.45, false}, {0.9, false}} {
		c := tell(t, "every 10s\non 40m")
		r := rand.New(rand.NewPCG(7, 9))
		x := c.Values[cycle.Superheat]
		for i := range x {
			x[i] = 6 + tc.drift*float64(i)/6 + 0.3*r.NormFloat64()
		}
		_, windows := Cut(c, nil, Options{})
		full := 0
		for _, w := range windows {
			if w.Grade == Steady || w.Grade == Oscillating {
				full++
			}
		}
		median := quantile(ratios(x)[30:], 0.5)
		if (full > 0) != tc.rest || (median < 1.7) != tc.rest {
			t.Errorf("%g K/min: %d windows, median ratio %.2f; want rest %v of both", tc.drift, full, median, tc.rest)
		}
	}
}
