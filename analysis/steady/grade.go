package steady

import (
	"math"
	"sort"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
)

// bins is a stretch of samples averaged to even steps.
type bins struct {
	c      *cycle.Columns
	r      rows
	dt     int64           // usual spacing of the samples, µs
	step   int64           // of the bins, µs
	period int64           // hunting period, µs; 0 where there is none
	doubts map[int]float64 // factors of noise by the number of values, see doubt
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

func newBins(c *cycle.Columns, r rows, dt int64, o Options) *bins {
	b := &bins{c: c, r: r, dt: max(dt, 1), step: max(dt, o.Resample.Microseconds()), doubts: map[int]float64{}}
	if b.step > coarsest.Microseconds() {
		return b
	}
	look := b.part(c.Time[r.from], c.Time[r.from]+longestLook.Microseconds())
	for _, q := range []cycle.Quantity{cycle.Superheat, cycle.Evaporating} {
		if !c.Has(q) {
			continue
		}
		x := detrended(b.series(q, look))
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
// its neighbours, for the sake of even steps.
func (b *bins) series(q cycle.Quantity, r rows) []float64 {
	if r.to <= r.from {
		return nil
	}
	n := int((b.c.Time[r.to-1]-b.c.Time[r.from])/b.step) + 1
	sum, count := make([]float64, n), make([]float64, n)
	for i := r.from; i < r.to; i++ {
		if v := b.c.At(q, i); !math.IsNaN(v) {
			k := (b.c.Time[i] - b.c.Time[r.from]) / b.step
			sum[k] += v
			count[k]++
		}
	}
	for k := range sum {
		sum[k] /= count[k] // NaN where nothing was measured
	}
	return filled(sum)
}

// filled replaces gaps by the value before, at the start by the first value.
func filled(x []float64) []float64 {
	last := math.NaN()
	for _, v := range x {
		if !math.IsNaN(v) {
			last = v
			break
		}
	}
	if math.IsNaN(last) {
		return nil
	}
	for i, v := range x {
		if math.IsNaN(v) {
			x[i] = last
		}
		last = x[i]
	}
	return x
}

// detrended takes the straight line out of a series.
func detrended(x []float64) []float64 {
	slope, mean := lineOf(x)
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = v - mean - slope*(float64(i)-float64(len(x)-1)/2)
	}
	return out
}

// lineOf is the least squares line of an even series: slope per step, and mean.
func lineOf(x []float64) (slope, mean float64) {
	var sxy, sxx float64
	for i, v := range x {
		at := float64(i) - float64(len(x)-1)/2
		sxy += at * v
		sxx += at * at
		mean += v / float64(len(x))
	}
	if sxx == 0 {
		return 0, mean
	}
	return sxy / sxx, mean
}

// window takes and grades the window from <= t < to. It is not ok where too few
// samples fall into it.
func (b *bins) window(from, to int64) (Window, bool) {
	r := b.part(from, to)
	if r.to-r.from < b.least() || int64(r.to-r.from)*b.dt < (to-from)/2 {
		return Window{}, false
	}
	w := newWindow(b.c, r)
	if b.period > 0 {
		w.Period = float64(b.period) / 1e6
		w.Swing, w.Duty = swing(b.series(cycle.Superheat, r))
	}
	w.Grade = Steady
	for q := cycle.Quantity(0); q < cycle.Quantities; q++ {
		if math.IsNaN(w.Mean[q]) {
			continue
		}
		x := b.series(q, r)
		w.Spread[q] = b.spread(x, w.SD[q])
	}
	for _, l := range limits {
		if math.IsNaN(w.Mean[l.quantity]) {
			continue
		}
		g := b.grade(l.over(to-from), b.series(l.quantity, r), w.Mean[l.quantity])
		if g == transient && l.lags {
			w.forget(cycle.DischargeTemp, cycle.DischargeSuperheat)
			continue
		}
		w.Grade = worse(w.Grade, g)
	}
	return w, true
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

func worse(a, b Grade) Grade {
	rank := map[Grade]int{Steady: 0, Oscillating: 1, transient: 2}
	if rank[b] > rank[a] {
		return b
	}
	return a
}

// certainty is the confidence with which noise must fail to explain a drift
// before the window is called transient.
const certainty = 0.95

// grade judges one quantity of a window.
func (b *bins) grade(l limit, x []float64, mean float64) Grade {
	drift, half, spread := l.drift, halfLimit, l.spread
	if l.relative {
		drift, spread = drift*math.Abs(mean), spread*math.Abs(mean)
		half = drift
	}
	if n := len(x); n < fewest { // too few to tell noise from drift
		if n > 1 && math.Abs(x[n-1]-x[0]) > drift {
			return transient
		}
		return Steady
	}
	slope, _ := lineOf(x)
	noise, n := scatter(x), float64(len(x))
	moves := b.exceeds(slope*n, drift, noise*math.Sqrt(12/n), len(x)) || b.exceeds(halfShift(x), half, noise*2/math.Sqrt(n), len(x))
	if b.swings(x) {
		moves = math.Abs(b.periodShift(x)) > half
	}
	switch {
	case moves:
		return transient
	case noise > spread:
		return Oscillating
	}
	return Steady
}

// scatter is the standard deviation about the straight line of a series.
func scatter(x []float64) float64 {
	ss := 0.0
	for _, v := range detrended(x) {
		ss += v * v
	}
	return math.Sqrt(ss / float64(len(x)-2))
}

// exceeds tells whether a shift is beyond its limit and beyond what noise explains,
// by its standard error from n values.
func (b *bins) exceeds(shift, limit, standardError float64, n int) bool {
	shift = math.Abs(shift)
	return shift > limit && shift > standardError*b.doubt(n)
}

// doubt is the factor on the standard error of a line through n values, worked out once
// for each n: windows of a stretch are much alike in length.
func (b *bins) doubt(n int) float64 {
	factor, known := b.doubts[n]
	if !known {
		factor = robust.Student(certainty, n-2)
		b.doubts[n] = factor
	}
	return factor
}

// swings tells whether a series follows the hunting period, if there is one.
func (b *bins) swings(x []float64) bool {
	if b.period == 0 {
		return false
	}
	lag := int(math.Round(float64(b.period) / float64(b.step)))
	if lag < 2 || lag >= len(x) {
		return false
	}
	acf, err := robust.Autocorrelation(detrended(x), lag)
	return err == nil && acf[lag] > 0 && acf[lag/2] < 0
}

// halfShift is the mean of the second half less that of the first.
func halfShift(x []float64) float64 {
	h := len(x) / 2
	first, _, _, _ := robust.Mean(x[:h])
	last, _, _, _ := robust.Mean(x[len(x)-h:])
	return last - first
}

// periodShift is the mean of the last whole periods of a window less that of as
// many first ones: halves that cut a period would differ by the swing alone.
func (b *bins) periodShift(x []float64) float64 {
	period := float64(b.period) / float64(b.step)
	n := math.Max(1, math.Floor(float64(len(x))/2/period))
	k := min(int(math.Round(n*period)), len(x))
	first, _, _, _ := robust.Mean(x[:k])
	last, _, _, _ := robust.Mean(x[len(x)-k:])
	return last - first
}
