package records

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"time"

	"rimelog/pipeline/register"
	"rimelog/thermo"
)

// A fault finder collects what is wrong in a rule set.
type faults struct{ errs []error }

func (f *faults) add(where, format string, args ...any) {
	f.errs = append(f.errs, fmt.Errorf(where+": "+format, args...))
}

var setID = regexp.MustCompile(`^[a-z0-9][a-z0-9-]{0,63}$`)

func (s RuleSet) validate() error {
	var f faults
	if !setID.MatchString(s.ID) {
		f.add("id", "%q: want lower-case letters, digits and hyphens", s.ID)
	}
	if s.Jurisdiction == "" || s.Title == "" || len(s.HoldsIn) == 0 {
		f.add("jurisdiction, title, holds_in", "want all three")
	}
	if s.From.Time.IsZero() || s.To != nil && s.To.Time.Before(s.From.Time) {
		f.add("valid_from, valid_to", "want a first day, and a last day that is not before it")
	}
	if _, ok := s.gwpSet(); !ok && s.GWPSet != "" {
		f.add("gwp_set", "%q: want one of %v", s.GWPSet, gwpSets())
	}
	s.validateGroups(&f)
	s.validateChecks(&f)
	s.validateRates(&f)
	s.validateBans(&f)
	s.validateRecords(&f)
	return errors.Join(f.errs...)
}

func (s RuleSet) validateGroups(f *faults) {
	for name, g := range s.GWP {
		if !known(name) || !(g >= 0) || math.IsInf(g, 0) {
			f.add("gwp", "%q %v: want a single substance by its number, and a number that is not negative", name, g)
		}
	}
	for group, names := range s.Groups {
		for _, name := range names {
			if !known(name) {
				f.add("groups", "%s: %q is no single substance that is known; write its number, such as R32", group, name)
			}
		}
	}
}

// known tells whether a name is that of a single substance, as thermo writes it.
func known(name string) bool {
	r, err := thermo.Lookup(name)
	return err == nil && r.Pure() && r.Name() == name
}

func (f *faults) source(where string, r Source) {
	if r.Text == "" {
		f.add(where, "text is empty: name the passage")
	}
	if r.Standing != Seen && r.Standing != FromMemory {
		f.add(where, "standing %q: want %q or %q", r.Standing, Seen, FromMemory)
	}
	if r.From != nil && r.To != nil && r.To.Time.Before(r.From.Time) {
		f.add(where, "valid_to is before valid_from")
	}
}

func (f *faults) group(where, name string, s RuleSet) {
	if _, ok := s.Groups[name]; !ok {
		f.add(where, "group %q is not among groups", name)
	}
}

func (f *faults) measure(where, m string) {
	if !slices.Contains([]string{TonnesCO2e, Kilograms, WholeKG}, m) {
		f.add(where, "measure %q: want %q, %q or %q", m, TonnesCO2e, Kilograms, WholeKG)
	}
}

func (f *faults) positive(where string, v float64) {
	if !(v > 0) || math.IsInf(v, 0) {
		f.add(where, "%v: want a positive number", v)
	}
}

// months are those of an interval: ten years at most.
func (f *faults) months(where string, n int) {
	if n < 1 || n > 120 {
		f.add(where, "%d months: want 1 to 120", n)
	}
}

func (s RuleSet) validateChecks(f *faults) {
	for i, r := range s.LeakChecks {
		where := fmt.Sprintf("leak_checks %d", i+1)
		f.source(where, r.Source)
		f.group(where, r.Group, s)
		f.measure(where, r.Measure)
		if len(r.Classes) == 0 {
			f.add(where, "no classes")
		}
		for j, c := range r.Classes {
			f.positive(where+" from", c.From)
			f.months(where, c.Months)
			f.months(where, c.WithDetection)
			if j > 0 && !(c.From > r.Classes[j-1].From) {
				f.add(where, "classes do not rise")
			}
		}
		for _, e := range r.Exempt {
			f.source(where+" exempt", e.Source)
			f.positive(where+" below", e.Below)
		}
	}
	for i, r := range s.Detection {
		where := fmt.Sprintf("detection %d", i+1)
		f.source(where, r.Source)
		f.group(where, r.Group, s)
		f.measure(where, r.Measure)
		f.positive(where+" from", r.From)
		f.months(where, r.Months)
	}
	if r := s.Repair; r != nil {
		f.source("repair", r.Source)
		f.months("repair", r.WithinMonths)
		if r.NotBeforeHours < 0 || r.NotBeforeHours > 24*28 {
			f.add("repair", "not_before_hours %d: want 0 to 672", r.NotBeforeHours)
		}
	}
	if s.Presumption != nil {
		f.source("presumption", *s.Presumption)
	}
}

func (s RuleSet) validateRates(f *faults) {
	if r := s.LossLimits; r != nil {
		f.source("loss_limits", r.Source)
		f.group("loss_limits", r.Group, s)
		if len(r.Classes) == 0 || r.Classes[0].FromKG != 0 {
			f.add("loss_limits", "want classes, the first from 0 kg")
		}
		for j, c := range r.Classes {
			f.positive("loss_limits pct", c.Pct)
			if j > 0 && !(c.FromKG > r.Classes[j-1].FromKG) {
				f.add("loss_limits", "classes do not rise")
			}
		}
	}
	r := s.LeakRates
	if r == nil {
		return
	}
	f.source("leak_rates", r.Source)
	f.group("leak_rates", r.Group, s)
	if r.ButNotGroup != "" {
		f.group("leak_rates but_not_group", r.ButNotGroup, s)
	}
	f.positive("leak_rates charge_from_kg", r.FromKG)
	for _, l := range r.Limits {
		f.words("leak_rates limits", "systems.csv", "use", l.Use)
		f.positive("leak_rates pct", l.Pct)
	}
	f.source("leak_rates repair", r.Repair.Source)
	if r.Repair.Days < 1 || r.Repair.ShutdownDays < r.Repair.Days || r.Repair.FollowUpDays < 1 || r.Repair.ShutdownDays > 3660 || r.Repair.FollowUpDays > 3660 {
		f.add("leak_rates repair", "want days, at least as many shutdown_days, and follow_up_days")
	}
	for _, i := range r.Inspections {
		f.source("leak_rates inspections", i.Source)
		f.words("leak_rates inspections", "systems.csv", "use", i.Uses...)
		f.months("leak_rates inspections", i.Months)
		f.months("leak_rates inspections", i.Until)
	}
	f.source("leak_rates chronic", r.Chronic.Source)
	f.positive("leak_rates chronic pct", r.Chronic.Pct)
	if _, err := time.Parse("01-02", r.Chronic.ReportBy); err != nil {
		f.add("leak_rates chronic", "report_by %q: want month and day, such as 03-01", r.Chronic.ReportBy)
	}
}

func (s RuleSet) validateBans(f *faults) {
	for i, r := range s.Bans {
		where := fmt.Sprintf("bans %d", i+1)
		f.source(where, r.Source)
		f.positive(where+" gwp_from", r.GWPFrom)
		if r.Group != "" {
			f.group(where, r.Group, s)
		}
		if r.Banned == "" || r.Allowed == "" || len(r.Uses) == 0 {
			f.add(where, "want banned, allowed and uses")
		}
		for _, u := range r.Uses {
			if !slices.Contains([]string{refrigeration, airConditioning, heatPump}, u) {
				f.add(where, "use %q: want %s, %s or %s", u, refrigeration, airConditioning, heatPump)
			}
		}
	}
}

func (s RuleSet) validateRecords(f *faults) {
	r := s.Records
	if r == nil {
		return
	}
	f.source("records", r.Source)
	for i, q := range r.Require {
		where := fmt.Sprintf("records require %d", i+1)
		f.columns(where, "systems.csv", q.System)
		f.columns(where, "events.csv", q.Columns)
		f.words(where, "events.csv", "event", q.Events...)
		f.words(where, "events.csv", "quality", q.Qualities...)
	}
}

// columns checks names against the columns of a register file.
func (f *faults) columns(where, file string, names []string) {
	for _, name := range names {
		if column(file, name) == nil {
			f.add(where, "%s has no column %q", file, name)
		}
	}
}

// words checks words against the vocabulary of a column.
func (f *faults) words(where, file, name string, words ...string) {
	for _, w := range words {
		if c := column(file, name); c == nil || !slices.Contains(c.Words, w) {
			f.add(where, "%q is no word of the column %s of %s", w, name, file)
		}
	}
}

func column(file, name string) *register.Column {
	for _, f := range register.Files() {
		for i := range f.Columns {
			if f.Name == file && f.Columns[i].Name == name {
				return &f.Columns[i]
			}
		}
	}
	return nil
}
