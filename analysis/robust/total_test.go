package robust

import (
	"math"
	"testing"
)

// normals is a total of normal distributions.
func normals(of ...told) Total {
	t := Total{of: of, lo: -1000, hi: 1000, widen: func(float64) float64 { return 1 }}
	return t
}

// One normal distribution has the quantiles of any table: 1.6449 standard deviations hold 90 %.
// Two alike, far apart, have theirs at the means where a quarter and three quarters lie below,
// and the middle between them. A far one of little weight leaves the interval of the other
// nearly as it was, where the mean's standard uncertainty would have grown to five times.
func TestTotalHasTheQuantilesOfItsWays(t *testing.T) {
	near := func(what string, got, want, within float64) {
		t.Helper()
		if math.Abs(got-want) > within {
			t.Errorf("%s: %.4f, want %.4f", what, got, want)
		}
	}
	lo, mid, hi := normals(told{1, 5, 2}).Interval(0.90)
	near("low", lo, 5-2*1.6449, 1e-3)
	near("median", mid, 5, 1e-9)
	near("high", hi, 5+2*1.6449, 1e-3)
	two := normals(told{0.5, -30, 1}, told{0.5, 30, 1})
	near("quarter", two.Quantile(0.25), -30, 1e-6)
	near("three quarters", two.Quantile(0.75), 30, 1e-6)
	if m := two.Quantile(0.5); math.Abs(m) > 25 {
		t.Errorf("median %.1f, want it between the two", m)
	}
	lo, mid, hi = normals(told{0.99, 0, 1}, told{0.01, 50, 1}).Interval(0.90)
	near("low beside a far one", lo, -1.6, 0.1)
	near("median beside a far one", mid, 0, 0.02)
	near("high beside a far one", hi, 1.75, 0.1)
}

// A fit's total of few values is as much wider than a normal one as Student's is: with 8
// values on a line and 2 coefficients, 6 degrees of freedom, 1.9432 over 1.6449 at 90 %.
func TestTotalIsStudents(t *testing.T) {
	y, at, one, x := []float64{1, -1, 1, -1, -1, 1, -1, 1}, []int{0, 1000, 2000, 3000, 4000, 5000, 6000, 7000}, []float64{}, []float64{}
	for i := range y {
		one, x = append(one, 1), append(x, float64(i)-3.5)
	}
	models, err := NewMixed(y, at, [][]float64{one, x}).Fit(Design{Fixed: []int{0, 1}})
	if err != nil {
		t.Fatal(err)
	}
	models[0].DF = 6
	_, u := models[0].Sum([]float64{8, 0})
	lo, mid, hi := models[0].Total([]float64{8, 0}, 0).Interval(0.90)
	if math.Abs(mid) > 1e-6 || math.Abs(hi-1.9432*u) > 0.002*u || math.Abs(lo+1.9432*u) > 0.002*u {
		t.Errorf("%.3f (%.3f to %.3f) with u %.3f", mid, lo, hi, u)
	}
}
