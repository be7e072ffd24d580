package equilibrium

import "math"

// solve replaces b by the solution of a*x = b (a is n*n by rows, destroyed)
// with row scaling and partial pivoting. It reports whether a was regular.
func solve(a, b []float64) bool {
	n := len(b)
	for i := range n {
		var top float64
		for _, v := range a[i*n : i*n+n] {
			top = max(top, math.Abs(v))
		}
		if !(top > 0) || math.IsInf(top, 1) {
			return false
		}
		for j := range n {
			a[i*n+j] /= top
		}
		b[i] /= top
	}
	for k := range n {
		if !pivot(a, b, k) {
			return false
		}
		for i := k + 1; i < n; i++ {
			f := a[i*n+k] / a[k*n+k]
			for j := k; j < n; j++ {
				a[i*n+j] -= f * a[k*n+j]
			}
			b[i] -= f * b[k]
		}
	}
	for i := n - 1; i >= 0; i-- {
		for j := i + 1; j < n; j++ {
			b[i] -= a[i*n+j] * b[j]
		}
		b[i] /= a[i*n+i]
	}
	return true
}

// pivot swaps the row with the largest element of column k into place.
func pivot(a, b []float64, k int) bool {
	n := len(b)
	best := k
	for i := k + 1; i < n; i++ {
		if math.Abs(a[i*n+k]) > math.Abs(a[best*n+k]) {
			best = i
		}
	}
	if !(math.Abs(a[best*n+k]) > 0) {
		return false
	}
	if best != k {
		for j := range n {
			a[k*n+j], a[best*n+j] = a[best*n+j], a[k*n+j]
		}
		b[k], b[best] = b[best], b[k]
	}
	return true
}
