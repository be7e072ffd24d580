package robust

import (
	"math"
	"testing"
)

// -2 ln of the density of a normal distribution is (x²/σ²) + ln σ² for one value; for two
// with standard deviations a, b and correlation ρ it is (x²/a² - 2ρxy/(ab) + y²/b²)/(1-ρ²)
// + ln(a²b²(1-ρ²)), each but for ln 2π. Source: any text on the bivariate normal.
func TestSurpriseOfANormalDistribution(t *testing.T) {
	one, err := NewGaussian([]float64{2})
	if err != nil {
		t.Fatal(err)
	}
	if got, want := one.Surprise([]float64{3}), 9.0/4+math.Log(4); math.Abs(got-want) > 1e-12 {
		t.Errorf("one value: %g, want %g", got, want)
	}
	two, err := NewGaussian([]float64{1, 2}, []float64{3, -1})
	if err != nil {
		t.Fatal(err)
	}
	a2, b2, ab := 1.0+9, 4.0+1, -3.0
	rho := ab / math.Sqrt(a2*b2)
	x, y := 1.5, 0.7
	want := (x*x/a2-2*rho*x*y/math.Sqrt(a2*b2)+y*y/b2)/(1-rho*rho) + math.Log(a2*b2*(1-rho*rho))
	if got := two.Surprise([]float64{x, y}); math.Abs(got-want) > 1e-12 {
		t.Errorf("two values: %g, want %g", got, want)
	}
	if _, err := NewGaussian([]float64{1, 0}); err == nil {
		t.Error("no scatter at all is no distribution")
	}
}

// Moved is the integral of the density over all sizes: summed here over ten thousand of them.
// A size of one value is exact, too.
func TestSurpriseOfWhatMoved(t *testing.T) {
	g, err := NewGaussian([]float64{1, 0.5, 2}, []float64{0.3, -0.2, 1})
	if err != nil {
		t.Fatal(err)
	}
	along := []float64{1, -0.7, 0.2}
	for _, x := range [][]float64{{3, -2, 1}, {0, 0, 0}, {-4, 1, 2}, {30, -20, 5}} {
		const n = 10000
		from, to := 1.5, 9.0
		least, sum, rest := math.Inf(1), 0.0, make([]float64, 3)
		all := make([]float64, n)
		for k := range all {
			d := from + (to-from)*(float64(k)+0.5)/n
			for i := range rest {
				rest[i] = x[i] - d*along[i]
			}
			all[k] = g.Surprise(rest)
			least = math.Min(least, all[k])
		}
		for _, s := range all {
			sum += math.Exp(-(s-least)/2) / n
		}
		want := least - 2*math.Log(sum)
		if got, size := g.Moved(x, along, from, to); math.Abs(got-want) > 1e-3*math.Abs(want) || size < from || size > to {
			t.Errorf("%v: surprise %g, want %g; size %g", x, got, want, size)
		}
		for i := range rest {
			rest[i] = x[i] - 2*along[i]
		}
		if got, _ := g.Moved(x, along, 2, 2); math.Abs(got-g.Surprise(rest)) > 1e-9 {
			t.Errorf("%v: one size: %g, want %g", x, got, g.Surprise(rest))
		}
	}
}
