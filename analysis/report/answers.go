package report

import (
	"cmp"
	"strings"

	"rimelog/analysis/drift"
	"rimelog/analysis/say"
	"rimelog/pipeline/table"
)

// answered is what people saw who were sent to findings, by kind; nil where nobody
// answered one.
func (f Fleet) answered() []drift.Hits { return drift.AnsweredOnly(drift.HitRate(f.Findings)) }

// ended is the state of a finding that is not open, and why.
func (s System) ended(f table.Finding) string {
	state := s.prose(f.State)
	if f.State == drift.ClosedByData && !f.ClearedOn.IsZero() {
		state = s.say.Text("%s, visit of %s", strings.TrimSuffix(state, "."), s.say.Day(f.ClearedOn, s.Zone()))
	}
	if f.Reason != "" {
		state = strings.TrimSuffix(state, ".") + ": " + s.say.Dated(s.say.Prose(f.Reason))
	}
	return say.Sentence(state)
}

// raisedBy names the visit that raised a finding; one that is withdrawn has none.
func (s System) raisedBy(f table.Finding) string {
	if f.RaisedOn.IsZero() {
		return s.say.Text("Raised by data or by a program that have changed since")
	}
	return s.say.Text("Raised by the visit of %s", s.say.Day(f.RaisedOn, s.Zone()))
}

// raisedOn is the day in short.
func (s System) raisedOn(f table.Finding) string {
	if f.RaisedOn.IsZero() {
		return "–"
	}
	return s.say.Day(f.RaisedOn, s.Zone())
}

// changedOn is the day on which a finding was closed, or last changed.
func (s System) changedOn(f table.Finding) string {
	return s.say.Day(cmp.Or(f.ClearedOn, f.ChangedOn), s.Zone())
}

// settles is the measurement that would tell a finding's cause from another, behind the
// next check.
func (s System) settles(f table.Finding) string {
	if f.Settles == "" {
		return ""
	}
	return " " + s.say.Text("To settle the cause, as likely as the latest visit leaves each: %s", s.say.Sentence(f.Settles))
}

// meets says when a limit will be met, behind the rate.
func (s System) meets(f table.Finding) string {
	if f.LimitOn.IsZero() {
		return ""
	}
	zone := s.Zone()
	latest := s.say.Text("later than anybody can say")
	if !f.LimitOnHi.IsZero() {
		latest = s.say.Day(f.LimitOnHi, zone)
	}
	return s.say.Text("; at this rate %s by about %s (%s to %s)", s.say.Prose(f.Limit), s.say.Day(f.LimitOn, zone), s.say.Day(f.LimitOnLo, zone), latest)
}
