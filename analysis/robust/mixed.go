package robust

import "math"

// A Mixed is a linear model of a series for which nobody knows beforehand how far the
// values may wander from a plain form. Of the coefficients of its fixed columns nothing
// is believed; of those of its loose ones nearly nothing, so that designs with other loose
// columns can be held against each other. The coefficients of the columns of a bundle are believed to be normal
// about 0 with one standard deviation, which the values tell. What is left over follows
// itself as a first-order process does. Slices must have no gaps, and At must rise.
type Mixed struct {
	Y       []float64
	At      []int // steps at which the values are; n steps apart residuals are correlated by ρ^n
	Fixed   [][]float64
	Loose   [][]float64
	Bundles [][][]float64 // bundles of columns
}

// A Mixture is what the values made of a Mixed: each way to part them between bundles and
// residuals, with its weight.
type Mixture struct {
	ways   []way
	height float64 // logarithm of the likelihood over all ways, apart from a constant
	Rho    float64 // mean autocorrelation of the residuals from one step to the next
	DF     int     // degrees of freedom of the residuals, for independent values
}

// A way is a model with given autocorrelation and given spreads of the bundles.
type way struct {
	weight, rho float64
	variance    float64 // of a residual
	coef        []float64
	scale       []float64 // of the columns
	factor      triangular
}

// Ways that are tried: autocorrelations, and spreads of the bundles as multiples of the
// residuals' standard deviation.
const (
	leastRho, rhoStep, rhoSteps = -0.4, 0.2, 7
	leastSpread                 = 0.03
	spreadSteps                 = 7 // half decades
	looseSpread                 = 100.0
)

// FitMixed tries all ways on a grid and weighs each by its restricted likelihood (Patterson
// & Thompson, Biometrika 58 (1971) 545). Beforehand all autocorrelations are held to be as
// likely, a bundle to be nothing as likely as something, and then all logarithms of its
// spread. Penalized splines as such models: Ruppert, Wand & Carroll, Semiparametric
// Regression (2003), chapter 4; both from memory.
func FitMixed(m Mixed) (*Mixture, error) {
	if need := len(m.Fixed) + 2; len(m.Y) < need {
		return nil, &TooFewError{What: "a mixed model", Need: need, Have: len(m.Y)}
	}
	spreads := []float64{0}
	for k := range spreadSteps {
		spreads = append(spreads, leastSpread*math.Pow(10, float64(k)/2))
	}
	var x Mixture
	var heights []float64
	columns, sizes := m.columns()
	for k := range rhoSteps {
		g := m.gramAt(leastRho+float64(k)*rhoStep, columns)
		each(len(m.Bundles), spreads, nil, func(chosen []float64) {
			if w, height, ok := g.way(len(m.Fixed), m.scales(chosen, sizes)); ok {
				x.ways, heights = append(x.ways, w), append(heights, height+beforehand(chosen))
			}
		})
	}
	if len(x.ways) == 0 {
		return nil, ErrSingular
	}
	x.weigh(heights)
	x.DF = max(1, int(float64(len(m.Y))*(1-x.Rho)/(1+x.Rho))-len(m.Fixed))
	return &x, nil
}

// Pool is the mixture of several designs of the same values and fixed columns. Beforehand a
// plain one is held to be as likely as all others together, and these are alike. Their
// likelihoods count to the power of trust, 0 to 1: where all designs are known to be wrong
// in places, differences between them say less than they seem to, and 1 would soon leave
// one of them only (power likelihoods: Grünwald & van Ommen, Bayesian Analysis 12 (2017)
// 1069, from memory).
func Pool(trust float64, plain *Mixture, others ...*Mixture) *Mixture {
	top := plain.height
	for _, d := range others {
		top = math.Max(top, d.height)
	}
	var x Mixture
	var total, df float64
	add := func(d *Mixture, prior float64) {
		weight := prior * math.Exp(trust*(d.height-top))
		for _, w := range d.ways {
			w.weight *= weight
			x.ways = append(x.ways, w)
		}
		total, x.Rho, df = total+weight, x.Rho+weight*d.Rho, df+weight*float64(d.DF)
	}
	add(plain, 1)
	for _, d := range others {
		add(d, 1/float64(len(others)))
	}
	for i := range x.ways {
		x.ways[i].weight /= total
	}
	x.height, x.Rho, x.DF = top+math.Log(total), x.Rho/total, max(1, int(df/total))
	return &x
}

// beforehand is the logarithm of the belief in some spreads, apart from a constant.
func beforehand(spreads []float64) (height float64) {
	for _, s := range spreads {
		if s == 0 {
			height += math.Log(spreadSteps)
		}
	}
	return height
}

// each calls do with every choice of n values.
func each(n int, values, chosen []float64, do func([]float64)) {
	if n == 0 {
		do(chosen)
		return
	}
	for _, v := range values {
		each(n-1, values, append(chosen, v), do)
	}
}

// columns are all columns in a row, and the size of each bundle: the root mean square
// that its columns give a value together.
func (m Mixed) columns() (columns [][]float64, sizes []float64) {
	columns = append(append(columns, m.Fixed...), m.Loose...)
	for _, b := range m.Bundles {
		square := 0.0
		for _, c := range b {
			square += dot(c, c)
		}
		columns, sizes = append(columns, b...), append(sizes, math.Sqrt(square/float64(len(m.Y))))
	}
	return columns, sizes
}

// scales is the factor of each column under some spreads of the bundles.
func (m Mixed) scales(spreads, sizes []float64) []float64 {
	var s []float64
	for range m.Fixed {
		s = append(s, 1)
	}
	for range m.Loose {
		s = append(s, looseSpread)
	}
	for i, b := range m.Bundles {
		for range b {
			if sizes[i] > 0 {
				s = append(s, spreads[i]/sizes[i])
			} else {
				s = append(s, 0)
			}
		}
	}
	return s
}

// A gram is the sums of products of the columns and the values, made independent of each
// other for some autocorrelation.
type gram struct {
	rho        float64
	rows       float64
	products   triangular
	with       []float64 // of the columns with the values
	square     float64   // of the values
	whitenings float64   // Σ log of the residuals' variances
}

// gramAt takes from each value what the one before foretells of it.
func (m Mixed) gramAt(rho float64, columns [][]float64) gram {
	g := gram{rho: rho, rows: float64(len(m.Y)), products: newTriangular(len(columns)), with: make([]float64, len(columns))}
	row := make([]float64, len(columns))
	for i, y := range m.Y {
		kept, left := 0.0, 1.0
		if i > 0 {
			kept = math.Pow(rho, float64(m.At[i]-m.At[i-1])) // a whole number of steps: rho may be below 0
			left = 1 - kept*kept
			y -= kept * m.Y[i-1]
		}
		sd := math.Sqrt(left)
		for k, c := range columns {
			row[k] = c[i] / sd
			if i > 0 {
				row[k] = (c[i] - kept*c[i-1]) / sd
			}
		}
		g.add(row, y/sd)
		g.whitenings += math.Log(left)
	}
	return g
}

func (g *gram) add(row []float64, y float64) {
	for k, v := range row {
		sums := g.products.row(k)
		for j := range sums {
			sums[j] += v * row[j]
		}
		g.with[k] += v * y
	}
	g.square += y * y
}

// way fits the coefficients under some scales of the columns, of which the first are
// fixed, and says how likely that is: the logarithm of the restricted likelihood.
func (g gram) way(fixed int, scale []float64) (w way, height float64, ok bool) {
	n := len(scale)
	w = way{rho: g.rho, scale: scale, factor: newTriangular(n), coef: make([]float64, n)}
	for i := range n {
		to, from := w.factor.row(i), g.products.row(i)
		for j := range to {
			to[j] = from[j] * scale[i] * scale[j]
		}
		if i >= fixed {
			to[i]++
		}
		w.coef[i] = g.with[i] * scale[i]
	}
	if !w.factor.factorize() {
		return w, 0, false
	}
	w.factor.forward(w.coef)
	left := g.square - dot(w.coef, w.coef)
	copy(w.coef, g.with)
	determinant := 0.0
	for i := range n {
		w.coef[i] *= scale[i]
		determinant += 2 * math.Log(w.factor.row(i)[i])
	}
	w.factor.solve(w.coef)
	free := g.rows - float64(fixed)
	w.variance = math.Max(left, 1e-12*g.square) / free
	return w, -(free*math.Log(w.variance) + determinant + g.whitenings) / 2, true
}

// leastWay is the weight of a way that counts beside the best.
const leastWay = 1e-3

// weigh turns heights into weights and drops the ways that hardly count.
func (x *Mixture) weigh(heights []float64) {
	top := math.Inf(-1)
	for _, h := range heights {
		top = math.Max(top, h)
	}
	var kept []way
	total := 0.0
	for i, w := range x.ways {
		if w.weight = math.Exp(heights[i] - top); w.weight >= leastWay {
			kept, total = append(kept, w), total+w.weight
		}
	}
	for i := range kept {
		kept[i].weight /= total
		x.Rho += kept[i].weight * kept[i].rho
	}
	x.ways, x.height = kept, top+math.Log(total)
}

// Sum is a sum of columns times their coefficients, and its standard uncertainty: that of
// the coefficients, and by how much the ways differ.
func (x *Mixture) Sum(columns []float64) (value, u float64) {
	var total, square float64
	for _, w := range x.ways {
		sum, variance := w.sum(columns)
		apart := sum - value // West, Commun. ACM 22, 1979: means and squares in one pass
		total += w.weight
		value += apart * w.weight / total
		square += w.weight * (variance + apart*(sum-value))
	}
	return value, math.Sqrt(square / total)
}

func (w way) sum(columns []float64) (value, variance float64) {
	scaled := make([]float64, len(columns))
	for i, c := range columns {
		scaled[i] = c * w.scale[i]
	}
	value = dot(scaled, w.coef)
	w.factor.forward(scaled)
	return value, w.variance * dot(scaled, scaled)
}
