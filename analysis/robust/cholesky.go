package robust

import "math"

// A triangular is the lower triangle L of a small positive definite system L·Lᵀ, row by
// row. gonum's factorization works out a condition number too, which for a dozen
// unknowns takes longer than all the rest; Belief and Huber do without.
type triangular struct {
	n int
	l []float64 // row i from i(i+1)/2 on
}

func newTriangular(n int) triangular { return triangular{n, make([]float64, n*(n+1)/2)} }

// row is the part of a row up to its diagonal.
func (t triangular) row(i int) []float64 { return t.l[i*(i+1)/2 : (i+1)*(i+2)/2] }

// factorize replaces a symmetric matrix, whose lower triangle it holds, by its factor;
// not ok where that is not positive definite.
func (t triangular) factorize() bool { return t.factorizeRows(0, t.n) }

// factorizeRows does some rows, those before them being done.
func (t triangular) factorizeRows(from, to int) bool {
	for i := from; i < to; i++ {
		ri := t.row(i)
		for j := range i {
			rj := t.row(j)
			ri[j] = (ri[j] - dot(ri[:j], rj[:j])) / rj[j]
		}
		d := ri[i] - dot(ri[:i], ri[:i])
		if !(d > 0) {
			return false
		}
		ri[i] = math.Sqrt(d)
	}
	return true
}

// forward replaces b by L⁻¹·b.
func (t triangular) forward(b []float64) { t.forwardRows(0, t.n, b) }

// forwardRows does some rows, those before them being done.
func (t triangular) forwardRows(from, to int, b []float64) {
	for i := from; i < to; i++ {
		r := t.row(i)
		b[i] = (b[i] - dot(r[:i], b[:i])) / r[i]
	}
}

// solve replaces b by the solution of L·Lᵀ·x = b.
func (t triangular) solve(b []float64) {
	t.forward(b)
	t.backward(b)
}

// backward replaces b by L⁻ᵀ·b.
func (t triangular) backward(b []float64) {
	for i := t.n - 1; i >= 0; i-- {
		r := t.row(i)
		b[i] /= r[i]
		for j, v := range r[:i] {
			b[j] -= v * b[i]
		}
	}
}

// inverseDiagonal fills in the diagonal of the inverse of L·Lᵀ; spare is as long.
func (t triangular) inverseDiagonal(out, spare []float64) {
	for k := range t.n {
		for i := range k {
			spare[i] = 0
		}
		spare[k] = 1 / t.row(k)[k]
		out[k] = spare[k] * spare[k]
		for i := k + 1; i < t.n; i++ {
			r := t.row(i)
			spare[i] = -dot(r[k:i], spare[k:i]) / r[i]
			out[k] += spare[i] * spare[i]
		}
	}
}

// dot is the sum of products of two slices of one length.
func dot(a, b []float64) (s float64) {
	b = b[:len(a)]
	for i, v := range a {
		s += v * b[i]
	}
	return s
}
