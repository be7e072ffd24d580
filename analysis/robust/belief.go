package robust

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
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
// which values are wild, and are then left out. Values that stand on a floor (AtMost) count
// only while the coefficients put them above it: what lies below cannot be seen.
type Belief struct {
	Y        []float64
	Columns  [][]float64
	Mean, SD []float64
	Bend     [][]float64
	BendSD   float64
	AtMost   []bool // values that only say that what is sought is not above them; nil: none

	Wild, WildSD           float64
	Scatter, ScatterWeight float64

	Space *Workspace // memory to use again; nil: its own
	Keep  *Workspace // memory of the estimate, and of those that are made of it, until it is made free; nil: its own
}

// An Estimate is what values made of a belief.
type Estimate struct {
	Coef     []float64
	Residual []float64
	Scatter  float64
	Weights  []float64 // chance that a value is not wild

	y         []float64
	columns   [][]float64
	first     []int // row of each column before which it is 0
	mean, sd  []float64
	precision []float64 // of the values
	factor    triangular
	spare     []float64
	keep      *Workspace
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
	return b.settle(&f)
}

func (b Belief) finite() error {
	if err := finite(b.Y); err != nil {
		return err
	}
	for _, col := range b.Columns {
		if err := finite(col); err != nil {
			return err
		}
	}
	return nil
}

func finite(col []float64) error {
	for i, v := range col {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("belief: value %d: %w", i, ErrInfinite)
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
	first                   []int // row of each column before which it is 0
	factor                  triangular
	inverse, spare          []float64
}

// start believes no value to be wild and the scatter to be wide.
func (b Belief) start() believing {
	n, p := len(b.Y), len(b.Columns)+len(b.Bend)
	space := b.Space
	if space == nil {
		space = &Workspace{}
	}
	space.Reset()
	f := space.believing(b.Y, append(append(space.columns.Take(p)[:0], b.Columns...), b.Bend...))
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

// believing is a fit that has not begun.
func (w *Workspace) believing(y []float64, columns [][]float64) believing {
	n, p := len(y), len(columns)
	space, first := w.take(8*p+8*n+p*(p+1)/2), w.ints.Take(p)
	clear(space)
	clear(first)
	take := func(k int) []float64 {
		part := space[:k:k]
		space = space[k:]
		return part
	}
	f := believing{
		y: y, columns: columns, mean: take(p), sd: take(p), coef: take(p), inverse: take(p), spare: take(4 * (p + n)),
		rest: take(n), weight: take(n), precision: take(n), each: take(n),
		first: first, factor: triangular{p, take(p * (p + 1) / 2)},
	}
	for j, x := range columns {
		for f.first[j] < n && x[f.first[j]] == 0 {
			f.first[j]++
		}
	}
	return f
}

// solve works out the coefficients from the precision of each value, and what they
// leave.
func (f *believing) solve() bool {
	for j, x := range f.columns {
		from := f.first[j]
		for i, v := range x[from:] {
			f.each[from+i] = f.precision[from+i] * v
		}
		own := 1 / (f.sd[j] * f.sd[j])
		f.coef[j] = own*f.mean[j] + dot(f.each[from:], f.y[from:])
		r := f.factor.row(j)
		f.products(r, j)
		r[j] += own
	}
	if !f.factor.factorize() {
		return false
	}
	f.factor.solve(f.coef)
	copy(f.rest, f.y)
	for j, x := range f.columns {
		from := f.first[j]
		rest := f.rest[from:]
		for i, v := range x[from:] {
			rest[i] -= f.coef[j] * v
		}
	}
	return true
}

// products fills in the sums of products of a column times its precisions with those up to it,
// four at a time, from where one of the four begins.
func (f *believing) products(sums []float64, j int) {
	from, k := f.first[j], 0
	for ; k+4 <= len(sums); k += 4 {
		z := f.columns[k : k+4]
		both := max(from, min(f.first[k], f.first[k+1], f.first[k+2], f.first[k+3]))
		sums[k], sums[k+1], sums[k+2], sums[k+3] = dot4(f.each[both:], z[0][both:], z[1][both:], z[2][both:], z[3][both:])
	}
	for ; k < len(sums); k++ {
		both := max(from, f.first[k])
		sums[k] = dot(f.each[both:], f.columns[k][both:])
	}
}

// weigh works out which values are wild, the scatter of the others, and with both
// the precision of each value.
func (f *believing) weigh(b Belief) {
	sum, n := b.ScatterWeight*b.Scatter*b.Scatter, b.ScatterWeight
	for i, r := range f.rest {
		if f.weight[i] = 1; b.silent(i, r) {
			continue
		}
		good, wild := (1-b.Wild)*normal(r, f.scatter), b.Wild*normal(r, b.WildSD)
		if f.weight[i] = 0; good > 0 {
			f.weight[i] = good / (good + wild)
		}
		sum += f.weight[i] * r * r
		n += f.weight[i]
	}
	f.scatter = math.Sqrt(sum / math.Max(b.ScatterWeight, n-f.spent()))
	f.precise(b)
}

// precise works out the precision of each value, 0 where it says nothing, and tells whether
// any has changed.
func (f *believing) precise(b Belief) (changed bool) {
	for i, w := range f.weight {
		p := w/(f.scatter*f.scatter) + (1-w)/(b.WildSD*b.WildSD)
		if b.silent(i, f.rest[i]) {
			p = 0
		}
		changed = changed || p != f.precision[i]
		f.precision[i] = p
	}
	return changed
}

// silent tells whether a value says nothing, by how far it lies above what the coefficients
// make of it: one that is not above it says that it is lower.
func (b Belief) silent(i int, above float64) bool { return b.AtMost != nil && b.AtMost[i] && above > 0 }

// spent is how many values the coefficients used up: fewer than there are
// coefficients, as far as these are believed rather than seen.
func (f *believing) spent() (n float64) {
	f.factor.inverseDiagonal(f.inverse, f.spare)
	for j, sd := range f.sd {
		n += 1 - f.inverse[j]/(sd*sd)
	}
	return n
}

// normal is the density of normal noise, but for a factor.
func normal(x, sd float64) float64 { return math.Exp(-x*x/(2*sd*sd)) / sd }

// settle fits the columns alone, with the weights and the scatter that were found. Which
// values say nothing is found anew: a bend may have put below the floor what the columns
// alone do not.
func (b Belief) settle(f *believing) (*Estimate, error) {
	keep := b.Keep
	if keep == nil {
		keep = &Workspace{}
	}
	g := keep.believing(b.Y, b.Columns)
	copy(g.mean, b.Mean)
	copy(g.sd, b.SD)
	copy(g.weight, f.weight)
	g.scatter = f.scatter
	g.precise(b)
	for range roundsOfBelief {
		if !g.solve() {
			return nil, ErrSingular
		}
		if !g.precise(b) {
			break
		}
	}
	return g.estimate(g.scatter, g.weight, keep), nil
}

// estimate is what came out.
func (f *believing) estimate(scatter float64, weights []float64, keep *Workspace) *Estimate {
	return &Estimate{
		Coef: f.coef, Residual: f.rest, Scatter: scatter, Weights: weights,
		y: f.y, columns: f.columns, first: f.first, mean: f.mean, sd: f.sd, precision: f.precision, factor: f.factor, spare: f.spare, keep: keep,
	}
}

// With is the estimate with one more column, its coefficient believed to be normal about
// mean with sd. Which values are wild stays as it was found.
func (e *Estimate) With(col []float64, mean, sd float64) (*Estimate, error) {
	p := len(e.columns)
	f := e.keep.believing(e.y, append(e.columns[:p:p], col))
	copy(f.mean, e.mean)
	copy(f.sd, e.sd)
	f.mean[p], f.sd[p] = mean, sd
	copy(f.precision, e.precision)
	if !f.solve() {
		return nil, ErrSingular
	}
	return f.estimate(e.Scatter, e.Weights, e.keep), nil
}

// Doubting is the estimate with values that each have so much more standard uncertainty.
func (e *Estimate) Doubting(sd []float64) (*Estimate, error) {
	f := e.keep.believing(e.y, e.columns)
	copy(f.mean, e.mean)
	copy(f.sd, e.sd)
	for i, p := range e.precision {
		f.precision[i] = p / (1 + p*sd[i]*sd[i])
	}
	if !f.solve() {
		return nil, ErrSingular
	}
	return f.estimate(e.Scatter, e.Weights, e.keep), nil
}

// SD is the standard uncertainty of a coefficient.
func (e *Estimate) SD(k int) float64 {
	row := make([]float64, len(e.Coef))
	row[k] = 1
	_, sd := e.Along(row)
	return sd
}

// Along is a sum of coefficients, each times its part of a row, with its standard
// uncertainty.
func (e *Estimate) Along(row []float64) (sum, sd float64) {
	spare := e.spare[:len(row)]
	copy(spare, row)
	e.factor.forward(spare)
	return dot(row, e.Coef), math.Sqrt(dot(spare, spare))
}

// A Change is what values say of one more column: its coefficient with its standard
// uncertainty, before anything is believed of it. The zero Change says nothing.
type Change struct{ Coef, SD float64 }

// Change asks about one column.
func (e *Estimate) Change(col []float64) Change {
	return e.Changes([4][]float64{col, col, col, col})[0]
}

// Changes asks about four columns at once, in little more time than about one. Rows before which
// all four are 0 add nothing to any sum, and are passed over.
func (e *Estimate) Changes(cols [4][]float64) (out [4]Change) {
	var own, score [4]float64
	p, n := len(e.columns), len(e.y)
	a, b, c, d, rest := e.spare[:p], e.spare[p:2*p], e.spare[2*p:3*p], e.spare[3*p:4*p], e.spare[4*p:]
	from := firstOf(cols)
	for k, col := range cols {
		own[k], score[k] = e.weighed(rest[k*n:(k+1)*n], col, from)
	}
	for j, x := range e.columns {
		at := max(from, e.first[j])
		a[j], b[j], c[j], d[j] = dot4(x[at:], rest[at:n], rest[n+at:2*n], rest[2*n+at:3*n], rest[3*n+at:4*n])
	}
	e.factor.forward4(a, b, c, d)
	for k, by := range [4][]float64{a, b, c, d} {
		if left := own[k] - dot(by, by); own[k] != 0 && left > leastLeft*own[k] {
			out[k] = Change{score[k] / left, 1 / math.Sqrt(left)}
		}
	}
	return out
}

// firstOf is the first row in which any of four columns of one length is not 0.
func firstOf(cols [4][]float64) (i int) {
	a, b, c, d := cols[0], cols[1], cols[2], cols[3]
	for i < len(a) && a[i] == 0 && b[i] == 0 && c[i] == 0 && d[i] == 0 {
		i++
	}
	return i
}

// weighed fills in a column times the precision of each value, from a row on, and gives its sums
// of products with the column and with what the values leave.
func (e *Estimate) weighed(each, col []float64, from int) (own, score float64) {
	each, precision, residual := each[:len(col)], e.precision[:len(col)], e.Residual[:len(col)]
	for i := from; i < len(col); i++ {
		w := precision[i] * col[i]
		each[i] = w
		own += w * col[i]
		score += w * residual[i]
	}
	return own, score
}

// Nearby asks some values in a row, from one up to but without another, about one column beside
// a line of their own by x, whatever all others say: what they say of a change at once, as against
// one that goes on. None counts as wild, and they scatter as they do about that. The zero Change
// says nothing.
func (e *Estimate) Nearby(x, col []float64, from, to int) Change {
	x, col, y := x[from:to], col[from:to], e.Residual[from:to]
	x1, c1, y1 := stat.Mean(x, nil), stat.Mean(col, nil), stat.Mean(y, nil)
	var xx, xc, xy, cc, cy, yy float64
	for i := range x {
		dx, dc, dy := x[i]-x1, col[i]-c1, y[i]-y1
		xx, xc, xy, cc, cy, yy = xx+dx*dx, xc+dx*dc, xy+dx*dy, cc+dc*dc, cy+dc*dy, yy+dy*dy
	}
	left, spare := cc-xc*xc/xx, len(x)-3
	if !(left > leastLeft*cc) || spare < 1 {
		return Change{}
	}
	size := (cy - xc*xy/xx) / left
	rest := math.Max(0, yy-xy*xy/xx-size*size*left)
	return Change{size, math.Max(e.Scatter, math.Sqrt(rest/float64(spare))) / math.Sqrt(left)}
}

// leastLeft is the share of a column that the others must leave.
const leastLeft = 1e-6
