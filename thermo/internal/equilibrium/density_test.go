package equilibrium

import (
	"math"
	"math/rand/v2"
	"testing"

	"rimelog/thermo/internal/mixture"
)

// TestSolve solves random systems and checks the residual; a singular one is
// told.
func TestSolve(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for n := 1; n <= 8; n++ {
		a, b := make([]float64, n*n), make([]float64, n)
		for i := range a {
			a[i] = (rng.Float64() - 0.5) * math.Pow(10, 6*rng.Float64()-3)
		}
		for i := range b {
			b[i] = rng.Float64()
		}
		work, x := append([]float64(nil), a...), append([]float64(nil), b...)
		if !solve(work, x) {
			t.Fatalf("%d unknowns: singular", n)
		}
		for i := range n {
			var sum, size float64
			for j := range n {
				sum += a[i*n+j] * x[j]
				size += math.Abs(a[i*n+j] * x[j])
			}
			if math.Abs(sum-b[i]) > 1e-12*(size+1) {
				t.Errorf("%d unknowns, row %d: residual %g", n, i, sum-b[i])
			}
		}
	}
	if solve([]float64{1, 2, 2, 4}, []float64{1, 1}) {
		t.Error("a singular system was solved")
	}
}

// TestDensity: the density of a gas and a liquid gives its pressure back.
func TestDensity(t *testing.T) {
	m, err := mixture.New("R32", "R125")
	if err != nil {
		t.Fatal(err)
	}
	ph := mixture.NewPhase(m)
	ph.At([]float64{0.7, 0.3}, 290)
	for _, c := range []struct{ p, lo, hi float64 }{{5e5, 20, 400}, {5e6, 12000, 20000}, {3e7, 12000, 25000}} {
		rho, err := Density(ph, c.p, c.lo, c.hi, c.lo)
		if err != nil {
			t.Errorf("%g Pa: %v", c.p, err)
			continue
		}
		if got, _ := ph.Pressure(rho); math.Abs(got/c.p-1) > 1e-10 {
			t.Errorf("%g Pa: density %g gives %g Pa", c.p, rho, got)
		}
	}
}
