package records

import (
	"fmt"
	"slices"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// rechecks are the repairs after which no check has shown yet that they hold: each has
// a window in which a check counts (Regulation (EU) 2024/573, Article 4(5)).
func (c *circuit) rechecks() (out []table.LeakCheck) {
	for i, e := range c.events {
		if e.Kind != register.Repaired || c.checkedAfter(i) || c.repairedAgain(i) {
			continue
		}
		for _, s := range c.rules.On(c.jurisdiction, e.day) {
			r := s.Repair
			if r == nil || !s.on(r.Source, e.day) || !c.under(s) {
				continue
			}
			l := c.row(dueRecheck, s, r.Source)
			l.OpensOn = opens(e, r.NotBeforeHours)
			l.Why = fmt.Sprintf("repaired on %s; a certified person checks it after %d hours of operation and within %s", date(e.day), r.NotBeforeHours, span(r.WithinMonths))
			out = append(out, c.by(l, addMonths(e.day, r.WithinMonths)))
		}
	}
	return out
}

// repairedAgain tells whether another repair of the same day follows: one check will do.
func (c *circuit) repairedAgain(i int) bool {
	return slices.ContainsFunc(c.events[i+1:], func(e entry) bool {
		return e.Kind == register.Repaired && e.day.Equal(c.events[i].day)
	})
}

func span(n int) string {
	if n == 1 {
		return "a month"
	}
	return fmt.Sprintf("%d months", n)
}

// opens is the first day on which a check counts.
func opens(e entry, hours int) time.Time {
	from := e.Time
	if !e.HasTime { // some time that day: the whole day is waited for
		from = from.Add(24*time.Hour - time.Minute)
	}
	day := calendarDay(from.Add(time.Duration(hours) * time.Hour))
	if !e.HasTime && hours > 0 {
		return e.day.AddDate(0, 0, (hours+23)/24)
	}
	return day
}

// under tells whether the system falls under a set's leak checks at all.
func (c *circuit) under(s RuleSet) bool {
	for _, r := range s.LeakChecks {
		if _, hi, ok := c.amount(s, r.Group, r.Measure); ok && hi >= r.Classes[0].From {
			return true
		}
	}
	return false
}

// checkedAfter tells whether a check or test after the i-th event, a repair, counts for
// it and did not fail. What comes before the window opens does not count.
func (c *circuit) checkedAfter(i int) bool {
	from := c.events[i].Time
	for _, s := range c.rules.On(c.jurisdiction, c.events[i].day) {
		if s.Repair != nil {
			from = opens(c.events[i], s.Repair.NotBeforeHours)
		}
	}
	for _, e := range c.events[i+1:] {
		counts := e.Kind == register.VerificationTest || e.Kind == register.DirectLeakCheck
		if counts && e.Outcome != register.Failed && !e.day.Before(calendarDay(from)) {
			return true
		}
	}
	return false
}

// afterCrossings is what has to follow when a limit of the leak rate was passed.
func (c *circuit) afterCrossings(crossings []table.Crossing) (out []table.LeakCheck) {
	for i, x := range crossings {
		s, rule, _, ok := c.rateRule(x.On)
		switch {
		case !ok:
		case x.What == crossedChronic:
			out = append(out, c.report(x, s, rule.Chronic)...)
		case x.What == crossedRate && !laterRate(crossings[i+1:]):
			out = append(out, c.repairDue(x, s, rule)...)
			out = append(out, c.inspection(x, s, rule)...)
		}
	}
	return out
}

// laterRate tells whether the limit was passed again: what follows is counted from the
// last time.
func laterRate(rest []table.Crossing) bool {
	for _, x := range rest {
		if x.What == crossedRate {
			return true
		}
	}
	return false
}

// repairDue is the repair with its first test, or the second test.
func (c *circuit) repairDue(x table.Crossing, s RuleSet, rule *LeakRateRule) []table.LeakCheck {
	r := rule.Repair
	var tests []entry
	for _, e := range c.after(x.On, register.VerificationTest) {
		if e.Outcome == register.Passed {
			tests = append(tests, e)
		}
	}
	switch len(tests) {
	case 0:
		l := c.row(dueRepair, s, r.Source)
		l.Why = fmt.Sprintf("leak rate %s %% on %s, limit %s %%: within %d days, or %d where an industrial process must be shut down", number(x.Value), date(x.On), number(x.Limit), r.Days, r.ShutdownDays)
		l.Doubt = r.Note
		return []table.LeakCheck{c.by(l, x.On.AddDate(0, 0, r.Days))}
	case 1:
		l := c.row(dueFollowUp, s, r.Source)
		l.LastOn = tests[0].day
		l.Why = fmt.Sprintf("initial test passed on %s: the follow-up test within %d days", date(tests[0].day), r.FollowUpDays)
		l.Doubt = r.Note
		return []table.LeakCheck{c.by(l, tests[0].day.AddDate(0, 0, r.FollowUpDays))}
	}
	return nil
}

// inspection is the next leak inspection after a limit was passed, until it was not
// passed again for as long as the rule asks.
func (c *circuit) inspection(x table.Crossing, s RuleSet, rule *LeakRateRule) []table.LeakCheck {
	use, _ := c.use()
	for _, r := range rule.Inspections {
		fits := c.charge.Hi >= r.FromKG && (r.Below == 0 || c.charge.Hi < r.Below) && slices.Contains(r.Uses, use)
		if !fits || c.asOf.After(addMonths(x.On, r.Until)) {
			continue
		}
		l := c.row(dueInspection, s, r.Source)
		l.Every = int64(r.Months)
		l.Why = fmt.Sprintf("the limit of the leak rate was passed on %s: %s until it was not for %d months", date(x.On), months(r.Months), r.Until)
		last := x.On
		for _, e := range c.after(x.On, register.DirectLeakCheck, register.IndirectLeakCheck) {
			last, l.LastOn = e.day, e.day
		}
		return []table.LeakCheck{c.next(l, last)}
	}
	return nil
}

// report is the report of a chronic leaker; what lies more than a year back is taken as
// sent.
func (c *circuit) report(x table.Crossing, s RuleSet, r ChronicRule) []table.LeakCheck {
	by, err := time.Parse("2006-01-02", fmt.Sprintf("%d-%s", x.On.Year()+1, r.ReportBy))
	if err != nil || c.asOf.After(by.AddDate(1, 0, 0)) {
		return nil
	}
	l := c.row(dueReport, s, r.Source)
	l.Why = fmt.Sprintf("%s %% of the full charge added in %d, %s %% or more are reported", number(x.Value), x.On.Year(), number(x.Limit))
	return []table.LeakCheck{c.by(l, by)}
}
