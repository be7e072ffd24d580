package steady

import (
	"slices"
	"sort"
	"time"

	"rimelog/analysis/cycle"
)

// A Stay is a stretch of samples without a gap of hours: a visit, or a day of a
// permanent logger, or the part of either that lies in one month.
type Stay struct {
	Start     int64    `json:"start"` // first sample, microseconds since 1970
	End       int64    `json:"end"`   // last sample
	Samples   int64    `json:"samples"`
	Running   float64  `json:"running"`   // minutes with the compressor running
	Logged    float64  `json:"logged"`    // minutes: each sample stands for the usual distance
	Off       float64  `json:"off"`       // minutes with the compressor standing still
	LeftOut   float64  `json:"left_out"`  // minutes that no window may hold, though it did not stand still
	Transient int64    `json:"transient"` // windows that were dropped as transient
	Day       bool     `json:"day"`       // a day of a log that went on for more than 24 hours
	By        Evidence `json:"by"`
	Step      float64  `json:"step,omitempty"`   // usual distance of samples, s; only where they are too far apart to see all
	Runs      int64    `json:"runs,omitempty"`   // there: runs of the compressor long enough for a window
	Unseen    int64    `json:"unseen,omitempty"` // and those of them without any

	from, to int // rows
	on       []bool
	states   []state // of all samples
}

// Rows are the rows of a stay that Cut found in samples: the first, and the first
// after it.
func (s Stay) Rows() (from, to int) { return s.from, s.to }

// On tells for each row of the samples that Cut was given whether the compressor ran.
func (s Stay) On() []bool { return s.on }

// longLog is from which length on a log is that of a permanent logger.
const longLog = 24 * time.Hour

// stays cuts samples into stays: at gaps, at midnight by the site's clock where a
// log goes on for longer than a day, and at the end of a month in UTC, since a
// month is what is worked on at a time; Visits joins the latter again.
func stays(c *cycle.Columns, gap time.Duration, zone *time.Location) []Stay {
	var out []Stay
	for _, r := range runs(c.Time, gap.Microseconds()) {
		long := c.Time[r.to-1]-c.Time[r.from] > longLog.Microseconds()
		for r.from < r.to {
			end := nextMonth(c.Time[r.from])
			if long {
				end = min(end, nextMidnight(c.Time[r.from], zone))
			}
			cut := r.from + sort.Search(r.to-r.from, func(i int) bool { return c.Time[r.from+i] >= end })
			out = append(out, newStay(c, rows{r.from, cut}, long))
			r.from = cut
		}
	}
	return out
}

func nextMonth(micros int64) int64 {
	t := utc(micros)
	return time.Date(t.Year(), t.Month()+1, 1, 0, 0, 0, 0, time.UTC).UnixMicro()
}

func newStay(c *cycle.Columns, r rows, day bool) Stay {
	return Stay{Start: c.Time[r.from], End: c.Time[r.to-1], Samples: int64(r.to - r.from), Day: day, from: r.from, to: r.to}
}

// rows is a range of rows, the last not included.
type rows struct{ from, to int }

// runs cuts times where two neighbours are further apart than a gap.
func runs(t []int64, gap int64) []rows {
	var out []rows
	from := 0
	for i := 1; i <= len(t); i++ {
		if i == len(t) || t[i]-t[i-1] > gap {
			out = append(out, rows{from, i})
			from = i
		}
	}
	return out
}

func nextMidnight(micros int64, zone *time.Location) int64 {
	t := time.UnixMicro(micros).In(in(zone))
	return time.Date(t.Year(), t.Month(), t.Day()+1, 0, 0, 0, 0, t.Location()).UnixMicro()
}

// in is the zone, or UTC where it is unknown.
func in(zone *time.Location) *time.Location {
	if zone == nil {
		return time.UTC
	}
	return zone
}

// spacing is the median distance of neighbours, microseconds; 0 for one sample.
func spacing(t []int64) int64 {
	if len(t) < 2 {
		return 0
	}
	if d, most := mostly(t); most {
		return d
	}
	d := make([]int64, len(t)-1)
	for i := range d {
		d[i] = t[i+1] - t[i]
	}
	slices.Sort(d)
	return d[len(d)/2]
}

// mostly is the distance of more than half of the neighbours, which is their median, and
// whether there is one: the vote of Boyer and Moore (1981), then counted.
func mostly(t []int64) (d int64, most bool) {
	votes, count := 0, 0
	for i, at := range t[1:] {
		switch {
		case votes == 0:
			d, votes = at-t[i], 1
		case at-t[i] == d:
			votes++
		default:
			votes--
		}
	}
	for i, at := range t[1:] {
		if at-t[i] == d {
			count++
		}
	}
	return d, 2*count > len(t)-1
}

// minutesOn is how long the mask is on: each sample stands for the usual spacing.
func minutesOn(on []bool, dt int64) float64 {
	n := 0
	for _, v := range on {
		if v {
			n++
		}
	}
	return float64(n) * float64(dt) / float64(time.Minute.Microseconds())
}

// count fills in how long the machine stood still, and how long nothing may be judged
// though it did not.
func (s *Stay) count(dt int64) {
	per := float64(dt) / float64(time.Minute.Microseconds())
	s.Logged = per * float64(s.to-s.from)
	for _, st := range s.states[s.from:s.to] {
		switch st {
		case off:
			s.Off += per
		case running:
		default:
			s.LeftOut += per
		}
	}
}

// countRuns counts, in a log whose samples are far apart, the runs of the compressor that
// last long enough for a window, and those that hold none.
func (s *Stay) countRuns(c *cycle.Columns, windows []*Window, dt int64, o Options) {
	if dt < sparse.Microseconds() {
		return
	}
	s.Step = float64(dt) / 1e6
	for from := s.from; from < s.to; {
		to := from
		for to < s.to && s.on[to] {
			to++
		}
		if lasts := int64(to-from) * dt; lasts >= o.Settle.Microseconds()+o.Window.Microseconds() {
			s.Runs++
			if !slices.ContainsFunc(windows, func(w *Window) bool { return w.Start >= c.Time[from] && w.Start <= c.Time[to-1] }) {
				s.Unseen++
			}
		}
		from = to + 1
	}
}

// gapFactor times the usual spacing is a hole in the log.
const gapFactor = 5

// stretches cuts the rows of a stay into runs that may be judged, at holes and at
// midnight (UTC, so that a window never crosses a month and does not depend on how far
// back the log goes).
func (s Stay) stretches(c *cycle.Columns, dt int64) (out []rows) {
	day := (24 * time.Hour).Microseconds()
	from := -1
	for i := s.from; i <= s.to; i++ {
		goes := i < s.to && s.states[i] == running
		if from >= 0 && (!goes || c.Time[i]-c.Time[i-1] > hole(dt) || c.Time[i]/day != c.Time[i-1]/day) {
			out = append(out, rows{from, i})
			from = -1
		}
		if goes && from < 0 {
			from = i
		}
	}
	return out
}

func utc(micros int64) time.Time { return time.UnixMicro(micros).UTC() }
