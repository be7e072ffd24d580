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

// A BriskRate is the interval of the rate of loss where it must be known well.
type BriskRate struct {
	Interval
	Silent int `json:"silent"` // findings of such losses that give none
}

// An estimated is the first leak alarm of a system that is neither false nor about a loss at
// once, with the truth behind its estimates.
type estimated struct {
	alarm
	perYear, gone float64 // truly: percent of charge a year, percent of charge
	stays         int     // usable ones up to the one that the estimates are of
}

func (f fleet) estimated(alarms []alarm) (list []estimated) {
	for _, s := range f.subjects {
		for _, a := range of(alarms, s.ID, truth.Leak) {
			c := s.courses[s.courseAt(a.raised)]
			if _, sudden := c.sudden(s.System, a.raised); sudden || c.loss(s.System, a.raised) < falseBelow {
				continue
			}
			at := s.standing(a)
			list = append(list, estimated{a, 100 * lossRate(s.System, a.raised), 100 * s.courses[s.courseAt(at)].loss(s.System, at), s.until(at)})
			break
		}
	}
	return list
}

// intervals holds the estimates of losses against the truth.
func intervals(list []estimated) (rate, lost Interval) {
	var rates, losses held
	for _, e := range list {
		rates.add(e.rate, e.perYear)
		losses.add(e.lost, e.gone)
	}
	return rates.interval(), losses.interval()
}

// From which loss a year and after how many usable stays a rate of loss must be known well.
const (
	brisk      = 10.0 // percent of charge
	wellLooked = 12
)

// Calibration of the estimates: by a weighed addition or recovery, or by none.
const (
	byNone    = "no weighed addition"
	byWeighed = "weighed addition"
)

// briskRates holds the rates of systems that lose much and were looked at often against the
// truth, by what calibrates them.
func briskRates(list []estimated) map[string]BriskRate {
	out := map[string]BriskRate{}
	for name, weighed := range map[string]bool{byNone: false, byWeighed: true} {
		var rates held
		silent := 0
		for _, e := range list {
			if e.perYear < brisk || e.stays < wellLooked || e.calibrated != weighed {
				continue
			}
			if rates.add(e.rate, e.perYear); !e.rate.given() {
				silent++
			}
		}
		out[name] = BriskRate{rates.interval(), silent}
	}
	return out
}

// until is how many usable stays there were up to a time.
func (s *subject) until(at time.Time) (n int) {
	for _, v := range s.stays {
		if !v.from.After(at) {
			n++
		}
	}
	return n
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
