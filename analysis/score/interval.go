package score

import (
	"time"

	"rimelog/ingest/demofleet/truth"
)

// An Interval is how often intervals (90 %) of findings hold the truth, and how wide
// they are: the median of width over true value.
type Interval struct {
	Coverage      *Share `json:"coverage"` // nil where no finding has an interval
	RelativeWidth Number `json:"relative_width"`
}

// intervals holds the estimates of the first leak alarm of each system that is neither
// false nor about a loss at once against the truth.
func (f fleet) intervals(alarms []alarm) (rate, lost Interval) {
	var rates, losses held
	for _, s := range f.subjects {
		for _, a := range of(alarms, s.ID, truth.Leak) {
			c := s.courses[s.courseAt(a.raised)]
			if _, sudden := c.sudden(s.System, a.raised); sudden || c.loss(s.System, a.raised) < falseBelow {
				continue
			}
			rates.add(a.rate, 100*lossRate(s.System, a.raised))
			at := s.standing(a)
			losses.add(a.lost, 100*s.courses[s.courseAt(at)].loss(s.System, at))
			break
		}
	}
	return rates.interval(), losses.interval()
}

// standing is the time that an alarm's estimates are of: that of the last usable stay before
// it was cleared, as far as the analysis has looked. What was put back since the loss began
// is not lost any more, so that the loss is that of the course it lies in.
func (s *subject) standing(a alarm) time.Time {
	at := a.raised
	for _, v := range s.stays {
		if v.from.After(at) && !v.from.After(a.changed) && (a.cleared.IsZero() || v.from.Before(a.cleared)) {
			at = v.from
		}
	}
	return at
}

// lossRate is how much a system's slow leaks take in a year, as a share of the charge.
func lossRate(s truth.System, t time.Time) (sum float64) {
	for _, e := range s.Episodes {
		if e.Fault == truth.Leak && !t.Before(e.Onset) && (e.Ended.IsZero() || t.Before(e.Ended)) {
			sum += e.PerYear
		}
	}
	return sum
}

// held counts intervals that hold the truth.
type held struct {
	hits, n int
	widths  []float64
}

func (h *held) add(e estimate, is float64) {
	if !e.given() || is <= 0 {
		return
	}
	h.n++
	if e.lo <= is && is <= e.hi {
		h.hits++
	}
	h.widths = append(h.widths, (e.hi-e.lo)/is)
}

func (h *held) interval() Interval {
	if h.n == 0 {
		return Interval{nil, absent}
	}
	s := share(h.hits, h.n)
	return Interval{&s, quantile(h.widths, 0.5)}
}
