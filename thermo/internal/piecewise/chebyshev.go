package piecewise

import "math"

// basis holds what fitting with n+1 Chebyshev points needs: the points and two
// matrices.
type basis struct {
	n       int
	points  []float64   // in [-1, 1]
	toCheb  [][]float64 // values at the points -> Chebyshev coefficients
	toPower [][]float64 // Chebyshev coefficients -> powers
}

func newBasis(n int) *basis {
	b := &basis{n: n}
	m := n + 1
	for k := range m {
		b.points = append(b.points, math.Cos(math.Pi*(float64(k)+0.5)/float64(m)))
	}
	for j := range m {
		row := make([]float64, m)
		scale := 2 / float64(m)
		if j == 0 {
			scale /= 2
		}
		for k := range m {
			row[k] = scale * math.Cos(math.Pi*float64(j)*(float64(k)+0.5)/float64(m))
		}
		b.toCheb = append(b.toCheb, row)
	}
	b.toPower = powerMatrix(m)
	return b
}

// powerMatrix has in column j the power coefficients of the Chebyshev
// polynomial T_j, from T_j+1 = 2*x*T_j - T_j-1.
func powerMatrix(m int) [][]float64 {
	t := make([][]float64, m) // t[j] = coefficients of T_j
	for j := range m {
		t[j] = make([]float64, m)
		switch j {
		case 0:
			t[j][0] = 1
		case 1:
			t[j][1] = 1
		default:
			for i := range m {
				if i > 0 {
					t[j][i] += 2 * t[j-1][i-1]
				}
				t[j][i] -= t[j-2][i]
			}
		}
	}
	out := make([][]float64, m)
	for i := range m {
		out[i] = make([]float64, m)
		for j := range m {
			out[i][j] = t[j][i]
		}
	}
	return out
}

// apply multiplies the matrix with v, read and written with a stride.
func apply(matrix [][]float64, v []float64, at, stride int, scratch []float64) {
	for i, row := range matrix {
		var sum float64
		for k, w := range row {
			sum += w * v[at+k*stride]
		}
		scratch[i] = sum
	}
	for i := range matrix {
		v[at+i*stride] = scratch[i]
	}
}
