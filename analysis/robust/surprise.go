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

// Moved is how surprising values are that something moved, besides their scatter, by some
// size between from and to times a row, each size as likely as the next; and the likeliest
// size. The integral over sizes is that of a normal density along the row.
func (g *Gaussian) Moved(x, along []float64, from, to float64) (surprise, size float64) {
	rest := g.measured(along)
	own := dot(rest, rest)
	copy(g.spare, x)
	g.factor.forward(g.spare)
	all := dot(g.spare, g.spare)
	if own == 0 {
		return all + g.size, from
	}
	most := dot(g.spare, rest) / own
	size = math.Min(math.Max(most, from), to)
	least := all - most*most*own + g.size
	if to <= from {
		return least + own*(from-most)*(from-most), from
	}
	s := math.Sqrt(own)
	within := normalBetween((from-most)*s, (to-most)*s)
	return least - 2*math.Log(math.Sqrt(2*math.Pi)/s/(to-from)*within), size
}

// measured is a row in the distribution's own measure.
func (g *Gaussian) measured(row []float64) []float64 {
	out := append([]float64(nil), row...)
	g.factor.forward(out)
	return out
}

// normalBetween is the chance of a standard normal value between a and b.
func normalBetween(a, b float64) float64 {
	if a > 0 {
		a, b = -b, -a // where the differences are exact
	}
	return (math.Erfc(-b/math.Sqrt2) - math.Erfc(-a/math.Sqrt2)) / 2
}
