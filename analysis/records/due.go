package records

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// The states of something due.
const (
	Overdue     = "overdue"
	NeverDone   = "never done"
	Recommended = "recommended"
	DueSoon     = "due soon"
	NotKnown    = "not known"
	Planned     = "planned"
	Answered    = "answered"
)

// urgency is the order of the states in the list.
func urgency(state string) int {
	return slices.Index([]string{Overdue, NeverDone, Recommended, DueSoon, NotKnown, Planned, Answered}, state)
}

// What may be due.
const (
	dueLeakCheck  = "leak check"
	dueDetection  = "leak detection system"
	dueSystemTest = "check of the leak detection system"
	dueRecheck    = "re-check after repair"
	dueRepair     = "repair and initial verification test"
	dueFollowUp   = "follow-up verification test"
	dueInspection = "leak inspection"
	dueReport     = "report of a chronic leaker"
	dueDirect     = "direct leak check"
)

// due is all that is due at the system.
func (c *circuit) due(crossings []table.Crossing) (out []table.LeakCheck) {
	if c.gone {
		return nil
	}
	for _, s := range c.sets {
		if c.fluid == nil && len(out) > 0 {
			break // one row will do to say that nobody knows
		}
		out = append(out, c.leakCheck(s)...)
		out = append(out, c.detection(s)...)
	}
	out = append(out, c.rechecks()...)
	out = append(out, c.afterCrossings(crossings)...)
	return append(out, c.suspicions()...)
}

// row is something due under a rule.
func (c *circuit) row(what string, s RuleSet, r Source) table.LeakCheck {
	return table.LeakCheck{System: c.id, Site: c.Register.Site, What: what,
		Jurisdiction: s.Jurisdiction, Rule: s.passage(r), Standing: r.Standing}
}

// by sets the last day of something, and its state.
func (c *circuit) by(l table.LeakCheck, day time.Time) table.LeakCheck {
	l.DueOn = day
	switch {
	case day.Before(c.asOf):
		l.State = Overdue
	case !day.After(c.asOf.AddDate(0, 0, c.options.DueSoon)):
		l.State = DueSoon
	default:
		l.State = Planned
	}
	return l
}

// leakCheck is the next periodic leak check under a set: the shortest interval of all
// its parts that ask for one.
func (c *circuit) leakCheck(s RuleSet) []table.LeakCheck {
	var found []table.LeakCheck
	for _, r := range s.LeakChecks {
		if !s.on(r.Source, c.asOf) {
			continue
		}
		if l, ok := c.byClass(s, r); ok {
			found = append(found, l)
		}
	}
	if len(found) == 0 {
		return nil
	}
	l := slices.MinFunc(found, func(a, b table.LeakCheck) int { return cmp.Compare(every(a), every(b)) })
	if l.State == NotKnown {
		return []table.LeakCheck{l}
	}
	l.LastOn = c.lastDay(register.DirectLeakCheck, register.IndirectLeakCheck)
	return []table.LeakCheck{c.next(l, cmp.Or(l.LastOn, c.lastDay(register.Install)))}
}

// every is the interval of a row; one that nobody knows comes last.
func every(l table.LeakCheck) int64 {
	if l.Every == 0 {
		return 1 << 32
	}
	return l.Every
}

// next sets the last day of something that recurs, from when it was done last.
func (c *circuit) next(l table.LeakCheck, last time.Time) table.LeakCheck {
	if last.IsZero() {
		l.State = NeverDone
		return l
	}
	return c.by(l, addMonths(last, int(l.Every)))
}

// addMonths goes months ahead, to the last day of a month that has not as many days.
func addMonths(day time.Time, n int) time.Time {
	to := day.AddDate(0, n, 0)
	if to.Day() != day.Day() {
		to = to.AddDate(0, 0, -to.Day())
	}
	return to
}

// byClass is what one rule asks for: nothing where the charge is below its classes or
// the system is exempt.
func (c *circuit) byClass(s RuleSet, r LeakCheckRule) (l table.LeakCheck, ok bool) {
	l = c.row(dueLeakCheck, s, r.Source)
	lo, hi, known := c.amount(s, r.Group, r.Measure)
	if !known {
		return c.unknownCharge(l, s, r)
	}
	class, at := classOf(r, hi)
	if class == nil {
		return l, false
	}
	exempt, why := c.exempt(r, lo, hi)
	if exempt {
		return l, false
	}
	l.Every = int64(class.Months)
	if c.Register.LeakDetection == table.Yes {
		l.Every = int64(class.WithDetection)
	} else if c.Register.LeakDetection == table.Unknown && class.WithDetection != class.Months {
		l.Doubt = "leak_detection is empty in systems.csv: taken as not fitted"
	}
	l.Why = fmt.Sprintf("%s %s of %s%s: %s", between(lo, hi), unitOf(r.Measure), r.Group, at, months(int(l.Every)))
	l.Doubt = both(l.Doubt, why, c.classDoubt(r, lo, hi), r.Note)
	return l, true
}

// unknownCharge is the row of a system of which only the refrigerant is known, and that
// it may fall under a rule.
func (c *circuit) unknownCharge(l table.LeakCheck, s RuleSet, r LeakCheckRule) (table.LeakCheck, bool) {
	l.State = NotKnown
	if c.fluid == nil {
		l.Why = "its refrigerant is not known, so nobody can say whether it is due"
		l.Doubt = "write its refrigerant into systems.csv"
		return l, true
	}
	if perKG, ok := s.Measure(c.fluid, r.Group, r.Measure); !ok || perKG == 0 {
		return l, false
	}
	l.Why = "its charge is not known: certified staff determine it (Regulation (EC) 1516/2007, recital 2)"
	l.Doubt = "write design_charge_kg, or charge_low_kg and charge_high_kg, into systems.csv"
	return l, true
}

// classOf is the class of an amount, and how far it reaches for people.
func classOf(r LeakCheckRule, amount float64) (class *Class, at string) {
	for i := range r.Classes {
		if amount >= r.Classes[i].From {
			class, at = &r.Classes[i], " (from "+number(r.Classes[i].From)+")"
		}
	}
	return class, at
}

// exempt tells whether an exemption frees the system, at the most its charge may be, or
// what would have to be known.
func (c *circuit) exempt(r LeakCheckRule, lo, hi float64) (exempt bool, doubt string) {
	for _, e := range r.Exempt {
		sealed := !e.Hermetic || c.Register.Hermetic == table.Yes
		housed := !e.Residential || c.Register.Residential == table.Yes
		switch {
		case hi < e.Below && sealed && housed:
			return true, ""
		case lo < e.Below && maybe(sealed, c.Register.Hermetic) && maybe(housed, c.Register.Residential):
			doubt = fmt.Sprintf("exempt below %s %s where %s", number(e.Below), unitOf(r.Measure), e.Text)
		}
	}
	return false, doubt
}

// maybe tells whether a condition holds or may hold.
func maybe(holds bool, s table.State) bool { return holds || s == table.Unknown }

// classDoubt says what the lower end of a charge's range would ask for.
func (c *circuit) classDoubt(r LeakCheckRule, lo, hi float64) string {
	low, _ := classOf(r, lo)
	high, _ := classOf(r, hi)
	switch {
	case low == high:
		return ""
	case low == nil:
		return "the charge is known as " + c.charge.String() + " only: at the least, none is due"
	}
	return "the charge is known as " + c.charge.String() + " only: at the least, " + months(low.Months)
}

// detection is what is due for a leak detection system.
func (c *circuit) detection(s RuleSet) (out []table.LeakCheck) {
	for _, r := range s.Detection {
		lo, hi, known := c.amount(s, r.Group, r.Measure)
		if !known || hi < r.From || !s.on(r.Source, c.asOf) {
			continue
		}
		l := c.row(dueDetection, s, r.Source)
		l.Why = fmt.Sprintf("%s %s of %s: a leak detection system that alerts is asked for from %s", between(lo, hi), unitOf(r.Measure), r.Group, number(r.From))
		switch c.Register.LeakDetection {
		case table.Yes:
			l.What, l.Every = dueSystemTest, int64(r.Months)
			l.LastOn = c.lastDay(register.DetectionSystemCheck)
			l = c.next(l, l.LastOn)
		case table.No:
			l.State = NeverDone
		default:
			l.State, l.Doubt = NotKnown, "leak_detection is empty in systems.csv"
		}
		return append(out, l)
	}
	return out
}

// sortDue puts the most pressing first.
func sortDue(rows []table.LeakCheck) {
	slices.SortStableFunc(rows, func(a, b table.LeakCheck) int {
		return cmp.Or(cmp.Compare(urgency(a.State), urgency(b.State)), a.DueOn.Compare(b.DueOn), cmp.Compare(a.System, b.System), cmp.Compare(a.What, b.What))
	})
}
