package steady

import (
	"math"
	"slices"
	"sort"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
)

// bins is a stretch of samples averaged to even steps.
type bins struct {
	*scratch
	c      *cycle.Columns
	r      rows
	dt     int64 // usual spacing of the samples, µs
	step   int64 // of the bins, µs
	period int64 // hunting period, µs; 0 where there is none
	limits [judged]limit
	before *noise // of the day or the visits before; nil where it is not known
	looked rows   // whether these are even was asked last
	isEven bool
	whole  [cycle.Quantities]rows // of each quantity rows without a gap, looked at last
}

// scratch is memory that windows use one after the other.
type scratch struct {
	sums, counts, rests []float64
	doubts              map[int]float64 // factors of noise by degrees of freedom, see doubt
	diary               diary
	visit               *noise  // what earlier visits tell, at a visit; nil elsewhere, or where it is not known
	spare               *Window // one that was transient, to be used again; nil where there is none
}

// blank is a window over rows without means, in the memory of one that was transient.
func (s *scratch) blank(c *cycle.Columns, r rows) *Window {
	w := s.spare
	if s.spare = nil; w == nil {
		w = new(Window)
	}
	w.clear(c, r)
	return w
}

// known is what is known before a time of how much the machine scatters.
func (s *scratch) known(micros int64) *noise {
	if s.visit != nil {
		return s.visit
	}
	return s.diary[dayOf(micros)-1]
}

func newScratch() *scratch { return &scratch{doubts: map[int]float64{}} }

// sized is a slice as long as asked for, in the memory of another where that is enough.
func sized(x []float64, n int) []float64 {
	if cap(x) < n {
		return make([]float64, n, 2*n)
	}
	return x[:n]
}

// Hunting is looked for in at most longestLook of a stretch whose samples are no
// further apart than coarsest, with periods up to longestHunt: valves hunt with
// periods of one to four minutes (common practice, no source); what goes on for
// longer is weather, load or a controller. It is believed where the autocorrelation reaches
// leastRhythm and what noise reaches once in eighty times, 2.5/√n, at a period of
// at least fewest bins.
const (
	longestLook = 2 * time.Hour
	longestHunt = 6 * time.Minute
	coarsest    = 30 * time.Second
	leastRhythm = 0.3
	rhythmNoise = 2.5
)

// evenBins are the bins of a stretch, without a hunting period.
func evenBins(c *cycle.Columns, r rows, dt int64, o Options, s *scratch) *bins {
	return &bins{scratch: s, c: c, r: r, dt: max(dt, 1), step: max(dt, o.Resample.Microseconds())}
}

func newBins(c *cycle.Columns, r rows, dt int64, o Options, s *scratch) *bins {
	b := evenBins(c, r, dt, o, s)
	b.limits, b.before = o.Limits.all(), s.known(c.Time[r.from])
	if b.step > coarsest.Microseconds() {
		return b
	}
	look := b.part(c.Time[r.from], c.Time[r.from]+longestLook.Microseconds())
	for _, q := range []cycle.Quantity{cycle.Superheat, cycle.Evaporating} {
		if !c.Has(q) {
			continue
		}
		series, _ := b.series(q, look)
		x := b.rest(series, lineOf(series))
		least := math.Max(leastRhythm, rhythmNoise/math.Sqrt(float64(len(x))))
		if period, _ := robust.Period(x, int(longestHunt.Microseconds()/b.step), least); period >= fewest {
			b.period = int64(period * float64(b.step))
			break
		}
	}
	return b
}

// windowLength is how long a window must be: as asked for, at least fewest
// samples, and whole hunting periods, enough of them.
func (b *bins) windowLength(o Options) int64 {
	length := max(o.Window.Microseconds(), fewest*b.dt)
	if b.period == 0 {
		return length
	}
	n := max(int64(o.Periods), (length+b.period-1)/b.period)
	return n * b.period
}

// shortLength is how much of a short stretch can be judged: all of it, or the
// whole hunting periods in it, at least two.
func (b *bins) shortLength(have int64) int64 {
	if b.period == 0 {
		if have < int64(b.least())*b.step {
			return 0
		}
		return have
	}
	if n := have / b.period; n >= 2 {
		return n * b.period
	}
	return 0
}

// part returns the rows of the stretch with from <= t < to.
func (b *bins) part(from, to int64) rows {
	t := b.c.Time[b.r.from:b.r.to]
	i := sort.Search(len(t), func(i int) bool { return t[i] >= from })
	j := sort.Search(len(t), func(i int) bool { return t[i] >= to })
	return rows{b.r.from + i, b.r.from + j}
}

// series averages a quantity over steps; a step without a value is filled from
// its neighbours, for the sake of even steps. It holds until the next one is asked for, and
// is only looked at: it is whole where it is the samples themselves.
func (b *bins) series(q cycle.Quantity, r rows) (x []float64, whole bool) {
	if r.to <= r.from || !b.c.Has(q) {
		return nil, false
	}
	t, v := b.c.Time[r.from:r.to], b.c.Values[q][r.from:r.to]
	n := int((t[len(t)-1]-t[0])/b.step) + 1
	if n == len(v) && b.even(r) {
		if !b.gaps(q, r) {
			return v, true
		}
		b.sums = sized(b.sums, n)
		copy(b.sums, v)
		return filled(b.sums), false
	}
	b.sums = sized(b.sums, n)
	b.counts = sized(b.counts, n)
	clear(b.sums)
	clear(b.counts)
	for i, at := range t {
		if v[i] == v[i] {
			k := (at - t[0]) / b.step
			b.sums[k] += v[i]
			b.counts[k]++
		}
	}
	for k := range b.sums {
		b.sums[k] /= b.counts[k] // NaN where nothing was measured
	}
	return filled(b.sums), false
}

// even tells whether each sample falls into a step of its own, the last answer once more
// where the same rows are asked for again.
func (b *bins) even(r rows) bool {
	if b.looked != r {
		b.looked, b.isEven = r, b.step == b.dt
		t := b.c.Time[r.from:r.to]
		for i := 0; i < len(t) && b.isEven; i++ {
			over := t[i] - t[0] - int64(i)*b.step
			b.isEven = over >= 0 && over < b.step
		}
	}
	return b.isEven
}

// gaps tells whether rows of a quantity have any. Windows follow each other and overlap: each
// row is looked at once.
func (b *bins) gaps(q cycle.Quantity, r rows) bool {
	known, v := &b.whole[q], b.c.Values[q]
	if r.from < known.from || r.from > known.to {
		*known = rows{r.from, r.from}
	}
	to := known.to
	for to < r.to && v[to] == v[to] {
		to++
	}
	known.to = to
	return to < r.to
}

// filled replaces gaps by the value before, at the start by the first value; nil where
// there is none.
func filled(x []float64) []float64 {
	first := slices.IndexFunc(x, func(v float64) bool { return v == v })
	if first < 0 {
		return nil
	}
	last := x[first]
	for i, v := range x {
		if v != v {
			x[i] = last
		}
		last = x[i]
	}
	return x
}

// A line is the least squares line of an even series, with what it leaves over.
type line struct {
	n           float64
	mean, slope float64 // slope per step
	squares     float64 // sum of squares about the mean
	next        float64 // sum of the products of neighbours about the mean
}

func lineOf(x []float64) line {
	l := line{n: float64(len(x))}
	for _, v := range x {
		l.mean += v
	}
	l.mean /= l.n
	at, before, sxy := -(l.n-1)/2, 0.0, 0.0
	for _, v := range x {
		v -= l.mean
		sxy += at * v
		l.squares += v * v
		l.next += v * before
		before = v
		at++
	}
	if len(x) > 1 {
		l.slope = sxy / l.spreadOfSteps()
	}
	return l
}

// spreadOfSteps is the sum of squares of the steps about their middle.
func (l line) spreadOfSteps() float64 { return l.n * (l.n*l.n - 1) / 12 }

// left is the sum of squares about the line.
func (l line) left() float64 { return max(0, l.squares-l.slope*l.slope*l.spreadOfSteps()) }

// scatter is the standard deviation about the line.
func (l line) scatter() float64 { return math.Sqrt(l.left() / (l.n - 2)) }

// effective is how many independent values the series is worth, see robust.EffectiveSize.
func (l line) effective() float64 {
	if l.n < 2 || l.squares == 0 {
		return max(l.n, 1)
	}
	r := l.next / l.squares
	return min(l.n, max(1, l.n*(1-r)/(1+r)))
}

// rest takes the line out of a series. It holds until the next one is asked for.
func (s *scratch) rest(x []float64, l line) []float64 {
	s.rests = sized(s.rests, len(x))
	for i, v := range x {
		s.rests[i] = v - l.mean - l.slope*(float64(i)-(l.n-1)/2)
	}
	return s.rests
}

// window takes and grades the window from <= t < to; nil where it is transient. It is not
// ok where too few samples fall into it.
func (b *bins) window(from, to int64) (w *Window, ok bool) {
	r := b.part(from, to)
	if r.to-r.from < b.least() || int64(r.to-r.from)*b.dt < (to-from)/2 {
		return nil, false
	}
	w = b.blank(b.c, r)
	w.Grade = Steady
	var lagging bool
	for k, l := range b.limits {
		x, of, ok := b.measure(w, r, l.quantity)
		if !ok {
			continue
		}
		g := b.grade(k, over(to-from), x, of)
		if b.before.knows(k) {
			w.Spread[l.quantity] = max(w.Spread[l.quantity], b.before.usual[k]*l.scale(of.mean)/math.Sqrt(of.n))
		}
		switch {
		case g == transient && l.lags:
			lagging = true
		case g == transient:
			b.spare = w
			return nil, true
		default:
			w.Grade = worse(w.Grade, g)
		}
	}
	w.SuperheatLimit, w.SubcoolingLimit = b.spreadLimit(cycle.Superheat), b.spreadLimit(cycle.Subcooling)
	b.complete(w, r)
	if lagging {
		w.forget(cycle.DischargeTemp, cycle.DischargeSuperheat)
	}
	return w, true
}

// complete adds to a window what its grade does not ask for.
func (b *bins) complete(w *Window, r rows) {
	if b.period > 0 {
		w.Period = float64(b.period) / 1e6
		x, _ := b.series(cycle.Superheat, r)
		w.Swing, w.Duty = swing(x)
	}
	for q := cycle.Quantity(0); q < cycle.Quantities; q++ {
		if b.c.Has(q) && math.IsNaN(w.Mean[q]) {
			b.measure(w, r, q)
		}
	}
}

// measure takes mean and spread of a quantity over a window, and returns its series with
// the line through it; not ok where it has no mean.
func (b *bins) measure(w *Window, r rows, q cycle.Quantity) (x []float64, of line, ok bool) {
	x, whole := b.series(q, r)
	if len(x) == 0 {
		return nil, of, false
	}
	if of = lineOf(x); whole {
		w.Mean[q], w.SD[q] = of.mean, math.Sqrt(of.squares/(of.n-1))
	} else if w.take(b.c, r, q); math.IsNaN(w.Mean[q]) {
		return nil, of, false
	}
	w.Spread[q] = b.spread(x, of, w.SD[q])
	return x, of, true
}

// swing is the amplitude of a series as of a sine, and the share of it above its mean.
func swing(x []float64) (amplitude, duty float64) {
	mean, sd, n, err := robust.Mean(x)
	if err != nil || n < fewest {
		return math.NaN(), math.NaN()
	}
	for _, v := range x {
		if v > mean {
			duty += 1 / float64(n)
		}
	}
	return math.Sqrt2 * sd, duty
}

// forget leaves out quantities that were not at rest.
func (w *Window) forget(quantities ...cycle.Quantity) {
	for _, q := range quantities {
		w.Mean[q], w.SD[q], w.Spread[q] = math.NaN(), math.NaN(), math.NaN()
	}
}

// worse is the worse grade of two.
func worse(a, b Grade) Grade {
	if a == transient || b == transient {
		return transient
	}
	if a == Oscillating || b == Oscillating {
		return Oscillating
	}
	return Steady
}

// certainty is the confidence with which noise must fail to explain a drift
// before the window is called transient.
const certainty = 0.95

// grade judges one quantity of a window by its even series and the line through it.
func (b *bins) grade(k int, lengths float64, x []float64, of line) Grade {
	l := b.limits[k]
	scale := l.scale(of.mean)
	drift, half, spread := lengths*l.Drift*scale, halfLimit, b.before.spreadLimit(k, l)*scale
	if l.relative {
		half = drift
	}
	if n := len(x); n < fewest && !b.before.knows(k) { // too few to tell noise from drift
		if n > 1 && math.Abs(x[n-1]-x[0]) > drift {
			return transient
		}
		return Steady
	}
	noise, free := b.before.pooled(k, of, scale)
	moves := b.exceeds(of.slope*of.n, drift, noise*math.Sqrt(12/of.n), free) || b.exceeds(halfShift(x), half, noise*2/math.Sqrt(of.n), free)
	if b.swings(x, of) {
		moves = math.Abs(b.periodShift(x)) > half
	}
	switch {
	case moves:
		return transient
	case len(x) >= fewest && of.scatter() > spread:
		return Oscillating
	}
	return Steady
}

// spreadLimit is beyond which spread a quantity oscillates, by the machine and the limits.
func (b *bins) spreadLimit(q cycle.Quantity) float64 {
	for k, l := range b.limits {
		if l.quantity == q {
			return b.before.spreadLimit(k, l)
		}
	}
	return math.NaN()
}

// exceeds tells whether a shift is beyond its limit and beyond what noise explains,
// by its standard error of some degrees of freedom.
func (s *scratch) exceeds(shift, limit, standardError float64, free int) bool {
	shift = math.Abs(shift)
	return shift > limit && shift > standardError*s.doubt(free)
}

// doubt is the factor on a standard error of some degrees of freedom, worked out once for
// each: windows of a log are much alike in length.
func (s *scratch) doubt(free int) float64 {
	factor, known := s.doubts[free]
	if !known {
		factor = robust.Student(certainty, free)
		s.doubts[free] = factor
	}
	return factor
}

// swings tells whether a series follows the hunting period, if there is one: about the
// line through it, it is like itself a period later, and unlike half a period later.
func (b *bins) swings(x []float64, of line) bool {
	if b.period == 0 {
		return false
	}
	lag := int(math.Round(float64(b.period) / float64(b.step)))
	if lag < 2 || lag >= len(x) {
		return false
	}
	rest := b.rest(x, of)
	return alike(rest, lag) > 0 && alike(rest, lag/2) < 0
}

// alike is the sum of products of a series with itself some steps later.
func alike(x []float64, lag int) (sum float64) {
	for i, v := range x[lag:] {
		sum += v * x[i]
	}
	return sum
}

// halfShift is the mean of the second half less that of the first.
func halfShift(x []float64) float64 { return endShift(x, len(x)/2) }

// periodShift is the mean of the last whole periods of a window less that of as
// many first ones: halves that cut a period would differ by the swing alone.
func (b *bins) periodShift(x []float64) float64 {
	period := float64(b.period) / float64(b.step)
	n := math.Max(1, math.Floor(float64(len(x))/2/period))
	return endShift(x, min(int(math.Round(n*period)), len(x)))
}

// endShift is the mean of the last k values less that of the first k.
func endShift(x []float64, k int) float64 {
	var shift float64
	for i, v := range x[len(x)-k:] {
		shift += v - x[i]
	}
	return shift / float64(k)
}
