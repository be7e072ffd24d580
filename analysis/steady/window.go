package steady

import (
	"cmp"
	"math"
	"slices"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
	"rimelog/pipeline/table"
)

// Grade says what a window is worth.
type Grade string

// The grades that are kept.
const (
	Steady      Grade = "steady"        // drift and spread within their limits
	Oscillating Grade = "oscillating"   // spread above them, mean stationary
	Spot        Grade = table.GradeSpot // too short for a window, or never stationary: shown only
	transient   Grade = "transient"     // on the way to somewhere else: dropped

	// Singles are a day's single samples at rest, too far apart for windows: they speak for
	// the day in trends, and are none themselves.
	Singles Grade = table.GradeSingles
)

// A Window is a stretch that may be judged, with the means of all quantities.
type Window struct {
	Start, End int64 // first and last sample, microseconds since 1970
	Grade      Grade
	By         Evidence
	Samples    int
	Period     float64 // hunting period, s; NaN where there is none
	Swing      float64 // amplitude of superheat where it hunts, K; NaN where it does not
	Duty       float64 // share of the time that superheat is above its mean, where it hunts

	SuperheatLimit  float64 // spread beyond which superheat counts as oscillating, K; NaN of a spot
	SubcoolingLimit float64 // and subcooling

	StartUnknown bool // the log began on a running machine a few minutes before
	Provisional  bool // shorter than asked for: shown, never used for trends

	Mean   cycle.Row // mean of the samples
	SD     cycle.Row // their spread
	Spread cycle.Row // standard uncertainty of the mean from the spread alone
}

// fewest is how many values, after averaging to the resampling step, a window
// needs so that halves and slope mean something. Where samples are sparse apart or
// further, two must do: a machine that switches on and off gives no more in a run, and
// what lies between them is longer than what pressures need to settle. Three do where the
// machine's noise is known.
const (
	fewest       = 4
	fewestKnown  = 3
	fewestSparse = 2
	sparse       = 2 * time.Minute
	sparsest     = 10 * time.Minute // beyond it, two samples are too far apart to say that it rested between
)

// least is how many values a window needs.
func (b *bins) least() int {
	if b.step >= sparse.Microseconds() && b.step <= sparsest.Microseconds() {
		return fewestSparse
	}
	if b.before != nil {
		return fewestKnown
	}
	return fewest
}

// Cut finds the stays in samples and the windows in them. Derived columns must be
// filled in. The zone cuts the days of permanent loggers; nil stands for UTC.
func Cut(c *cycle.Columns, zone *time.Location, o Options) ([]Stay, []*Window) {
	return CutAfter(nil, c, zone, o)
}

// CutAfter is Cut that knows what visits before those in the samples tell. Of visits it holds
// itself, each knows those before it.
func CutAfter(earlier Earlier, c *cycle.Columns, zone *time.Location, o Options) ([]Stay, []*Window) {
	o.EnsureDefaults()
	if c.Rows() == 0 {
		return nil, nil
	}
	cut := staysIn(c, zone, o)
	var windows []*Window
	memory := newScratch()
	days, visits := learn(c, cut, o, memory)
	memory.diary = days
	visits = slices.Concat(earlier.until(c.Time[0]).last(), visits)
	for i := range cut {
		if memory.visit = nil; !cut[i].Day {
			memory.visit = visits.until(cut[i].Start).noise()
		}
		windows = append(windows, cut[i].windows(c, o, memory)...)
	}
	return cut, windows
}

// staysIn finds the stays in samples, with what the machine did.
func staysIn(c *cycle.Columns, zone *time.Location, o Options) []Stay {
	cut := stays(c, o.VisitGap, zone)
	on := make([]bool, c.Rows())
	told := &evidences{Columns: c}
	for i := range cut {
		cut[i].on, cut[i].By = on, told.mask(on, cut[i].from, cut[i].to)
	}
	states := statesOf(c, cut, on, o)
	for i := range cut {
		cut[i].states = states
	}
	return cut
}

// unknownFor is how long after the beginning of a log on a running machine a window
// says that its start is not known.
const unknownFor = 10 * time.Minute

// windows returns the windows of a stay, or its spot, and completes the stay.
func (s *Stay) windows(c *cycle.Columns, o Options, memory *scratch) []*Window {
	dt := spacing(c.Time[s.from:s.to])
	s.Running = minutesOn(s.on[s.from:s.to], dt)
	s.count(dt)
	var kept []*Window
	for _, r := range s.stretches(c, dt) {
		known := r.from > s.from && c.Time[r.from]-c.Time[s.from] > o.Settle.Microseconds()
		found, dropped := cutStretch(c, r, known, dt, o, memory)
		s.Transient += dropped
		for _, w := range found {
			w.By = s.By
			w.StartUnknown = !slices.Contains(s.on[s.from:r.from+1], false) && w.Start-c.Time[s.from] < unknownFor.Microseconds()
			kept = append(kept, w)
		}
	}
	s.countRuns(c, kept, dt, o)
	if s.pools(dt, o) {
		if w := s.singles(c); w != nil {
			kept = append(kept, w)
			slices.SortStableFunc(kept, func(a, b *Window) int { return cmp.Compare(a.Start, b.Start) })
		}
	}
	if len(kept) == 0 {
		return s.spot(c, o)
	}
	return kept
}

// spot is the mean of the last running minutes of a stay, as long as a window.
func (s *Stay) spot(c *cycle.Columns, o Options) []*Window {
	last := s.to - 1
	for last >= s.from && (!s.on[last] || inAir(c, last)) {
		last--
	}
	if last < s.from {
		return nil
	}
	first := last
	for first > s.from && s.on[first-1] && !inAir(c, first-1) && c.Time[last]-c.Time[first-1] <= o.Window.Microseconds() {
		first--
	}
	w := newWindow(c, rows{first, last + 1})
	w.Grade, w.By, w.Provisional = Spot, s.By, true
	return []*Window{w}
}

// cutStretch cuts a stretch into windows, one after the other from its start. A
// stretch shorter than a window is one window if the start before it is known, or if it
// holds as many whole hunting periods as a window must: that their first and last ones
// have the same mean says what a start would. Otherwise it is provisional. Transient ones
// are counted and dropped.
func cutStretch(c *cycle.Columns, r rows, known bool, dt int64, o Options, memory *scratch) (found []*Window, dropped int64) {
	b := newBins(c, r, dt, o, memory)
	length := b.windowLength(o)
	have := c.Time[r.to-1] - c.Time[r.from] + dt
	provisional := false
	if have < length {
		if length = b.shortLength(have); have < o.Shortest.Microseconds() || length == 0 {
			return nil, 0
		}
		provisional = b.period == 0 && !known || length < int64(o.Periods)*b.period
	}
	found, dropped = b.tile(c.Time[r.from], c.Time[r.from]+have, length)
	for _, w := range found {
		w.Provisional = provisional
	}
	return found, dropped
}

// tries is in how many steps a transient window's length is searched for a start
// from which on the plant has settled.
const tries = 5

// tile lays windows of a length one after the other between two times. Past a transient
// one the next start is tried a step later, a whole hunting period where there is one;
// what is left at the end joins the last window, if that stays as good.
func (b *bins) tile(from, to, length int64) (found []*Window, dropped int64) {
	step := max(length/tries, b.dt, b.period)
	failed, last := int64(0), from
	for start := from; start+length <= to; {
		w, ok := b.window(start, start+length)
		if len(found) == 0 {
			w = b.pastHead(w, start+length)
		}
		switch {
		case !ok:
			start += length
		case w == nil:
			if start >= failed {
				dropped++
				failed = start + length
			}
			start += step
		default:
			found = append(found, w)
			last, failed, start = w.Start, 0, start+length
		}
	}
	if n := len(found); n > 0 && failed == 0 && to > last+length {
		end := to
		if b.period > 0 {
			end = last + (to-last)/b.period*b.period
		}
		if w, _ := b.window(last, end); w != nil {
			found[n-1] = w
		}
	}
	return found, dropped
}

// newWindow takes means and spread over rows.
func newWindow(c *cycle.Columns, r rows) *Window {
	w := blank(c, r)
	for q := cycle.Quantity(0); q < cycle.Quantities; q++ {
		w.take(c, r, q)
	}
	return w
}

// blank is a window over rows without means.
func blank(c *cycle.Columns, r rows) *Window {
	w := new(Window)
	w.clear(c, r)
	return w
}

// clear makes a window one over rows without means.
func (w *Window) clear(c *cycle.Columns, r rows) {
	*w = Window{
		Start: c.Time[r.from], End: c.Time[r.to-1], Samples: r.to - r.from, Period: math.NaN(), Swing: math.NaN(), Duty: math.NaN(),
		SuperheatLimit: math.NaN(), SubcoolingLimit: math.NaN(),
		Mean: cycle.NewRow(), SD: cycle.NewRow(), Spread: cycle.NewRow(),
	}
}

// take takes mean and spread of a quantity over the window's rows. One with gaps in more
// than half of them has none.
func (w *Window) take(c *cycle.Columns, r rows, q cycle.Quantity) {
	if !c.Has(q) {
		return
	}
	if mean, sd, n, err := robust.Mean(c.Values[q][r.from:r.to]); err == nil && 2*n >= w.Samples {
		w.Mean[q], w.SD[q] = mean, sd
	}
}
