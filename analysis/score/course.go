package score

import (
	"slices"
	"time"

	"rimelog/ingest/demofleet/truth"
)

// falseBelow is the loss, as a share of the rated charge, below which a leak alarm
// is false, and a loss at once is none worth the name.
const falseBelow = 0.02

// A course is how a system's charge goes from one service that changes it to the
// next.
type course struct {
	from, to time.Time
	charge   float64   // at the baseline, kg; 0 where there is none
	baseline time.Time // first usable stay; zero where there is none
}

// coursesOf cuts a system's record at top-ups, overcharges and recoveries, and where
// another refrigerant is filled in.
func coursesOf(s truth.System, end time.Time) []course {
	var cuts []time.Time
	for _, e := range s.Episodes {
		if e.Fault != truth.Leak && e.Fault != truth.Overcharge {
			continue
		}
		for _, at := range []time.Time{e.Onset, e.Ended} {
			if !at.IsZero() && at.Before(end) && serviced(s, e, at) {
				cuts = append(cuts, at)
			}
		}
	}
	if r := s.Retrofit; r != nil && r.From.Before(end) {
		cuts = append(cuts, r.From)
	}
	slices.SortFunc(cuts, time.Time.Compare)
	cuts = slices.CompactFunc(cuts, time.Time.Equal)
	var list []course
	var from time.Time
	for _, at := range append(cuts, end) {
		list = append(list, course{from: from, to: at})
		from = at
	}
	return list
}

// serviced tells whether somebody changed the charge at an episode's edge: the
// charge rises there, or what was too much is recovered.
func serviced(s truth.System, e truth.Episode, at time.Time) bool {
	step := s.Charge(at) - s.Charge(at.Add(-time.Second))
	return step > 1e-4*s.Rated(at) || e.Fault == truth.Overcharge && step < 0
}

// rest settles the course's baseline.
func (c *course) rest(s truth.System, stays []stay) {
	for _, v := range stays {
		if c.holds(v.from) {
			c.baseline, c.charge = v.from, s.Charge(v.from)
			return
		}
	}
}

func (c course) holds(t time.Time) bool { return !t.Before(c.from) && t.Before(c.to) }

// loss is the share of the rated charge that is gone since the baseline; 0 before
// it, and where there is none.
func (c course) loss(s truth.System, t time.Time) float64 {
	if c.baseline.IsZero() || t.Before(c.baseline) {
		return 0
	}
	return max(0, (c.charge-s.Charge(t))/s.Rated(c.baseline))
}

// most is the loss at the end of a course.
func (c course) most(s truth.System) float64 { return c.loss(s, c.to.Add(-time.Nanosecond)) }

// deadline is the day of the first usable stay of a course at which the loss has
// passed x, to its end (UTC): findings have a date. Without such a stay it is the end
// of the course.
func (c course) deadline(s *subject, x float64) time.Time {
	for _, v := range s.stays {
		if c.holds(v.from) && c.loss(s.System, v.from) >= x {
			return nextDay(v.from).Add(-time.Nanosecond)
		}
	}
	return c.to
}

// sudden is the onset of the first loss at once in a course up to a time.
func (c course) sudden(s truth.System, upTo time.Time) (time.Time, bool) {
	var first time.Time
	for _, e := range s.Episodes {
		if e.Fault != truth.Leak || e.Sudden < falseBelow || !c.holds(e.Onset) || e.Onset.After(upTo) {
			continue
		}
		if first.IsZero() || e.Onset.Before(first) {
			first = e.Onset
		}
	}
	return first, !first.IsZero()
}

// onset is when the slow loss of a course began.
func (c course) onset(s truth.System) time.Time {
	first := c.to
	for _, e := range s.Episodes {
		going := e.Ended.IsZero() || e.Ended.After(c.from)
		if e.Fault == truth.Leak && e.PerYear > 0 && going && e.Onset.Before(first) {
			first = e.Onset
		}
	}
	if first.Before(c.from) {
		return c.from
	}
	return first
}

// courseAt is the course that a time lies in: the last from the end of the record on.
func (s *subject) courseAt(t time.Time) int {
	for i, c := range s.courses {
		if t.Before(c.to) {
			return i
		}
	}
	return len(s.courses) - 1
}
