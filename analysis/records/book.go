package records

import (
	"math"
	"time"

	"rimelog/pipeline/register"
)

// Recovered refrigerant within these days before a retrofit or a decommissioning was
// taken out for it, and is no service (common practice, no source).
const emptying = 7 * 24 * time.Hour

// first tells whether an event filled the system for the first time, or anew.
func (e entry) first() bool { return e.Kind == register.Install || e.Kind == register.Retrofit }

// moves tells whether an event moved refrigerant, weighed or not.
func (e entry) moves() bool { return e.Kind.Sign() != 0 }

// weighed tells whether its kilograms are known.
func (e entry) weighed() bool { return e.moves() && !math.IsNaN(e.KG) }

// replaces tells whether an event made up for a loss: refrigerant added in service, but
// not for a season, nor on the day of an installation or retrofit (40 CFR 82.157(b)).
func (c *circuit) replaces(e entry) bool {
	if e.Kind != register.ChargeAdded || e.Reason == register.ForSeason || e.Reason == register.ForCommissioning {
		return false
	}
	for _, x := range c.events {
		if x.first() && x.day.Equal(e.day) {
			return false
		}
	}
	return true
}

// returns tells whether an event took refrigerant out in service, to be made up for by
// what is added after.
func (c *circuit) returns(e entry) bool {
	if e.Kind != register.Recovered || e.Reason == register.ForSeason {
		return false
	}
	for _, x := range c.events {
		emptied := x.Kind == register.Retrofit || x.Kind == register.Decommissioned
		if after := x.day.Sub(e.day); emptied && after >= 0 && after <= emptying {
			return false
		}
	}
	return true
}

// sums are the kilograms of a record, or of a part of it.
type sums struct {
	first, added, recovered float64 // all of them
	lost, returned          float64 // added for losses, and recovered in service
	co2e                    float64 // of what was replaced, t
	count, unweighed        int
	since                   time.Time
}

// replaced is what was lost and put back.
func (s sums) replaced() float64 { return s.lost - s.returned }

// sum adds up the events that are wanted.
func (c *circuit) sum(want func(entry) bool) (s sums) {
	for _, e := range c.events {
		if s.since.IsZero() {
			s.since = e.day
		}
		if !want(e) || !e.moves() {
			continue
		}
		s.count++
		if !e.weighed() {
			s.unweighed++
			continue
		}
		s.take(c, e)
	}
	return s
}

func (s *sums) take(c *circuit, e entry) {
	switch {
	case e.first():
		s.first += e.KG
	case e.Kind == register.ChargeAdded:
		s.added += e.KG
	default:
		s.recovered -= e.KG
	}
	if c.replaces(e) {
		s.lost += e.KG
		s.co2e += c.co2e(e, e.KG)
	}
	if c.returns(e) {
		s.returned -= e.KG
		s.co2e += c.co2e(e, e.KG)
	}
}

func everything(entry) bool { return true }

func inYear(year int) func(entry) bool { return func(e entry) bool { return e.day.Year() == year } }

// years are those from the first row of the record to the day of the report.
func (c *circuit) years() (out []int) {
	if len(c.events) == 0 {
		return nil
	}
	for y := c.events[0].day.Year(); y <= c.asOf.Year(); y++ {
		out = append(out, y)
	}
	return out
}
