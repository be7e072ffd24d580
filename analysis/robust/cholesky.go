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

// factorizeRows does some rows, those before them being done: four at a time as far as
// they do not rest on each other.
func (t triangular) factorizeRows(from, to int) bool {
	for ; from+4 <= to; from += 4 {
		a, b, c, d := t.row(from), t.row(from+1), t.row(from+2), t.row(from+3)
		for j := range from {
			r := t.row(j)
			s, t, u, w := dot4(r[:j], a, b, c, d)
			a[j], b[j], c[j], d[j] = (a[j]-s)/r[j], (b[j]-t)/r[j], (c[j]-u)/r[j], (d[j]-w)/r[j]
		}
		for i := from; i < from+4; i++ {
			if !t.factorizeRow(i, from) {
				return false
			}
		}
	}
	for ; from < to; from++ {
		if !t.factorizeRow(from, 0) {
			return false
		}
	}
	return true
}

// factorizeRow does a row from a column on, all before it being done.
func (t triangular) factorizeRow(i, from int) bool {
	ri := t.row(i)
	for j := from; j < i; j++ {
		rj := t.row(j)
		ri[j] = (ri[j] - dot(ri[:j], rj[:j])) / rj[j]
	}
	d := ri[i] - dot(ri[:i], ri[:i])
	if !(d > 0) {
		return false
	}
	ri[i] = math.Sqrt(d)
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

// forward4 does so for four at once.
func (t triangular) forward4(a, b, c, d []float64) {
	for i := range t.n {
		r := t.row(i)
		s, t, u, w := dot4(r[:i], a, b, c, d)
		a[i], b[i], c[i], d[i] = (a[i]-s)/r[i], (b[i]-t)/r[i], (c[i]-u)/r[i], (d[i]-w)/r[i]
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

// inverseDiagonal fills in the diagonal of the inverse of L·Lᵀ; spare is four times as long.
func (t triangular) inverseDiagonal(out, spare []float64) {
	for k := 0; k < t.n; k += 4 {
		t.inverseColumns(k, min(t.n, k+4), out, spare)
	}
}

// inverseColumns does up to four columns of L⁻¹, and sums up their squares.
func (t triangular) inverseColumns(from, to int, out, spare []float64) {
	n := t.n
	for k := from; k < to; k++ {
		col := spare[(k-from)*n:][:n]
		clear(col[from:k])
		col[k] = 1 / t.row(k)[k]
		out[k] = col[k] * col[k]
		for i := k + 1; i < to; i++ {
			r := t.row(i)
			col[i] = -dot(r[k:i], col[k:i]) / r[i]
			out[k] += col[i] * col[i]
		}
	}
	a, b, c, d := spare[:n], spare[n:2*n], spare[2*n:3*n], spare[3*n:4*n]
	for i := to; i < n; i++ {
		r := t.row(i)
		s, u, v, w := dot4(r[from:i], a[from:], b[from:], c[from:], d[from:])
		a[i], b[i], c[i], d[i] = -s/r[i], -u/r[i], -v/r[i], -w/r[i]
		out[from] += a[i] * a[i]
		out[from+1] += b[i] * b[i]
		out[from+2] += c[i] * c[i]
		out[from+3] += d[i] * d[i]
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

// dot4 is the sums of products of a slice with each of four, which may be longer: a sum waits
// for the one before it, so that four take little longer than one. Each comes out as by dot.
func dot4(a, b, c, d, e []float64) (s, t, u, w float64) {
	n := len(a)
	b, c, d, e = b[:n], c[:n], d[:n], e[:n]
	for i, v := range a {
		s += v * b[i]
		t += v * c[i]
		u += v * d[i]
		w += v * e[i]
	}
	return s, t, u, w
}
