package robust

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// A Belief is a linear model of values of which some are wild, with what is believed
// of its coefficients beforehand. It is for few values: where they say little, the
// belief does.
//
// A value is the sum of its columns times their coefficients, plus normal scatter;
// or, with the chance Wild, plus scatter of WildSD. Each coefficient is believed to
// be normal about Mean with SD; the scatter to be Scatter, as if that had been seen
// in ScatterWeight values. Columns of Bend, each believed to be 0 within BendSD,
// stand for whatever else may go on in the record: they count while it is found out
// which values are wild, and are then left out.
type Belief struct {
	Y        []float64
	Columns  [][]float64
	Mean, SD []float64
	Bend     [][]float64
	BendSD   float64

	Wild, WildSD           float64
	Scatter, ScatterWeight float64
}

// An Estimate is what values made of a belief.
type Estimate struct {
	Coef     []float64
	Residual []float64
	Scatter  float64
	Weights  []float64 // chance that a value is not wild

	columns   [][]float64
	precision []float64 // of the values
	chol      mat.Cholesky
	dot, half *mat.VecDense
}

// roundsOfBelief is how often weights and coefficients are worked out in turn, at
// most; they stand still before in all but odd records.
const roundsOfBelief = 12

// Fit finds in turn the coefficients and which values are wild (the
// expectation-maximization of Aitkin & Wilson, Technometrics 22 (1980) 325, for
// contaminated normal samples, with beliefs as further rows). All values must be
// finite.
func (b Belief) Fit() (*Estimate, error) {
	if len(b.Y) == 0 {
		return nil, &TooFewError{What: "belief", Need: 1, Have: 0}
	}
	if err := b.finite(); err != nil {
		return nil, err
	}
	f := b.start()
	for range roundsOfBelief {
		before := f.scatter
		if !f.solve() {
			return nil, ErrSingular
		}
		f.weigh(b)
		if math.Abs(f.scatter-before) < 1e-3*before {
			break
		}
	}
	return b.settle(f)
}

func (b Belief) finite() error {
	for _, col := range append([][]float64{b.Y}, b.Columns...) {
		for i, v := range col {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("belief: value %d: %w", i, ErrInfinite)
			}
		}
	}
	return nil
}

// A believing is a fit on its way.
type believing struct {
	y                       []float64
	columns                 [][]float64
	mean, sd                []float64
	coef, rest              []float64
	weight, precision, each []float64
	scatter                 float64
	system, inverse         *mat.SymDense
	right, out              *mat.VecDense
	chol                    mat.Cholesky
}

// start believes no value to be wild and the scatter to be wide.
func (b Belief) start() *believing {
	n, p := len(b.Y), len(b.Columns)+len(b.Bend)
	f := newBelieving(b.Y, append(b.Columns[:len(b.Columns):len(b.Columns)], b.Bend...))
	copy(f.mean, b.Mean)
	copy(f.sd, b.SD)
	for j := len(b.Columns); j < p; j++ {
		f.sd[j] = b.BendSD
	}
	f.scatter = 3 * b.Scatter
	for i := range n {
		f.weight[i], f.precision[i] = 1, 1/(f.scatter*f.scatter)
	}
	return f
}

func newBelieving(y []float64, columns [][]float64) *believing {
	n, p := len(y), len(columns)
	space := make([]float64, 3*p+4*n)
	take := func(k int) []float64 {
		part := space[:k:k]
		space = space[k:]
		return part
	}
	return &believing{
		y: y, columns: columns, mean: take(p), sd: take(p), coef: take(p), rest: take(n), weight: take(n), precision: take(n), each: take(n),
		system: mat.NewSymDense(p, nil), inverse: mat.NewSymDense(p, nil), right: mat.NewVecDense(p, nil), out: mat.NewVecDense(p, nil),
	}
}

// solve works out the coefficients from the precision of each value, and what they
// leave.
func (f *believing) solve() bool {
	for j, x := range f.columns {
		own := 1 / (f.sd[j] * f.sd[j])
		r := own * f.mean[j]
		for i, v := range x {
			f.each[i] = f.precision[i] * v
			r += f.each[i] * f.y[i]
		}
		f.right.SetVec(j, r)
		for k, z := range f.columns[j:] {
			var s float64
			for i, v := range z {
				s += f.each[i] * v
			}
			if k == 0 {
				s += own
			}
			f.system.SetSym(j, j+k, s)
		}
	}
	if !f.chol.Factorize(f.system) || f.chol.SolveVecTo(f.out, f.right) != nil {
		return false
	}
	copy(f.coef, f.out.RawVector().Data)
	copy(f.rest, f.y)
	for j, x := range f.columns {
		for i, v := range x {
			f.rest[i] -= f.coef[j] * v
		}
	}
	return true
}

// weigh works out which values are wild, the scatter of the others, and with both
// the precision of each value.
func (f *believing) weigh(b Belief) {
	sum, n := b.ScatterWeight*b.Scatter*b.Scatter, b.ScatterWeight
	for i, r := range f.rest {
		good, wild := (1-b.Wild)*normal(r, f.scatter), b.Wild*normal(r, b.WildSD)
		f.weight[i] = 0
		if good > 0 {
			f.weight[i] = good / (good + wild)
		}
		sum += f.weight[i] * r * r
		n += f.weight[i]
	}
	f.scatter = math.Sqrt(sum / math.Max(b.ScatterWeight, n-f.spent()))
	for i, w := range f.weight {
		f.precision[i] = w/(f.scatter*f.scatter) + (1-w)/(b.WildSD*b.WildSD)
	}
}

// spent is how many values the coefficients used up: fewer than there are
// coefficients, as far as these are believed rather than seen.
func (f *believing) spent() (n float64) {
	if f.chol.InverseTo(f.inverse) != nil {
		return 0
	}
	for j, sd := range f.sd {
		n += 1 - f.inverse.At(j, j)/(sd*sd)
	}
	return n
}

// normal is the density of normal noise, but for a factor.
func normal(x, sd float64) float64 { return math.Exp(-x*x/(2*sd*sd)) / sd }

// settle fits the columns alone, at the precision that was found for each value.
func (b Belief) settle(f *believing) (*Estimate, error) {
	g := newBelieving(b.Y, b.Columns)
	copy(g.mean, b.Mean)
	copy(g.sd, b.SD)
	copy(g.precision, f.precision)
	if !g.solve() {
		return nil, ErrSingular
	}
	return &Estimate{
		Coef: g.coef, Residual: g.rest, Scatter: f.scatter, Weights: f.weight,
		columns: b.Columns, precision: g.precision, chol: g.chol, dot: g.right, half: g.out,
	}, nil
}

// SD is the standard uncertainty of a coefficient.
func (e *Estimate) SD(k int) float64 {
	for j := range e.Coef {
		e.dot.SetVec(j, 0)
	}
	e.dot.SetVec(k, 1)
	if e.chol.SolveVecTo(e.half, e.dot) != nil {
		return math.NaN()
	}
	return math.Sqrt(e.half.AtVec(k))
}

// Change is what the values say of one more column: its coefficient with its standard
// uncertainty, before anything is believed of it; not ok where they say nothing.
func (e *Estimate) Change(col []float64) (coef, sd float64, ok bool) {
	var own, score float64
	for i, v := range col {
		pv := e.precision[i] * v
		own += pv * v
		score += pv * e.Residual[i]
	}
	for j, x := range e.columns {
		var s float64
		for i, v := range col {
			if v != 0 {
				s += e.precision[i] * v * x[i]
			}
		}
		e.dot.SetVec(j, s)
	}
	if own == 0 || e.chol.SolveVecTo(e.half, e.dot) != nil {
		return 0, 0, false
	}
	left := own - mat.Dot(e.dot, e.half)
	if left <= leastLeft*own {
		return 0, 0, false
	}
	return score / left, 1 / math.Sqrt(left), true
}

// leastLeft is the share of a column that the others must leave.
const leastLeft = 1e-6
