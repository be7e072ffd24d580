package robust

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// A Fit is y = Σ Coefficients[k]·x[k], with no constant unless a column is one.
type Fit struct {
	Coefficients []float64
	SD           []float64 // standard deviations of the coefficients
	Scale        float64   // standard deviation of the residuals
	Residuals    []float64 // of the rows used, in order
	N            int       // rows used
}

// LeastSquares fits y by the columns x, by Householder QR of the columns scaled
// to unit length (normal equations would lose half of the digits). It needs more
// rows than columns.
func LeastSquares(y []float64, x ...[]float64) (Fit, error) {
	c, err := rows("least squares", len(x)+1, append([][]float64{y}, x...)...)
	if err != nil {
		return Fit{}, err
	}
	f, err := solve(c[0], c[1:], nil, true)
	if err != nil {
		return Fit{}, err
	}
	ss := 0.0
	for _, r := range f.Residuals {
		ss += r * r
	}
	f.Scale = math.Sqrt(ss / float64(f.N-len(x)))
	for k := range f.SD {
		f.SD[k] *= f.Scale
	}
	return f, nil
}

// solve returns coefficients and residuals and, where spread is asked for, the
// standard deviations of the coefficients for residuals of unit variance. Weights
// may be nil.
func solve(y []float64, x [][]float64, weight []float64, spread bool) (Fit, error) {
	n, p := len(y), len(x)
	a, b, scale := design(y, x, weight)
	var qr mat.QR
	qr.Factorize(a)
	r, err := triangle(&qr, p)
	if err != nil {
		return Fit{}, err
	}
	var beta mat.VecDense
	if err := qr.SolveVecTo(&beta, false, b); err != nil {
		return Fit{}, fmt.Errorf("%w: %w", ErrSingular, err)
	}
	f := Fit{Coefficients: make([]float64, p), Residuals: append([]float64(nil), y...), N: n}
	for k := range p {
		f.Coefficients[k] = beta.AtVec(k) / scale[k]
		for i := range n {
			f.Residuals[i] -= f.Coefficients[k] * x[k][i]
		}
	}
	if spread {
		f.SD, err = unitSD(r, scale)
	}
	return f, err
}

// rankTolerance is how small a diagonal element of R may be against the largest
// before the columns count as dependent. Filip's polynomial, the hardest of the
// certified problems, lies well above.
const rankTolerance = 1e-13

// triangle is the R of a factorization, refused where columns depend on each other.
func triangle(qr *mat.QR, p int) (*mat.TriDense, error) {
	var full mat.Dense
	qr.RTo(&full)
	r := mat.NewTriDense(p, mat.Upper, nil)
	largest := 0.0
	for i := range p {
		largest = max(largest, math.Abs(full.At(i, i)))
		for j := i; j < p; j++ {
			r.SetTri(i, j, full.At(i, j))
		}
	}
	for i := range p {
		if math.Abs(r.At(i, i)) < rankTolerance*largest {
			return nil, ErrSingular
		}
	}
	return r, nil
}

// unitSD is the root of the diagonal of (XᵀX)⁻¹, from R.
func unitSD(r *mat.TriDense, scale []float64) ([]float64, error) {
	var inverse mat.TriDense
	if err := inverse.InverseTri(r); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrSingular, err)
	}
	sd := make([]float64, len(scale))
	for k := range sd {
		for j := k; j < len(sd); j++ {
			sd[k] = math.Hypot(sd[k], inverse.At(k, j)/scale[k])
		}
	}
	return sd, nil
}

// design is the weighted problem with each column divided by its length.
func design(y []float64, x [][]float64, weight []float64) (a *mat.Dense, b *mat.VecDense, scale []float64) {
	n := len(y)
	a, b = mat.NewDense(n, len(x), nil), mat.NewVecDense(n, nil)
	scale = make([]float64, len(x))
	for i := range n {
		w := root(weight, i)
		b.SetVec(i, y[i]*w)
		for k, col := range x {
			a.Set(i, k, col[i]*w)
			scale[k] += col[i] * w * col[i] * w
		}
	}
	for k := range scale {
		if scale[k] = math.Sqrt(scale[k]); scale[k] == 0 {
			scale[k] = 1
		}
		for i := range n {
			a.Set(i, k, a.At(i, k)/scale[k])
		}
	}
	return a, b, scale
}

func root(weight []float64, i int) float64 {
	if weight == nil {
		return 1
	}
	return math.Sqrt(weight[i])
}

// huberK is where a residual begins to count less, in standard deviations: 95 %
// efficient on normal noise. Source: Huber, Robust Statistics (1981), ch. 7.
const huberK = 1.345

// Huber fits y by the columns x so that values far off count less: iterated
// weighted least squares with Huber's weights and the scale from the median
// absolute residual (Huber 1981, ch. 7). SD is not given. It needs more rows
// than columns.
func Huber(y []float64, x ...[]float64) (Fit, error) {
	c, err := rows("a Huber fit", len(x)+1, append([][]float64{y}, x...)...)
	if err != nil {
		return Fit{}, err
	}
	var f Fit
	var weight []float64
	for range 100 {
		g, err := solve(c[0], c[1:], weight, false)
		if err != nil {
			return Fit{}, err
		}
		g.Scale = absoluteScale(g.Residuals)
		done := f.Coefficients != nil && near(f.Coefficients, g.Coefficients)
		f = g
		if done || f.Scale == 0 {
			break
		}
		weight = huberWeights(f.Residuals, f.Scale)
	}
	return f, nil
}

func absoluteScale(residuals []float64) float64 {
	dev := make([]float64, len(residuals))
	for i, r := range residuals {
		dev[i] = math.Abs(r)
	}
	m, _ := Median(dev)
	return normalMAD * m
}

func huberWeights(residuals []float64, scale float64) []float64 {
	w := make([]float64, len(residuals))
	for i, r := range residuals {
		w[i] = min(1, huberK*scale/math.Abs(r))
	}
	return w
}

func near(a, b []float64) bool {
	for k := range a {
		if math.Abs(a[k]-b[k]) > 1e-6*(math.Abs(a[k])+math.Abs(b[k])+1e-6) {
			return false
		}
	}
	return true
}
