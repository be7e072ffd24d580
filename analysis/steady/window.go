package steady

import (
	"math"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
)

// Grade says what a window is worth.
type Grade string

// The grades that are kept.
const (
	Steady      Grade = "steady"      // drift and spread within their limits
	Oscillating Grade = "oscillating" // spread above them, mean stationary
	Spot        Grade = "spot"        // too short for a window, or never stationary: shown only
	transient   Grade = "transient"   // on the way to somewhere else: dropped
)

// A Window is a stretch that may be judged, with the means of all quantities.
type Window struct {
	Start, End  int64 // first and last sample, microseconds since 1970
	Grade       Grade
	By          Evidence
	Samples     int
	Period      float64 // hunting period, s; NaN where there is none
	Provisional bool    // shorter than asked for: shown, never used for trends

	Mean   cycle.Row // mean of the samples
	SD     cycle.Row // their spread
	Spread cycle.Row // standard uncertainty of the mean from the spread alone
}

// fewest is how many values, after averaging to the resampling step, a window
// needs so that halves and slope mean something.
const fewest = 4

// Cut finds the stays in samples and the windows in them. Derived columns must be
// filled in. The zone cuts the days of permanent loggers; nil stands for UTC.
func Cut(c *cycle.Columns, zone *time.Location, o Options) ([]Stay, []Window) {
	o.EnsureDefaults()
	if c.Rows() == 0 {
		return nil, nil
	}
	mask := RunningMask(c)
	cut := stays(c, o.VisitGap, zone)
	var windows []Window
	for i := range cut {
		windows = append(windows, cut[i].windows(c, mask, o)...)
	}
	return cut, windows
}

// windows returns the windows of a stay, or its spot, and completes the stay.
func (s *Stay) windows(c *cycle.Columns, mask Mask, o Options) []Window {
	s.By, s.on = mask.By, mask.On
	dt := spacing(c.Time[s.from:s.to])
	s.Running = minutesOn(mask.On[s.from:s.to], dt)
	var kept []Window
	for _, r := range stretches(c, *s, mask.On, dt, o) {
		for _, w := range cutStretch(c, r, dt, o) {
			if w.Grade == transient {
				s.Transient++
				continue
			}
			w.By = mask.By
			kept = append(kept, w)
		}
	}
	if len(kept) == 0 {
		return s.spot(c, mask, o)
	}
	return kept
}

// spot is the mean of the last running minutes of a stay, as long as a window.
func (s *Stay) spot(c *cycle.Columns, mask Mask, o Options) []Window {
	last := s.to - 1
	for last >= s.from && !mask.On[last] {
		last--
	}
	if last < s.from {
		return nil
	}
	first := last
	for first > s.from && mask.On[first-1] && c.Time[last]-c.Time[first-1] <= o.Window.Microseconds() {
		first--
	}
	w := newWindow(c, rows{first, last + 1})
	w.Grade, w.By, w.Provisional = Spot, mask.By, true
	return []Window{w}
}

// cutStretch cuts a stretch into windows, one after the other from its start.
func cutStretch(c *cycle.Columns, r rows, dt int64, o Options) []Window {
	b := newBins(c, r, dt, o)
	length := b.windowLength(o)
	have := c.Time[r.to-1] - c.Time[r.from] + dt
	provisional := have < length
	if provisional {
		if length = b.shortLength(have); have < o.Shortest.Microseconds() || length == 0 {
			return nil
		}
	}
	var out []Window
	for start := c.Time[r.from]; start+length <= c.Time[r.from]+have; start += length {
		w, ok := b.window(start, start+length)
		if !ok {
			continue
		}
		w.Provisional = provisional
		out = append(out, w)
	}
	return out
}

// newWindow takes means and spread over rows. A quantity with gaps in more than
// half of the rows has none.
func newWindow(c *cycle.Columns, r rows) Window {
	w := Window{
		Start: c.Time[r.from], End: c.Time[r.to-1], Samples: r.to - r.from, Period: math.NaN(),
		Mean: cycle.NewRow(), SD: cycle.NewRow(), Spread: cycle.NewRow(),
	}
	for q := cycle.Quantity(0); q < cycle.Quantities; q++ {
		if !c.Has(q) {
			continue
		}
		mean, sd, n, err := robust.Mean(c.Values[q][r.from:r.to])
		if err == nil && 2*n >= w.Samples {
			w.Mean[q], w.SD[q] = mean, sd
		}
	}
	return w
}
