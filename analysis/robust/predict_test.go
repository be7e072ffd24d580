package robust

import (
	"math"
	"testing"
)

// The weights give the fit's own value, and for independent values its textbook
// variance: for a line, s²(1/n + (x-x̄)²/Σ(x-x̄)²) (Draper and Smith, Applied
// Regression Analysis, 3rd edition, eq. 3.1.5).
func TestWeightsOfALine(t *testing.T) {
	x := []float64{1, 2, 4, 7, 11}
	y := []float64{2.1, 2.9, 5.2, 8, 11.7}
	one := []float64{1, 1, 1, 1, 1}
	f, err := LeastSquares(y, one, x)
	if err != nil {
		t.Fatal(err)
	}
	w, err := Weights([]float64{1, 6}, one, x)
	if err != nil {
		t.Fatal(err)
	}
	var value, square, sxx float64
	for i := range w {
		value, square, sxx = value+w[i]*y[i], square+w[i]*w[i], sxx+(x[i]-5)*(x[i]-5)
	}
	if want := f.Coefficients[0] + 6*f.Coefficients[1]; math.Abs(value-want) > 1e-12 {
		t.Errorf("value %v, want %v", value, want)
	}
	if want := 1.0/5 + 1/sxx; math.Abs(square-want) > 1e-12 {
		t.Errorf("variance for unit variance %v, want %v", square, want)
	}
	if _, err := Weights([]float64{1, 1}, one, one); err == nil {
		t.Error("equal columns are told apart")
	}
}
