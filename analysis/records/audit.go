package records

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A trail collects what figures were made from.
type trail struct{ rows []table.AuditRow }

// A figure is one row of a table of the records.
type figure struct {
	trail         *trail
	table, system string
	name          string
}

func (t *trail) figure(of table.Table, system string, name ...string) figure {
	return figure{t, of.Name, system, strings.Join(name, " ")}
}

func (f figure) add(source, sha256 string) {
	f.trail.rows = append(f.trail.rows, table.AuditRow{Table: f.table, System: f.system, Figure: f.name, Source: source, SHA256: sha256})
}

// systemRow names the system's row, which says its refrigerant and charge.
func (f figure) systemRow(c *circuit) {
	if c.Register.Line > 0 {
		f.add(systemPlace(c.Register.Line), hash(c.Register.RecordText()))
	}
}

// events names the rows of events that are wanted.
func (f figure) events(c *circuit, want func(entry) bool) {
	for _, e := range c.events {
		if want(e) {
			f.add(e.place(), e.sha256)
		}
	}
}

// RulesFolder begins the source of a figure that is a rule set; its id follows.
const RulesFolder = "rules/"

// rule names the rule set whose title begins a passage.
func (f figure) rule(c *circuit, passage string) {
	for _, s := range c.rules.sets {
		if s.holds(c.jurisdiction) && strings.HasPrefix(passage, s.Title+", ") {
			f.add(RulesFolder+s.ID, s.SHA256)
		}
	}
}

// findings names findings and the uploads that their system's trends rest on.
func (f figure) findings(c *circuit, ids ...string) {
	if len(ids) == 0 {
		return
	}
	for _, x := range c.Findings {
		if slices.Contains(ids, x.ID) {
			f.add("finding "+x.ID, hash(fmt.Sprintf("%+v", x)))
		}
	}
	for _, u := range c.Uploads {
		f.add("uploads/"+u.Path, u.SHA256)
	}
}

// audit says what the figures of a system came from.
func (t *trail) audit(c *circuit, b *Books) {
	moves := func(e entry) bool { return e.moves() }
	f := t.figure(table.Balances(), c.id, c.Register.RefrigerantName)
	f.systemRow(c)
	f.events(c, moves)
	for _, l := range b.LeakChecks {
		f := t.figure(table.LeakChecks(), c.id, l.What, day(l.DueOn), l.Finding)
		f.systemRow(c)
		f.rule(c, l.Rule)
		f.events(c, c.behind(l))
		f.findings(c, split(l.Finding)...)
	}
	for _, r := range b.LeakRates {
		f := t.figure(table.LeakRates(), c.id, day(r.On))
		f.systemRow(c)
		f.events(c, c.behindRate(r))
	}
	for _, y := range b.LeakYears {
		f := t.figure(table.LeakYears(), c.id, fmt.Sprint(y.Year))
		f.systemRow(c)
		f.events(c, func(e entry) bool { return e.moves() && e.day.Year() == int(y.Year) })
	}
	t.auditCrossings(c, b)
}

func (t *trail) auditCrossings(c *circuit, b *Books) {
	for _, x := range b.Crossings {
		f := t.figure(table.Crossings(), c.id, x.What, day(x.On))
		f.systemRow(c)
		f.rule(c, x.Rule)
		f.events(c, func(e entry) bool {
			return e.moves() && !e.day.After(x.On) && e.day.After(x.On.AddDate(0, 0, -yearDays))
		})
	}
	for _, x := range b.Compared {
		f := t.figure(table.ChargesCompared(), c.id, day(x.To))
		f.systemRow(c)
		f.events(c, func(e entry) bool { return e.moves() && !e.day.Before(x.From) && !e.day.After(x.To) })
		f.findings(c, split(x.Findings)...)
	}
	for _, x := range b.Bans {
		f := t.figure(table.ServiceBans(), c.id, x.Refrigerant, day(x.From))
		f.systemRow(c)
		f.rule(c, x.Rule)
	}
}

// behind tells the events that something due follows from: checks, repairs and tests of
// the system, and for a finding who was told and what answered it.
func (c *circuit) behind(l table.LeakCheck) func(entry) bool {
	return func(e entry) bool {
		switch e.Kind {
		case register.Install:
			return l.What == dueLeakCheck
		case register.OperatorInformed, register.LeakFound:
			return l.What == dueDirect && !e.day.Before(l.OpensOn)
		case register.DirectLeakCheck:
			return l.What != dueSystemTest && (l.What != dueDirect || e.day.Equal(l.LastOn))
		case register.IndirectLeakCheck:
			return l.What == dueLeakCheck || l.What == dueInspection
		case register.Repaired, register.VerificationTest:
			return l.What == dueRecheck || l.What == dueRepair || l.What == dueFollowUp
		case register.DetectionSystemCheck:
			return l.What == dueSystemTest
		case register.ChargeAdded:
			return l.What == dueRepair || l.What == dueInspection || l.What == dueReport
		}
		return false
	}
}

// behindRate tells the events that a leak rate follows from: the additions of its
// window, and the last time before it that refrigerant was put in.
func (c *circuit) behindRate(r table.LeakRate) func(entry) bool {
	from := r.On.AddDate(0, 0, -int(max(r.Days, r.Window)))
	return func(e entry) bool {
		put := e.Kind.Sign() > 0 || e.Kind == register.VerificationTest
		return put && !e.day.Before(from) && !e.day.After(r.On)
	}
}

// auditFleet says what the figures of the fleet came from.
func (t *trail) auditFleet(circuits []*circuit, b *Books) {
	for _, m := range b.Stock {
		f := t.figure(table.Stock(), "", fmt.Sprint(m.Year), m.Refrigerant)
		for _, c := range circuits {
			f.events(c, func(e entry) bool {
				return e.moves() && e.day.Year() == int(m.Year) && c.fluidOf(e) == m.Refrigerant
			})
		}
	}
	for _, y := range b.FleetLoss {
		f := t.figure(table.FleetLosses(), "", fmt.Sprint(y.Year))
		for _, c := range circuits {
			f.events(c, func(e entry) bool { return e.day.Year() == int(y.Year) && (c.replaces(e) || c.returns(e)) })
		}
	}
	slices.SortStableFunc(t.rows, func(a, b table.AuditRow) int {
		return cmp.Or(cmp.Compare(a.Table, b.Table), cmp.Compare(a.System, b.System), cmp.Compare(a.Figure, b.Figure))
	})
}

func split(ids string) []string { return strings.Fields(ids) }

// day is a day for a figure's name; nothing where there is none.
func day(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return date(t)
}
