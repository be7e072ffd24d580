package robust

import (
	"math"
	"slices"
)

// least rows before and after a break.
const (
	leastBefore = 4
	leastAfter  = 3
)

// About how many onsets of a long record are tried, and to compare influences.
const (
	mostOnsets = 40
	fewOnsets  = 8
)

// A shape is how a value leaves its baseline.
type shape int

const (
	ramp shape = iota // at an even rate from the onset on
	step              // at once, and stays
	shapes
)

// A candidate is one onset with one shape, weighed against no change.
type candidate struct {
	at    int // first row after the onset
	shape shape
	proj  *projection
	unit  []float64 // the change's column, by row of the projection, of length 1 beside the influences
	long  float64   // the column's length before
	rest  float64   // sum of squares it leaves
	corr  float64   // its correlation with the values, beside the influences

	evidence float64 // twice the log likelihood ratio against no change
}

// free is the degrees of freedom that are left to the noise.
func (c candidate) free() int { return len(c.proj.rows) - len(c.proj.basis) - 1 }

// t is Student's statistic of the change, with its variance raised by a factor.
func (c candidate) t(inflation float64) float64 {
	r := math.Min(math.Abs(c.corr), 1-1e-12)
	return r * math.Sqrt(float64(c.free())/(1-r*r)/inflation)
}

// height is the change's column at the last row.
func (c candidate) height(t []float64) float64 {
	if c.shape == step {
		return 1
	}
	return t[len(t)-1] - t[c.at-1]
}

// rate is the change per height, with its standard error.
func (c candidate) rate() (value, se float64) {
	noise := math.Sqrt(c.rest / float64(c.free()))
	total := math.Sqrt(c.proj.square)
	return c.corr * total / c.long, noise / c.long
}

// An onset is where a change may begin, with the rows that count for it.
type onset struct {
	at   int // first row after it
	rows []int
	anew bool // they are others than those of the onset before
}

// onsets are about so many, evenly over the record. Rows after an onset under conditions that
// were not seen before it do not count for that onset.
func (c *course) onsets(about int) []onset {
	stride := max(1, (len(c.t)-c.from)/about)
	out := make([]onset, 0, len(c.t)/stride)
	var last []int
	for at := max(leastBefore, c.from+1); at+leastAfter <= len(c.t); at += stride {
		rows := c.seen(at)
		if len(rows)-at < leastAfter {
			continue
		}
		anew := !slices.Equal(rows, last)
		if anew {
			last = c.space.ints.Take(len(rows))
			copy(last, rows)
		}
		out = append(out, onset{at, last, anew})
	}
	return out
}

// scan tries onsets with every shape for one ratio of the variance between groups
// to that of noise. Onsets with the same rows share their projection.
func (c *course) scan(ratio float64, onsets []onset) []candidate {
	var p *projection
	out := c.space.found.Take(int(shapes) * len(onsets))[:0]
	for _, o := range onsets {
		if o.anew {
			p = c.project(o.rows, ratio)
		}
		if p.singular {
			continue
		}
		for s := range shapes {
			if x, ok := c.candidate(p, o.at, s); ok {
				out = append(out, x)
			}
		}
	}
	return out
}

// margin is by what share of the range seen before an onset a later row may lie
// beyond it.
const margin = 0.05

// seen is the rows before an onset, and those after it under like conditions. The next
// call writes over it.
func (c *course) seen(at int) []int {
	out := c.rows[:0]
	for i := range at {
		out = append(out, i)
	}
next:
	for i := at; i < len(c.t); i++ {
		for k, x := range c.influences {
			lo, hi := c.lowest[k][at-1], c.highest[k][at-1]
			slack := margin * (hi - lo)
			if x[i] < lo-slack || x[i] > hi+slack {
				continue next
			}
		}
		out = append(out, i)
	}
	c.rows = out
	return out
}

// candidate fits one change beside the influences.
func (c *course) candidate(p *projection, at int, s shape) (candidate, bool) {
	c.fill(c.change, at, s)
	v := c.space.take(len(p.rows))
	p.whiten(v, c.change, c.group)
	before := norm(v)
	orthogonal(v, p.basis)
	x := candidate{at: at, shape: s, proj: p, unit: v, long: norm(v)}
	if x.free() < 2 || x.long < leastOwn*leastOwn*before || p.square == 0 {
		return x, false
	}
	for k := range v {
		v[k] /= x.long
	}
	along := dot(v, p.rest)
	x.corr = along / math.Sqrt(p.square)
	x.rest = math.Max(p.square-along*along, 1e-18*p.square)
	x.evidence = -float64(x.free()+1) * math.Log(x.rest/p.square)
	return x, true
}

// fill writes down a change of one unit.
func (c *course) fill(col []float64, at int, s shape) {
	for i := range at {
		col[i] = 0
	}
	for i := at; i < len(col); i++ {
		col[i] = 1
		if s == ramp {
			col[i] = c.t[i] - c.t[at-1]
		}
	}
}

func (c *course) column(at int, s shape) []float64 {
	col := make([]float64, len(c.t))
	c.fill(col, at, s)
	return col
}

// A projection is some rows of a course with the influences taken out. Groups that
// share an offset are whitened by taking off a part of their mean (Fuller &
// Battese, J. Am. Stat. Assoc. 68 (1973) 626).
type projection struct {
	rows   []int
	share  []float64   // of its sum that each of its rows loses, by group
	basis  [][]float64 // orthonormal, of constant and influences
	rest   []float64   // what they leave of the values
	square float64     // its sum of squares
	logDet float64     // of the influences' and the groups' covariance
	mean   []float64   // spare, by group

	singular bool // the influences cannot be told apart
}

// project takes the influences out of some rows.
func (c *course) project(rows []int, ratio float64) *projection {
	p := c.begin(rows, ratio)
	c.extend(p, c.columns)
	return p
}

// begin is the projection of some rows that takes nothing out.
func (c *course) begin(rows []int, ratio float64) *projection {
	p := &c.space.projections.Take(1)[0]
	*p = projection{rows: rows, share: c.space.take(c.groups), mean: c.space.take(c.groups)}
	clear(p.share)
	for _, i := range rows {
		p.share[c.group[i]]++
	}
	for g, n := range p.share {
		p.share[g] = (1 - 1/math.Sqrt(1+ratio*n)) / max(1, n)
		p.logDet += math.Log(1 + ratio*n)
	}
	p.rest = c.space.take(len(rows))
	p.whiten(p.rest, c.y, c.group)
	return p
}

// beside is a projection of its own that begins as another one.
func (c *course) beside(p *projection) *projection {
	q := &c.space.projections.Take(1)[0]
	*q = *p
	q.rest = c.space.take(len(p.rest))
	copy(q.rest, p.rest)
	return q
}

// extend takes further columns out.
func (c *course) extend(p *projection, columns [][]float64) {
	p.basis = append(c.space.columns.Take(len(p.basis) + len(columns))[:0], p.basis...)
	for _, x := range columns {
		v := c.space.take(len(p.rows))
		p.whiten(v, x, c.group)
		before := norm(v)
		orthogonal(v, p.basis)
		orthogonal(v, p.basis) // again for the sake of rounding
		l := norm(v)
		if l <= 1e-6*before {
			p.singular = true
			return
		}
		for i := range v {
			v[i] /= l
		}
		p.basis = append(p.basis, v)
		p.logDet += 2 * math.Log(l)
		orthogonal(p.rest, p.basis[len(p.basis)-1:])
	}
	p.square = dot(p.rest, p.rest)
}

// whiten picks the rows of a column and takes off the groups' parts.
func (p *projection) whiten(out, x []float64, group []int) {
	for k, i := range p.rows {
		out[k] = x[i]
	}
	if len(p.share) == 1 && p.share[0] == 0 {
		return
	}
	clear(p.mean)
	for k, i := range p.rows {
		p.mean[group[i]] += out[k]
	}
	for g, share := range p.share {
		p.mean[g] *= share
	}
	for k, i := range p.rows {
		out[k] -= p.mean[group[i]]
	}
}

// A Workspace is memory for one search or fit after another, each of which writes over what
// the one before left there. The zero Workspace is ready.
type Workspace struct {
	floats      Slab[float64]
	ints        Slab[int]
	found       Slab[candidate]
	columns     Slab[[]float64]
	projections Slab[projection]
}

// Reset makes all of it free again.
func (w *Workspace) Reset() {
	w.floats.Reset()
	w.ints.Reset()
	w.found.Reset()
	w.columns.Reset()
	w.projections.Reset()
}

// Take gives n numbers, all 0.
func (w *Workspace) Take(n int) []float64 {
	out := w.take(n)
	clear(out)
	return out
}

// take gives n numbers of any value.
func (w *Workspace) take(n int) []float64 { return w.floats.Take(n) }

// A Slab is memory for values of one type, to use again and again. The zero Slab is ready.
type Slab[T any] struct {
	all   []T
	used  int
	short int // what was asked for beyond it
}

// Reset makes all of it free again, and enough for a search larger than the last: records
// grow.
func (s *Slab[T]) Reset() {
	if s.short > 0 {
		s.all = make([]T, 2*(len(s.all)+s.short))
	}
	s.used, s.short = 0, 0
}

// Take gives n of any value.
func (s *Slab[T]) Take(n int) []T {
	if s.used+n > len(s.all) {
		s.short += n
		return make([]T, n)
	}
	out := s.all[s.used : s.used+n : s.used+n]
	s.used += n
	return out
}
