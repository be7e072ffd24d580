package robust

import (
	"cmp"
	"math"
	"slices"
)

// A Course is a value over time, in time order, with what else moves it.
type Course struct {
	T, Y       []float64
	Group      []int       // rows with an offset in common, an instrument set say; nil: all alike
	GroupSD    float64     // stated standard deviation of those offsets; 0 or NaN where nobody knows
	Era        []int       // rises by one at each break with the past, each era with a level of its own; nil: one era
	Influences [][]float64 // taken out by a straight line each
	Bends      [][]float64 // taken out too: what a straight line in an influence leaves, its square say
	Space      *Workspace  // memory to use again; nil: its own
}

// A Break is the likeliest change of a course that kept to a baseline before.
type Break struct {
	P                       float64 // chance of so clear a change in noise, every onset and both shapes tried
	Size, Lo, Hi            float64 // how far the value has gone by the last row
	PerTime, RateLo, RateHi float64 // its present rate
	Onset                   float64 // when it began, in the middle of the onsets that fit
	Sudden                  bool    // at once rather than at an even rate
	Lasting                 float64 // median distance of the last three rows from the baseline
	Noise                   float64 // standard deviation about the fit
	Level                   float64 // fitted value at the last row and the reference influences
	Influence, Reference    []float64
	Before, After           int     // rows on either side of the likeliest onset
	Evidence                float64 // twice the log likelihood, less log n for each coefficient: to compare models of the same rows
}

// course is a Course ready to be scanned.
type course struct {
	t, y            []float64
	group           []int
	groups          int
	influences      [][]float64
	lowest, highest [][]float64 // of each influence up to a row
	columns         [][]float64 // constant, influences about their medians, and what else is taken out
	reference       []float64
	from            int // first row of the last era

	space  *Workspace
	rows   []int     // spare
	change []float64 // spare
}

// The grid of ratios of the variance between groups to that of noise, and how much
// each is believed beforehand: the offsets' standard deviation is a log-normal
// quantity about statedShare of what is stated (limits of data sheets are kept by
// nearly all instruments, so that most err less), within a factor of about two.
// An engineering choice; the record of the groups themselves soon outweighs it.
const (
	statedShare = 0.6
	statedLog   = 0.8
)

func ratios(groups, rows int) []float64 {
	if groups < 2 || groups == rows {
		return []float64{0}
	}
	return []float64{0.02, 0.16, 1.3, 10, 80, 640}
}

// Break looks for a change after a baseline: at every onset with enough rows on
// either side, at once or at an even rate, beside the influences and the offsets
// of groups.
//
//  1. Every onset and shape is fitted by generalized least squares; rows under
//     conditions that the baseline has not seen do not count.
//  2. The chance of the best correlation in noise comes from the length of the
//     curve that the candidates make on the unit sphere, which is what looking at
//     all of them costs (Hotelling, Am. J. Math. 61 (1939) 440; Naiman, Ann.
//     Stat. 14 (1986) 896).
//  3. The ratio of the groups' variance to that of noise is averaged over, by what
//     is stated and by restricted likelihood (Patterson & Thompson, Biometrika 58
//     (1971) 545): a change that came together with new instruments must be more
//     than these may differ by.
//  4. Sizes are averages over onsets, shapes and ratios by likelihood, their
//     intervals hold what is open about these.
//
// It needs 7 rows more than there are influences and bends. ErrSingular means that no onset
// can be tried.
func (c Course) Break(confidence float64) (Break, error) {
	k, err := newCourse(c)
	if err != nil {
		return Break{}, err
	}
	var tries []trial
	onsets := k.onsets(mostOnsets)
	for _, ratio := range ratios(k.groups, len(k.t)) {
		if found := k.scan(ratio, onsets); len(found) > 0 {
			tries = append(tries, newTrial(ratio, found))
		}
	}
	if len(tries) == 0 {
		return Break{}, ErrSingular
	}
	best := weigh(tries, c.GroupSD)
	return k.summary(tries, best, confidence), nil
}

// A Sketch is a glance at a course, at a fraction of what Break costs.
type Sketch struct {
	Evidence float64 // twice the log likelihood less log n for each coefficient (Schwarz, Ann. Stat. 6 (1978) 461): to compare other influences of the same rows
	P        float64 // chance of its likeliest change as if no other had been tried: Break's is larger
	At       int     // first row after the likeliest onset, of the rows without gaps
}

// Sketch tries a few onsets at one ratio between groups and noise.
func (c Course) Sketch() (Sketch, error) {
	k, err := newCourse(c)
	if err != nil {
		return Sketch{}, err
	}
	found := k.scan(k.glance(), k.onsets(fewOnsets))
	if len(found) == 0 {
		return Sketch{}, ErrSingular
	}
	x := newTrial(0, found).best
	return Sketch{Evidence: x.sketched(), P: studentChance(x.t(1), x.free()), At: x.at}, nil
}

// glance is the ratio between groups and noise of a sketch.
func (c *course) glance() float64 {
	all := ratios(c.groups, len(c.t))
	return all[len(all)/2]
}

// sketched is the evidence of a sketch.
func (c candidate) sketched() float64 {
	rows := float64(len(c.proj.rows))
	return -rows*math.Log(c.rest/rows) - float64(len(c.proj.basis))*math.Log(rows)
}

// Evidences are those of sketches at one onset only, as a sketch of the same rows with other
// influences has it in At: of the course with each of some bends in turn, nil for none. A bend
// has no gaps. They are NaN where the course cannot be sketched so.
func (c Course) Evidences(at int, bends [][]float64) []float64 {
	out := make([]float64, len(bends))
	k, err := newCourse(c)
	var begun *projection
	if err == nil {
		begun = k.begin(k.seen(at), k.glance())
	}
	n := 1 + len(c.Influences)
	if err != nil || len(begun.rows)-at < leastAfter {
		for i := range out {
			out[i] = math.NaN()
		}
		return out
	}
	k.extend(begun, k.columns[:n])
	for i, bend := range bends {
		out[i] = math.NaN()
		p := k.beside(begun)
		if bend != nil {
			k.extend(p, [][]float64{bend})
		}
		if k.extend(p, k.columns[n:]); !p.singular {
			out[i] = k.evidence(p, at)
		}
	}
	return out
}

// evidence is that of a sketch at one onset; NaN where no change can be told there.
func (c *course) evidence(p *projection, at int) float64 {
	found := c.space.found.Take(int(shapes))[:0]
	for s := range shapes {
		if x, ok := c.candidate(p, at, s); ok {
			found = append(found, x)
		}
	}
	if len(found) == 0 {
		return math.NaN()
	}
	return newTrial(0, found).best.sketched()
}

func newCourse(c Course) (*course, error) {
	c, err := c.whole()
	if err != nil {
		return nil, err
	}
	k := &course{t: c.T, y: c.Y, influences: c.Influences, group: c.Group, space: c.Space}
	for _, g := range k.group {
		k.groups = max(k.groups, g+1)
	}
	k.space.Reset()
	k.rows, k.change = k.space.ints.Take(len(k.t)), k.space.take(len(k.t))
	k.prepare()
	k.columns = append(k.columns, c.Bends...)
	k.level(c.Era)
	return k, nil
}

// whole is the course without the rows that have a gap, and with all that may be left out.
func (c Course) whole() (Course, error) {
	for _, part := range []*[]int{&c.Group, &c.Era} {
		if *part == nil {
			*part = make([]int, len(c.T))
		}
	}
	if c.Space == nil {
		c.Space = &Workspace{}
	}
	need := leastBefore + leastAfter + len(c.Influences) + len(c.Bends)
	given := slices.Concat([][]float64{c.T, c.Y}, c.Influences, c.Bends)
	if allWhole(need, given) && len(c.Group) == len(c.T) && len(c.Era) == len(c.T) {
		return c, nil
	}
	cols, err := rows("a break", need, append(given, floats(c.Group), floats(c.Era))...)
	if err != nil {
		return c, err
	}
	n := len(given)
	c.T, c.Y, c.Influences, c.Bends = cols[0], cols[1], cols[2:2+len(c.Influences)], cols[2+len(c.Influences):n]
	c.Group, c.Era = ints(cols[n]), ints(cols[n+1])
	return c, nil
}

func floats(x []int) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = float64(v)
	}
	return out
}

func ints(x []float64) []int {
	out := make([]int, len(x))
	for i, v := range x {
		out[i] = int(v)
	}
	return out
}

// level gives every era but the last a level of its own.
func (c *course) level(era []int) {
	for i := 1; i < len(era); i++ {
		if era[i] == era[i-1] {
			continue
		}
		own := c.space.take(len(era))
		clear(own)
		for k := c.from; k < i; k++ {
			own[k] = 1
		}
		c.columns = append(c.columns, own)
		c.from = i
	}
}

// prepare fills in columns and ranges.
func (c *course) prepare() {
	constant := c.space.take(len(c.t))
	for i := range constant {
		constant[i] = 1
	}
	n := len(c.influences)
	c.columns = append(c.space.columns.Take(8)[:0], constant)
	c.lowest, c.highest, c.reference = c.space.columns.Take(n), c.space.columns.Take(n), c.space.take(n)
	for k, x := range c.influences {
		copy(c.change, x)
		m := medianOf(c.change)
		c.reference[k] = m
		about, lowest, highest := c.space.take(len(x)), c.space.take(len(x)), c.space.take(len(x))
		for i, v := range x {
			about[i] = v - m
			lowest[i], highest[i] = v, v
			if i > 0 {
				lowest[i], highest[i] = math.Min(v, lowest[i-1]), math.Max(v, highest[i-1])
			}
		}
		c.columns = append(c.columns, about)
		c.lowest[k], c.highest[k] = lowest, highest
	}
}

// A trial is the candidates under one ratio.
type trial struct {
	ratio      float64
	candidates []candidate
	best       candidate
	weight     float64 // of the ratio; sums to 1 over trials
}

func newTrial(ratio float64, found []candidate) trial {
	best := slices.MaxFunc(found, func(a, b candidate) int { return cmp.Compare(a.evidence, b.evidence) })
	return trial{ratio: ratio, candidates: found, best: best}
}

// weigh gives the ratios their weights and returns the likeliest trial. All are
// judged by the fit of one onset, the likeliest of all, so that they speak of the
// same rows.
func weigh(tries []trial, stated float64) trial {
	prior := func(t trial) float64 { return t.best.evidence/2 + believed(t.ratio, t.best, stated) }
	at := slices.MaxFunc(tries, func(a, b trial) int { return cmp.Compare(prior(a), prior(b)) }).best
	logs := make([]float64, len(tries))
	most := math.Inf(-1)
	for i, t := range tries {
		for _, x := range t.candidates {
			if x.at == at.at && x.shape == at.shape {
				logs[i] = x.restricted() + believed(t.ratio, x, stated)
			}
		}
		most = math.Max(most, logs[i])
	}
	sum := 0.0
	for i := range tries {
		tries[i].weight = math.Exp(logs[i] - most)
		sum += tries[i].weight
	}
	for i := range tries {
		tries[i].weight /= sum
	}
	return slices.MaxFunc(tries, func(a, b trial) int { return cmp.Compare(a.weight, b.weight) })
}

// restricted is the restricted log likelihood of a candidate's fit.
func (c candidate) restricted() float64 {
	return -(c.proj.logDet+2*math.Log(c.long))/2 - float64(c.free())/2*math.Log(c.rest)
}

// believed is the log of how much a ratio is believed beforehand.
func believed(ratio float64, c candidate, stated float64) float64 {
	if ratio == 0 || !(stated > 0) {
		return 0
	}
	sd := math.Sqrt(ratio * c.rest / float64(c.free()))
	z := math.Log(sd/(statedShare*stated)) / statedLog
	return -z * z / 2
}
