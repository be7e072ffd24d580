package robust

import "math"

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
	unit  []float64 // the change's column by row of the course, of length 1 beside the influences
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

// scan tries every onset and shape for one ratio of the variance between groups
// to that of noise. Rows after an onset under conditions that were not seen before
// it do not count for that onset.
func (c *course) scan(ratio float64, onsets int) []candidate {
	var out []candidate
	var whole *projection // of all rows, shared by the onsets that leave none out
	stride := max(1, (len(c.t)-c.from)/onsets)
	for at := max(leastBefore, c.from+1); at+leastAfter <= len(c.t); at += stride {
		rows := c.seen(at)
		if len(rows)-at < leastAfter {
			continue
		}
		p := whole
		if p == nil || len(rows) < len(c.t) {
			if p = c.project(rows, ratio); p == nil {
				continue
			}
		}
		if len(rows) == len(c.t) {
			whole = p
		}
		for s := range shapes {
			if x, ok := c.candidate(p, at, s); ok {
				out = append(out, x)
			}
		}
	}
	return out
}

// margin is by what share of the range seen before an onset a later row may lie
// beyond it.
const margin = 0.05

// seen is the rows before an onset, and those after it under like conditions.
func (c *course) seen(at int) []int {
	out := make([]int, 0, len(c.t))
	for i := range c.t {
		ok := true
		for k := range c.influences {
			x := c.influences[k]
			slack := margin * (c.highest[k][at-1] - c.lowest[k][at-1])
			ok = ok && (i < at || x[i] >= c.lowest[k][at-1]-slack && x[i] <= c.highest[k][at-1]+slack)
		}
		if ok {
			out = append(out, i)
		}
	}
	return out
}

// candidate fits one change beside the influences.
func (c *course) candidate(p *projection, at int, s shape) (candidate, bool) {
	col := c.column(at, s)
	v := p.whiten(col, c.group)
	before := norm(v)
	p.clear(v)
	x := candidate{at: at, shape: s, proj: p, long: norm(v)}
	if x.free() < 2 || x.long < leastOwn*leastOwn*before || p.square == 0 {
		return x, false
	}
	x.unit = make([]float64, len(c.t))
	dot := 0.0
	for k, i := range p.rows {
		x.unit[i] = v[k] / x.long
		dot += x.unit[i] * p.rest[k]
	}
	x.corr = dot / math.Sqrt(p.square)
	x.rest = math.Max(p.square-dot*dot, 1e-18*p.square)
	x.evidence = -float64(x.free()+1) * math.Log(x.rest/p.square)
	return x, true
}

func (c *course) column(at int, s shape) []float64 {
	col := make([]float64, len(c.t))
	for i := at; i < len(col); i++ {
		col[i] = 1
		if s == ramp {
			col[i] = c.t[i] - c.t[at-1]
		}
	}
	return col
}

// A projection is some rows of a course with the influences taken out. Groups that
// share an offset are whitened by taking off a part of their mean (Fuller &
// Battese, J. Am. Stat. Assoc. 68 (1973) 626).
type projection struct {
	rows   []int
	share  []float64   // of its mean that each group loses
	count  []float64   // rows of each group
	basis  [][]float64 // orthonormal, of constant and influences
	rest   []float64   // what they leave of the values
	square float64     // its sum of squares
	logDet float64     // of the influences' and the groups' covariance
}

// project is nil where the influences cannot be told apart.
func (c *course) project(rows []int, ratio float64) *projection {
	p := &projection{rows: rows, share: make([]float64, c.groups), count: make([]float64, c.groups)}
	for _, i := range rows {
		p.count[c.group[i]]++
	}
	for g, n := range p.count {
		p.share[g] = 1 - 1/math.Sqrt(1+ratio*n)
		p.logDet += math.Log(1 + ratio*n)
	}
	for _, x := range c.columns {
		v := p.whiten(x, c.group)
		before := norm(v)
		p.clear(v)
		p.clear(v) // again for the sake of rounding
		l := norm(v)
		if l <= 1e-6*before {
			return nil
		}
		for i := range v {
			v[i] /= l
		}
		p.basis = append(p.basis, v)
		p.logDet += 2 * math.Log(l)
	}
	p.rest = p.whiten(c.y, c.group)
	p.clear(p.rest)
	for _, v := range p.rest {
		p.square += v * v
	}
	return p
}

// whiten picks the rows of a column and takes off the groups' parts.
func (p *projection) whiten(x []float64, group []int) []float64 {
	mean := make([]float64, len(p.count))
	for _, i := range p.rows {
		mean[group[i]] += x[i] / p.count[group[i]]
	}
	out := make([]float64, len(p.rows))
	for k, i := range p.rows {
		out[k] = x[i] - p.share[group[i]]*mean[group[i]]
	}
	return out
}

// clear takes the influences out of a column.
func (p *projection) clear(v []float64) {
	for _, b := range p.basis {
		dot := 0.0
		for i := range v {
			dot += b[i] * v[i]
		}
		for i := range v {
			v[i] -= dot * b[i]
		}
	}
}
