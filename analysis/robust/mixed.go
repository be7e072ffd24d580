package robust

import (
	"math"
	"slices"
)

// A Mixed is a series and columns that linear models of it may be made of, where nobody
// knows beforehand which, nor how far the values may wander from a plain form. What a model
// leaves over follows itself as a first-order process does. Sums over the series are taken
// once, for all models that need them.
type Mixed struct {
	columns [][]float64
	sizes   []float64 // mean squares of the columns
	grams   []gram    // for each autocorrelation that is tried
}

// A Design is models: which columns they are made of. Of the coefficients of fixed ones
// nothing is believed; of those of loose ones nearly nothing, so that models with other
// loose columns can be held against each other. The coefficients of the columns of a bundle
// are believed to be normal about 0 with one standard deviation, which the values tell.
type Design struct {
	Fixed, Loose []int
	Bundles      [][]int
	Last         [][]int // further loose columns, as many in each, of which each makes a model
}

// A Mixture is what the values made of a design: each way to part them between bundles and
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
	columns     []int
	coef        []float64
	scale       []float64 // of the columns
	factor      triangular
}

// Ways that are tried: autocorrelations, and spreads of the bundles as multiples of the
// residuals' standard deviation.
const (
	leastRho, rhoStep, rhoSteps = -0.4, 0.2, 7
	leastSpread                 = 0.03
	spreadSteps                 = 4 // decades
)

// LooseSpread is the standard deviation that is believed of the coefficient of a loose
// column, in residuals' standard deviations.
const LooseSpread = 100.0

// NewMixed prepares a series: values at steps, which must rise, and columns without gaps.
// Residuals that are n steps apart are correlated by ρ^n.
func NewMixed(y []float64, at []int, columns [][]float64) *Mixed {
	m := &Mixed{columns: columns}
	for _, c := range columns {
		m.sizes = append(m.sizes, dot(c, c)/float64(len(y)))
	}
	for k := range rhoSteps {
		m.grams = append(m.grams, newGram(leastRho+float64(k)*rhoStep, y, at, len(columns)))
	}
	return m
}

// Fit tries all ways on a grid and weighs each by its restricted likelihood (Patterson
// & Thompson, Biometrika 58 (1971) 545). Beforehand all autocorrelations are held to be as
// likely, a bundle to be nothing as likely as something, and then all logarithms of its
// spread. Penalized splines as such models: Ruppert, Wand & Carroll, Semiparametric
// Regression (2003), chapter 4; both from memory.
func (m *Mixed) Fit(d Design) ([]*Mixture, error) {
	have := len(m.grams[0].y)
	if need := len(d.Fixed) + 2; have < need {
		return nil, &TooFewError{What: "a mixed model", Need: need, Have: have}
	}
	guessed := m.guess(d)
	var out []*Mixture
	for i, guesses := range guessed {
		if len(guesses) == 0 {
			return nil, ErrSingular
		}
		x := m.weigh(d, d.columns(i), guesses)
		x.DF = max(1, int(float64(have)*(1-x.Rho)/(1+x.Rho))-len(d.Fixed))
		out = append(out, x)
	}
	return out, nil
}

// models is how many a design has.
func (d Design) models() int { return max(1, len(d.Last)) }

// columns are those of a model, the last ones at the end.
func (d Design) columns(model int) []int {
	list := slices.Concat(append([][]int{d.Fixed, d.Loose}, d.Bundles...)...)
	if len(d.Last) > 0 {
		list = append(list, d.Last[model]...)
	}
	return list
}

// A guess is a way before it is known whether it counts.
type guess struct {
	part   part
	chosen []float64
	height float64
}

// guess tries all ways of each model. What models have in common is worked out once.
func (m *Mixed) guess(d Design) [][]guess {
	out := make([][]guess, d.models())
	spare := newWay(d.columns(0))
	n, fixed := len(spare.columns), len(d.Fixed)
	common := n
	if len(d.Last) > 0 {
		common -= len(d.Last[0])
	}
	for k := range m.grams {
		var parts []part
		for i := range out {
			parts = append(parts, m.partOf(&m.grams[k], d.columns(i)))
		}
		each(len(d.Bundles), spreads(), nil, func(chosen []float64) {
			m.scales(spare.scale, d, chosen)
			if !parts[0].rows(&spare, 0, common, fixed) {
				return
			}
			chosen = slices.Clone(chosen)
			for i, p := range parts {
				if p.rows(&spare, common, n, fixed) {
					out[i] = append(out[i], guess{p, chosen, p.height(&spare, fixed) + beforehand(chosen)})
				}
			}
		})
	}
	return out
}

// spreads are those of a bundle that are tried.
func spreads() []float64 {
	list := []float64{0}
	for k := range spreadSteps {
		list = append(list, leastSpread*math.Pow(10, float64(k)))
	}
	return list
}

// Pool is the mixture of several models of one series with the same fixed columns.
// Beforehand one of the others is believed to hold with some probability, none before
// another, and else a plain one. Their likelihoods count to the power of trust, 0 to 1: where all models are known
// to be wrong in places, differences between them say less than they seem to, and 1 would
// soon leave one of them only (power likelihoods: Grünwald & van Ommen, Bayesian Analysis 12
// (2017) 1069, from memory).
func Pool(trust, believed float64, plain *Mixture, others ...*Mixture) *Mixture {
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
	add(plain, 1-believed)
	for _, d := range others {
		add(d, believed/float64(len(others)))
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

// scales fills in the factor of each column of a design under some spreads of its bundles,
// of which each is as wide as the root mean square that its columns give a value together.
func (m *Mixed) scales(to []float64, d Design, spreads []float64) {
	n := 0
	put := func(count int, v float64) {
		for range count {
			to[n], n = v, n+1
		}
	}
	put(len(d.Fixed), 1)
	put(len(d.Loose), LooseSpread)
	for i, b := range d.Bundles {
		size := 0.0
		for _, k := range b {
			size += m.sizes[k]
		}
		if size > 0 {
			size = spreads[i] / math.Sqrt(size)
		}
		put(len(b), size)
	}
	put(len(to)-n, LooseSpread)
}

// leastWay is the weight of a way that counts beside the best.
const leastWay = 1e-3

// weigh turns the heights of a model's guesses into weights and keeps the ways that count.
func (m *Mixed) weigh(d Design, columns []int, guesses []guess) *Mixture {
	top := math.Inf(-1)
	for _, g := range guesses {
		top = math.Max(top, g.height)
	}
	var x Mixture
	total := 0.0
	for _, g := range guesses {
		weight := math.Exp(g.height - top)
		if weight < leastWay {
			continue
		}
		w := newWay(columns)
		w.weight, w.rho, total = weight, g.part.gram.rho, total+weight
		m.scales(w.scale, d, g.chosen)
		g.part.rows(&w, 0, len(columns), len(d.Fixed))
		g.part.height(&w, len(d.Fixed))
		w.factor.backward(w.coef)
		x.ways = append(x.ways, w)
	}
	for i := range x.ways {
		x.ways[i].weight /= total
		x.Rho += x.ways[i].weight * x.ways[i].rho
	}
	x.height = top + math.Log(total)
	return &x
}

// Sum is a sum of columns times their coefficients, and its standard uncertainty: that of
// the coefficients, and by how much the ways differ. Of a column that a design lacks it
// takes nothing.
func (x *Mixture) Sum(times []float64) (value, u float64) {
	var total, square float64
	for _, w := range x.ways {
		sum, variance := w.sum(times)
		apart := sum - value // West, Commun. ACM 22, 1979: means and squares in one pass
		total += w.weight
		value += apart * w.weight / total
		square += w.weight * (variance + apart*(sum-value))
	}
	return value, math.Sqrt(square / total)
}

func newWay(columns []int) way {
	n := len(columns)
	return way{columns: columns, coef: make([]float64, n), scale: make([]float64, n), factor: newTriangular(n)}
}

func (w way) sum(times []float64) (value, variance float64) {
	scaled := make([]float64, len(w.columns))
	for i, k := range w.columns {
		scaled[i] = times[k] * w.scale[i]
	}
	value = dot(scaled, w.coef)
	w.factor.forward(scaled)
	return value, w.variance * dot(scaled, scaled)
}
