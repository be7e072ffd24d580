package robust

import "math"

// A gram holds a series made independent of itself for some autocorrelation, and the sums
// of products of columns made so as they are asked for.
type gram struct {
	rho        float64
	kept, sd   []float64 // of each value: what the one before foretells of it, and the rest
	y          []float64
	square     float64 // of the values
	whitenings float64 // Σ log of the residuals' variances
	white      [][]float64
	rows       []extent  // of the columns: none of them lies outside
	with       []float64 // of the columns with the values
	products   []float64 // of two columns; NaN: not asked for yet
}

// newGram takes from each value what the one before foretells of it.
func newGram(rho float64, y []float64, at []int, columns int) gram {
	g := gram{
		rho: rho, kept: make([]float64, len(y)), sd: make([]float64, len(y)),
		white: make([][]float64, columns), rows: make([]extent, columns), with: make([]float64, columns), products: make([]float64, columns*columns),
	}
	for i := range y {
		left := 1.0
		if i > 0 {
			g.kept[i] = math.Pow(rho, float64(at[i]-at[i-1])) // a whole number of steps: rho may be below 0
			left = 1 - g.kept[i]*g.kept[i]
		}
		g.sd[i] = math.Sqrt(left)
		g.whitenings += math.Log(left)
	}
	g.y = g.whiten(y)
	g.square = dot(g.y, g.y)
	for i := range g.products {
		g.products[i] = math.NaN()
	}
	return g
}

func (g *gram) whiten(c []float64) []float64 {
	out := make([]float64, len(c))
	last := 0.0
	for i, v := range c {
		out[i] = (v - g.kept[i]*last) / g.sd[i]
		last = v
	}
	return out
}

// product is the sum of products of two columns.
func (g *gram) product(m *Mixed, a, b int) float64 {
	p := g.place(a, b)
	if math.IsNaN(*p) {
		x, y := g.column(m, a), g.column(m, b)
		both := g.rows[a].and(g.rows[b])
		*p = dot(x[both.from:both.to], y[both.from:both.to])
	}
	return *p
}

// place is where the product of two columns is kept.
func (g *gram) place(a, b int) *float64 { return &g.products[max(a, b)*len(g.white)+min(a, b)] }

// multiply works out the products of a column with others that nobody asked for yet, as far
// as four of them can be summed at a time.
func (g *gram) multiply(m *Mixed, a int, others []int) {
	var fresh [4]int
	n := 0
	for _, b := range others {
		if !math.IsNaN(*g.place(a, b)) {
			continue
		}
		fresh[n], n = b, n+1
		if n == len(fresh) {
			x, y := g.column(m, a), [4][]float64{}
			var any extent
			for i, b := range fresh {
				y[i], any = g.column(m, b), any.or(g.rows[b])
			}
			both := any.and(g.rows[a])
			s, t, u, w := dot4(x[both.from:both.to], y[0][both.from:], y[1][both.from:], y[2][both.from:], y[3][both.from:])
			*g.place(a, fresh[0]), *g.place(a, fresh[1]), *g.place(a, fresh[2]), *g.place(a, fresh[3]) = s, t, u, w
			n = 0
		}
	}
}

// column is a column made independent of itself.
func (g *gram) column(m *Mixed, k int) []float64 {
	if g.white[k] == nil {
		g.white[k] = g.whiten(m.columns[k])
		g.rows[k] = extentOf(g.white[k])
		g.with[k] = dot(g.white[k], g.y)
	}
	return g.white[k]
}

// An extent is the rows of a column from the first that is not 0 to the last: a fault that came
// some weeks before its repair says nothing of the days before and after, and sums of products
// need not go through these. They are the same to the last bit.
type extent struct{ from, to int }

func extentOf(c []float64) (e extent) {
	for e.to = len(c); e.to > 0 && c[e.to-1] == 0; e.to-- {
	}
	for e.from < e.to && c[e.from] == 0 {
		e.from++
	}
	return e
}

// and is where both are.
func (e extent) and(o extent) extent {
	from := max(e.from, o.from)
	return extent{from, max(from, min(e.to, o.to))}
}

// or is from the first of any to the last.
func (e extent) or(o extent) extent {
	if e.from == e.to {
		return o
	}
	if o.from == o.to {
		return e
	}
	return extent{min(e.from, o.from), max(e.to, o.to)}
}

// A part is the sums of a gram that a design needs.
type part struct {
	gram     *gram
	products triangular
	with     []float64
}

func (m *Mixed) partOf(g *gram, columns []int) part {
	p := part{gram: g, products: newTriangular(len(columns)), with: make([]float64, len(columns))}
	for i, a := range columns {
		sums := p.products.row(i)
		g.multiply(m, a, columns[:i+1])
		for j := range sums {
			sums[j] = g.product(m, a, columns[j])
		}
		p.with[i] = g.with[a]
	}
	return p
}

// rows adds some columns of a way under its scales to what was fitted of those before them;
// the first columns are fixed. Not ok where columns depend on each other.
func (p part) rows(w *way, from, to, fixed int) bool {
	for i := from; i < to; i++ {
		row, sums := w.factor.row(i), p.products.row(i)
		for j := range row {
			row[j] = sums[j] * w.scale[i] * w.scale[j]
		}
		if i >= fixed {
			row[i]++
		}
		w.coef[i] = p.with[i] * w.scale[i]
	}
	if !w.factor.factorizeRows(from, to) {
		return false
	}
	w.factor.forwardRows(from, to, w.coef)
	return true
}

// height says how likely a way is, when all its columns are in: the logarithm of the
// restricted likelihood.
func (p part) height(w *way, fixed int) float64 {
	free := float64(len(p.gram.y) - fixed)
	w.variance = math.Max(p.gram.square-dot(w.coef, w.coef), 1e-12*p.gram.square) / free
	determinant := 0.0
	for i := range w.coef {
		determinant += 2 * math.Log(w.factor.row(i)[i])
	}
	return -(free*math.Log(w.variance) + determinant + p.gram.whitenings) / 2
}
