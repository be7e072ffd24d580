package robust

import "math"

// A Gaussian is a normal distribution of several values about zero.
type Gaussian struct {
	factor triangular
	spare  []float64
	size   float64 // ln of the determinant
}

// NewGaussian has values that scatter by themselves, by their standard deviations, and
// along modes together: each mode is by how much it moves every value in one of its own
// standard deviations. It fails where a standard deviation is not above zero.
func NewGaussian(sd []float64, modes ...[]float64) (*Gaussian, error) {
	g := &Gaussian{factor: newTriangular(len(sd)), spare: make([]float64, len(sd))}
	for i, s := range sd {
		if !(s > 0) {
			return nil, ErrSingular
		}
		row := g.factor.row(i)
		row[i] = s * s
		for _, m := range modes {
			for j := range row {
				row[j] += m[i] * m[j]
			}
		}
	}
	if !g.factor.factorize() {
		return nil, ErrSingular
	}
	for i := range sd {
		g.size += 2 * math.Log(g.factor.row(i)[i])
	}
	return g, nil
}

// Surprise is -2 ln of the density at some values, but for n ln 2π: the smaller, the
// better the distribution explains them.
func (g *Gaussian) Surprise(x []float64) float64 {
	copy(g.spare, x)
	g.factor.forward(g.spare)
	return dot(g.spare, g.spare) + g.size
}
