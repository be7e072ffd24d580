package robust

import (
	"math"
	"slices"
)

// A Trend is how a value moves over time when other influences are taken out.
type Trend struct {
	Line                     // per unit of time; Intercept holds at the reference influences, in the last row's group
	Rank                     // test of whether there is a trend at all
	Influence      []float64 // change of the value per unit of each influence
	Reference      []float64 // median of each influence: where Level holds
	Level          float64   // fitted value at the last time and the reference influences
	Noise          float64   // standard deviation of the values about the fit (Qn)
	Times, Leveled []float64 // the rows used: times, and values brought to the reference influences and the last row's group
}

// leastOwn is the least share of the times' spread that must be left when the
// influences are taken out of them: below it (a variance inflation above 25)
// time and influences cannot be told apart.
const leastOwn = 0.2

// Partial finds the trend of y over t with the influences taken out of both, so
// that a season that happens to run along with time widens the interval instead
// of posing as a trend (Frisch & Waugh, Econometrica 1 (1933) 387, with robust
// steps):
//
//  1. The influences' coefficients come from a Huber fit of y by time and influences.
//  2. The times are replaced by what least squares by the influences leaves of them.
//  3. Theil-Sen and Kendall's test are run on the rest of y over the rest of t.
//
// Rows are compared only within their group (an instrument set, say); nil means
// that all rows may be compared. The variance of S is raised by n/(n-k) for k
// influences and groups beyond the first, since they are fitted to the same values. Rows come in time order.
// ErrSingular means that time and influences cannot be told apart.
func Partial(t, y []float64, group []int, confidence float64, influences ...[]float64) (Trend, error) {
	p, err := newPartial(t, y, group, influences)
	if err != nil {
		return Trend{}, err
	}
	own, err := p.ownTime()
	if err != nil {
		return Trend{}, err
	}
	var tr Trend
	if tr.Influence, tr.Reference, err = p.takeOut(own); err != nil {
		return Trend{}, err
	}
	blocks := p.blocks(own)
	tr.Rank = count(blocks)
	if tr.Line, err = lineThrough(blocks, tr.Rank.Var, confidence); err != nil {
		return Trend{}, err
	}
	if k := len(p.x) + len(blocks) - 1; k > 0 {
		tr = tr.Inflated(float64(len(p.y)) / float64(max(1, len(p.y)-k)))
	} else {
		tr.P = tr.chance(blocks)
	}
	tr.level(p)
	return tr, nil
}

// inflated is the test with its variance raised, by the normal distribution.
func (r Rank) inflated(by float64) Rank {
	r.Var *= by
	if r.Var > 0 {
		r.Z = (r.S - sign(r.S)) / math.Sqrt(r.Var)
	}
	r.P = twoSided(r.Z)
	return r
}

// Inflated returns the trend with the variance of its test and its interval
// widened as if the values carried 1/by of their weight (see Inflation).
func (tr Trend) Inflated(by float64) Trend {
	if by > 1 {
		tr.Rank = tr.inflated(by)
		tr.Lo, tr.Hi = widened(tr.Line, math.Sqrt(by))
	}
	return tr
}

func widened(l Line, by float64) (lo, hi float64) {
	return l.Slope - (l.Slope-l.Lo)*by, l.Slope + (l.Hi-l.Slope)*by
}

// partial holds the whole rows of a problem.
type partial struct {
	t, y  []float64
	group []int
	x     [][]float64
	sets  [][]int     // rows of each group, in order
	ones  [][]float64 // constants
}

func newPartial(t, y []float64, group []int, influences [][]float64) (*partial, error) {
	if group == nil {
		group = make([]int, len(t))
	}
	g := make([]float64, len(group))
	for i, v := range group {
		g[i] = float64(v)
	}
	need := 3 + len(influences)
	c, err := rows("a trend", need, append([][]float64{t, y, g}, influences...)...)
	if err != nil {
		return nil, err
	}
	p := &partial{t: c[0], y: c[1], x: c[3:]}
	p.group = ints(c[2])
	p.sets = p.groups()
	p.ones = p.constants()
	return p, nil
}

// ownTime returns the times less what the influences say about them.
func (p *partial) ownTime() ([]float64, error) {
	if len(p.x) == 0 {
		return p.t, nil
	}
	groups, _ := orthonormal(nil, p.ones)
	own := slices.Clone(p.t)
	orthogonal(own, groups)
	spread := norm(own)
	all, ok := orthonormal(groups, p.x)
	if !ok {
		return nil, ErrSingular
	}
	orthogonal(own, all)
	orthogonal(own, all) // again for the sake of rounding
	if norm(own) < leastOwn*spread {
		return nil, ErrSingular
	}
	return own, nil
}

func norm(x []float64) (r float64) {
	for _, v := range x {
		r += v * v
	}
	return math.Sqrt(r)
}

// takeOut brings y to the median of each influence.
func (p *partial) takeOut(own []float64) (influence, reference []float64, err error) {
	if len(p.x) == 0 {
		return nil, nil, nil
	}
	columns := slices.Concat(p.ones, [][]float64{own}, p.x)
	f, err := Huber(p.y, columns...)
	if err != nil {
		return nil, nil, err
	}
	influence = f.Coefficients[len(columns)-len(p.x):]
	for k, x := range p.x {
		m, _ := Median(x)
		reference = append(reference, m)
		for i := range p.y {
			p.y[i] -= influence[k] * (x[i] - m)
		}
	}
	return influence, reference, nil
}

// groups lists the groups in order, each with its rows.
func (p *partial) groups() [][]int {
	names := slices.Clone(p.group)
	slices.Sort(names)
	names = slices.Compact(names)
	out := make([][]int, len(names))
	for k := range out {
		out[k] = make([]int, 0, len(p.group))
	}
	for i, g := range p.group {
		k, _ := slices.BinarySearch(names, g)
		out[k] = append(out[k], i)
	}
	return out
}

// constants is one column per group that is 1 in its rows.
func (p *partial) constants() [][]float64 {
	cols, n := make([][]float64, 0, len(p.sets)), len(p.y)
	space := make([]float64, len(p.sets)*n)
	for k, members := range p.sets {
		c := space[k*n : (k+1)*n : (k+1)*n]
		for _, i := range members {
			c[i] = 1
		}
		cols = append(cols, c)
	}
	return cols
}

func (p *partial) blocks(own []float64) []block {
	out, n := make([]block, 0, len(p.sets)), len(p.y)
	space := make([]float64, 2*n)
	for _, members := range p.sets {
		k := len(members)
		b := block{space[:0:k], space[k : k : 2*k]}
		space = space[2*k:]
		for _, i := range members {
			b.t = append(b.t, own[i])
			b.y = append(b.y, p.y[i])
		}
		out = append(out, b)
	}
	return out
}

// level sets the offset of each group to that of the last row's, and fills in
// what follows from the fit.
func (tr *Trend) level(p *partial) {
	n := len(p.y)
	space := make([]float64, 3*n)
	rest, offset, own := space[:n:n], space[n:2*n:2*n], space[2*n:]
	for i := range rest {
		rest[i] = p.y[i] - tr.Slope*p.t[i]
	}
	last := len(p.y) - 1
	for _, members := range p.sets {
		own = own[:0]
		for _, i := range members {
			own = append(own, rest[i])
		}
		m := medianOf(own)
		for _, i := range members {
			offset[i] = m
		}
	}
	tr.Times, tr.Leveled = p.t, p.y
	for i := range rest {
		rest[i] -= offset[i]
		tr.Leveled[i] += offset[last] - offset[i]
	}
	tr.Noise, _ = Qn(rest)
	tr.Intercept = offset[last]
	tr.Level = offset[last] + tr.Slope*p.t[last]
	tr.Line.N = len(p.y)
}

// Onset returns the time from which a value changes at an even rate after it
// was constant: the bend of least squares among all times but the last two. A
// change that runs from the first value on gives the first time. It needs four
// values, in time order.
func Onset(t, y []float64) (float64, error) {
	c, err := rows("an onset", 4, t, y)
	if err != nil {
		return math.NaN(), err
	}
	best, least := c[0][0], math.Inf(1)
	bend := make([]float64, len(c[0]))
	for _, at := range c[0][:len(c[0])-2] {
		for i, v := range c[0] {
			bend[i] = math.Max(0, v-at)
		}
		if ss := unexplained(bend, c[1]); ss < least*(1-1e-9) {
			best, least = at, ss
		}
	}
	return best, nil
}

// unexplained is the sum of squares that a straight line by x leaves of y.
func unexplained(x, y []float64) float64 {
	mx, _, n, _ := Mean(x)
	my, _, _, _ := Mean(y)
	var sxx, sxy, syy float64
	for i := range n {
		sxx += (x[i] - mx) * (x[i] - mx)
		sxy += (x[i] - mx) * (y[i] - my)
		syy += (y[i] - my) * (y[i] - my)
	}
	if sxx == 0 {
		return syy
	}
	return syy - sxy*sxy/sxx
}
