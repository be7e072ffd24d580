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
