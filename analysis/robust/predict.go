package robust

import (
	"fmt"

	"gonum.org/v1/gonum/mat"
)

// Weights returns how much each y of a least squares fit by the columns x counts
// for Σ at[k]·Coefficients[k], such as the fit's value at a new row, or the sum of
// many: that value is Σ w[i]·y[i]. Whatever the covariance of the y, the variance
// of the value follows from the weights. They are the shortest w with
// Σ w[i]·x[k][i] = at[k], by Householder QR. Columns must have no gaps.
func Weights(at []float64, x ...[]float64) ([]float64, error) {
	if len(at) != len(x) {
		panic("robust: slices of different lengths")
	}
	a, _, scale := design(make([]float64, len(x[0])), x)
	b := mat.NewVecDense(len(at), nil)
	for k, v := range at {
		b.SetVec(k, v/scale[k])
	}
	var qr mat.QR
	qr.Factorize(a)
	if _, err := triangle(&qr, len(x)); err != nil {
		return nil, err
	}
	var w mat.VecDense
	if err := qr.SolveVecTo(&w, true, b); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrSingular, err)
	}
	return w.RawVector().Data, nil
}
