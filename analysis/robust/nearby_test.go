package robust

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// What values nearby say of a column is the least squares of a level, a line and the column, as
// gonum's QR decomposition has it; what lies outside makes no difference.
func TestNearbyIsLeastSquaresBesideALine(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	const n, from, to = 40, 8, 30
	x, col, y, level := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		x[i], level[i], y[i] = float64(i)/10, 1, rng.NormFloat64()
		if i >= 17 {
			col[i] = 1 + rng.Float64()
		}
	}
	e, err := Belief{Y: y, Columns: [][]float64{level}, Mean: []float64{0}, SD: []float64{1}, Scatter: 1e-3, ScatterWeight: 1e-3, Wild: 0.01, WildSD: 10}.Fit()
	if err != nil {
		t.Fatal(err)
	}
	a, b := mat.NewDense(to-from, 3, nil), mat.NewVecDense(to-from, nil)
	for i := from; i < to; i++ {
		a.SetRow(i-from, []float64{1, x[i], col[i]})
		b.SetVec(i-from, e.Residual[i])
	}
	var want mat.VecDense
	if err := want.SolveVec(a, b); err != nil {
		t.Fatal(err)
	}
	if got := e.Nearby(x, col, from, to); math.Abs(got.Coef-want.AtVec(2)) > 1e-9 || !(got.SD > 0) {
		t.Errorf("coefficient %v ± %v, want %v", got.Coef, got.SD, want.AtVec(2))
	}
	if got := e.Nearby(x, level, from, to); got != (Change{}) {
		t.Errorf("of a column that does not vary: %v, want nothing", got)
	}
	if got := e.Nearby(x, col, 16, 19); got != (Change{}) {
		t.Errorf("of three values: %v, want nothing", got)
	}
}
