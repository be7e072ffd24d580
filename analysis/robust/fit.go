package robust

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
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
	f, err := solve(c[0], c[1:], true)
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

// Straight fits y = level + slope·t by least squares, which needs three points at two
// different t: the fit of two columns of which one is a constant, in closed form.
func Straight(t, y []float64) (level, slope float64, err error) {
	c, err := wholeRows("a straight line", 3, t, y)
	if err != nil {
		return math.NaN(), math.NaN(), err
	}
	level, slope = stat.LinearRegression(c[0], c[1], nil, false)
	if math.IsNaN(slope) || math.IsInf(slope, 0) {
		return math.NaN(), math.NaN(), ErrSingular
	}
	return level, slope, nil
}

// solve returns coefficients and residuals and, where spread is asked for, the
// standard deviations of the coefficients for residuals of unit variance.
func solve(y []float64, x [][]float64, spread bool) (Fit, error) {
	n, p := len(y), len(x)
	a, b, scale := design(y, x)
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

// design is the problem with each column divided by its length.
func design(y []float64, x [][]float64) (a *mat.Dense, b *mat.VecDense, scale []float64) {
	n := len(y)
	a, b = mat.NewDense(n, len(x), nil), mat.NewVecDense(n, nil)
	scale = make([]float64, len(x))
	for i := range n {
		b.SetVec(i, y[i])
		for k, col := range x {
			a.Set(i, k, col[i])
			scale[k] += col[i] * col[i]
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

// huberK is where a residual begins to count less, in standard deviations: 95 %
// efficient on normal noise. Source: Huber, Robust Statistics (1981), ch. 7.
const huberK = 1.345

// Huber fits y by the columns x so that values far off count less: iterated
// weighted least squares with Huber's weights and the scale from the median
// absolute residual (Huber 1981, ch. 7). SD is not given. It needs more rows
// than columns.
//
// The columns are made orthonormal once; each round then solves a small system
// between them, which the weights, 0 to 1, leave well conditioned.
func Huber(y []float64, x ...[]float64) (Fit, error) {
	c, err := wholeRows("a Huber fit", len(x)+1, append([][]float64{y}, x...)...)
	if err != nil {
		return Fit{}, err
	}
	h, ok := newHuber(c[0], c[1:])
	if !ok {
		return Fit{}, ErrSingular
	}
	for k := range 100 {
		if !h.round() {
			return Fit{}, ErrSingular
		}
		if k > 0 && near(h.before, h.coef) || h.scale == 0 {
			break
		}
		h.weigh()
	}
	return h.fit(c[1:]), nil
}

// A huber is such a fit on its way, in coordinates of the orthonormal columns.
type huber struct {
	y, rest, weight, each, spare []float64
	basis                        [][]float64
	before, coef                 []float64
	scale                        float64
	factor                       triangular
}

// newHuber is not ok where a column is nothing but others.
func newHuber(y []float64, x [][]float64) (*huber, bool) {
	n, p := len(y), len(x)
	space := make([]float64, 4*n+2*p)
	take := func(k int) []float64 {
		part := space[:k:k]
		space = space[k:]
		return part
	}
	h := &huber{y: y, rest: take(n), weight: take(n), each: take(n), spare: take(n), before: take(p), coef: take(p), factor: newTriangular(p)}
	for i := range h.weight {
		h.weight[i] = 1
	}
	var ok bool
	h.basis, ok = orthonormal(nil, x)
	return h, ok
}

// dependent is the share of its length below which what others leave of a column is
// rounding.
const dependent = 1e-13

// orthonormal adds columns to an orthonormal basis, by Gram and Schmidt; not ok where one
// is nothing but others.
func orthonormal(basis, x [][]float64) ([][]float64, bool) {
	basis = append(make([][]float64, 0, len(basis)+len(x)), basis...)
	own := slices.Concat(x...)
	for _, col := range x {
		q := own[:len(col):len(col)]
		own = own[len(col):]
		before := norm(q)
		orthogonal(q, basis)
		orthogonal(q, basis) // again for the sake of rounding
		l := norm(q)
		if l <= dependent*before {
			return basis, false
		}
		for i := range q {
			q[i] /= l
		}
		basis = append(basis, q)
	}
	return basis, true
}

// orthogonal takes orthonormal columns out of another.
func orthogonal(v []float64, basis [][]float64) {
	for _, b := range basis {
		along := dot(b, v)
		for i, w := range b {
			v[i] -= along * w
		}
	}
}

// round solves for the coefficients under the weights.
func (h *huber) round() bool {
	copy(h.before, h.coef)
	for k, col := range h.basis {
		for i, w := range h.weight {
			h.each[i] = w * col[i]
		}
		h.coef[k] = dot(h.each, h.y)
		row := h.factor.row(k)
		for j, other := range h.basis[:k+1] {
			row[j] = dot(h.each, other)
		}
	}
	if !h.factor.factorize() {
		return false
	}
	h.factor.solve(h.coef)
	copy(h.rest, h.y)
	for k, col := range h.basis {
		for i, v := range col {
			h.rest[i] -= h.coef[k] * v
		}
	}
	for i, r := range h.rest {
		h.spare[i] = math.Abs(r)
	}
	slices.Sort(h.spare)
	h.scale = normalMAD * middle(h.spare)
	return true
}

// weigh gives the values Huber's weights.
func (h *huber) weigh() {
	for i, r := range h.rest {
		h.weight[i] = min(1, huberK*h.scale/math.Abs(r))
	}
}

// fit is what came out, in terms of the columns that were given: each is the sum of the
// basis up to it.
func (h *huber) fit(x [][]float64) Fit {
	f := Fit{Coefficients: slices.Clone(h.coef), Residuals: h.rest, Scale: h.scale, N: len(h.y)}
	for k := len(x) - 1; k >= 0; k-- {
		f.Coefficients[k] /= dot(h.basis[k], x[k])
		for j, q := range h.basis[:k] {
			f.Coefficients[j] -= f.Coefficients[k] * dot(q, x[k])
		}
	}
	return f
}

// near tells whether no coefficient moved by more than a millionth of all.
func near(a, b []float64) bool {
	all := norm(b)
	for k := range a {
		if math.Abs(a[k]-b[k]) > 1e-6*all {
			return false
		}
	}
	return true
}
