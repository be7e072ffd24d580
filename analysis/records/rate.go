package records

import (
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// yearDays is the year of leak rates (40 CFR 82.152 and 84.102).
const yearDays = 365

// Annualizing is the leak rate in % a year by the annualizing method: the share of the
// full charge that was added, as if the loss had gone on for a year as it did since
// refrigerant was last put in. More than 365 days count as 365; less than one as one.
// 40 CFR 82.152 and 84.102, by secondary texts that agree.
func Annualizing(added, charge float64, days int) float64 {
	return added / charge / (float64(min(max(days, 1), yearDays)) / yearDays) * 100
}

// Rolling is the leak rate in % a year by the rolling average method: the share of the
// full charge that was added in the last 365 days, or since a follow-up test showed all
// leaks repaired. 40 CFR 82.152 and 84.102, by secondary texts that agree.
func Rolling(addedInWindow, charge float64) float64 { return addedInWindow / charge * 100 }

// leakRates are the rates at each day with an addition that made up for a loss.
func (c *circuit) leakRates() (out []table.LeakRate) {
	if !c.charge.Known() {
		return nil
	}
	for _, day := range c.lossDays() {
		r := table.LeakRate{System: c.id, On: day, Charge: c.charge.Mid, Limit: nan, Note: c.charge.By}
		if !c.charge.Exact() {
			r.Note = "charge " + c.charge.String() + ": " + c.charge.By
		}
		r.Added = c.lostBetween(day, day)
		days, first := c.daysSinceFilled(day)
		if r.Days = int64(days); first {
			r.Note += "; first addition on record: 365 days"
		}
		from, followed := c.windowStart(day)
		if r.Window = int64(day.Sub(from).Hours() / 24); followed {
			r.Note += "; window since the follow-up test of " + date(from)
		}
		r.Annualizing, r.AnnualizedLo, r.AnnualizedHi = c.overCharge(func(kg float64) float64 { return Annualizing(r.Added, kg, days) })
		inWindow := c.lostBetween(from.AddDate(0, 0, 1), day)
		r.Rolling, r.RollingLo, r.RollingHi = c.overCharge(func(kg float64) float64 { return Rolling(inWindow, kg) })
		if _, _, limit, ok := c.rateRule(day); ok {
			r.Limit = limit
		}
		out = append(out, r)
	}
	return out
}

// overCharge works out a rate with the charge, and with its most and its least.
func (c *circuit) overCharge(rate func(kg float64) float64) (mid, lo, hi float64) {
	hi = nan // where it may hold nothing, no rate is too high
	if c.charge.Lo > 0 {
		hi = rate(c.charge.Lo)
	}
	return rate(c.charge.Mid), rate(c.charge.Hi), hi
}

// lossDays are the days with additions that made up for a loss, each once.
func (c *circuit) lossDays() (out []time.Time) {
	for _, e := range c.events {
		if c.replaces(e) && e.weighed() && e.KG > 0 && (len(out) == 0 || !out[len(out)-1].Equal(e.day)) {
			out = append(out, e.day)
		}
	}
	return out
}

// lostBetween is what was added for losses from one day to another, both included.
func (c *circuit) lostBetween(from, to time.Time) (kg float64) {
	for _, e := range c.events {
		if c.replaces(e) && e.weighed() && !e.day.Before(from) && !e.day.After(to) {
			kg += e.KG
		}
	}
	return kg
}

// daysSinceFilled are the days since refrigerant was last put in before a day, at most
// 365, and 365 for the first time on record.
func (c *circuit) daysSinceFilled(day time.Time) (days int, first bool) {
	days, first = yearDays, true
	for _, e := range c.events {
		if e.day.Before(day) && e.Kind.Sign() > 0 {
			days, first = min(yearDays, int(day.Sub(e.day).Hours()/24)), false
		}
	}
	return days, first
}

// windowStart is the day after which additions count for the rolling average: 365 days
// back, or the last follow-up verification test that was passed since.
func (c *circuit) windowStart(day time.Time) (from time.Time, followed bool) {
	from = day.AddDate(0, 0, -yearDays)
	passed := 0 // tests since the last repair
	for _, e := range c.events {
		switch {
		case !e.day.Before(day):
			return from, followed
		case e.Kind == register.Repaired || e.Kind == register.LeakFound:
			passed = 0
		case e.Kind == register.VerificationTest && e.Outcome == register.Passed:
			if passed++; passed >= 2 && e.day.After(from) {
				from, followed = e.day, true
			}
		}
	}
	return from, followed
}

// rateRule is the rule that limits the system's leak rate on a day, with the limit for
// its use.
func (c *circuit) rateRule(day time.Time) (s RuleSet, r *LeakRateRule, limit float64, ok bool) {
	use, _ := c.use()
	for _, s := range c.rules.On(c.jurisdiction, day) {
		r := s.LeakRates
		if r == nil || !s.on(r.Source, day) || !c.covered(s, r) {
			continue
		}
		for _, l := range r.Limits {
			if l.Use == use {
				return s, r, l.Pct, true
			}
		}
	}
	return RuleSet{}, nil, nan, false
}

// covered tells whether a rule on leak rates is about the system: by its refrigerant and
// the most its charge may be.
func (c *circuit) covered(s RuleSet, r *LeakRateRule) bool {
	if c.fluid == nil || !(c.charge.Hi >= r.FromKG) {
		return false
	}
	_, share := s.Part(c.fluid, r.Group)
	_, not := s.Part(c.fluid, r.ButNotGroup)
	gwp, known := s.GWPOf(c.fluid)
	return share > 0 || known && r.OrGWPAbove > 0 && gwp > r.OrGWPAbove && not == 0
}
