package drift

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// The states of a finding.
const (
	Open         = "open"
	ClosedByData = "closed by data"
)

// Findings walks through a system's trends in time and raises, keeps and closes
// findings, each decided from what was known on its day. Trends and events after
// asOf do not count. A finding keeps its identity: the system, the kind, and the
// first visit of the segment in which it was raised.
func Findings(s register.System, events []register.Event, trends []table.Trend, asOf time.Time, o Options) []table.Finding {
	o.EnsureDefaults()
	w := walk{system: s, options: o, open: map[string]*course{}}
	past := func(t time.Time) bool { return !calendarDay(t).After(calendarDay(asOf)) }
	for _, d := range decisions(trends) {
		if !past(d.on) {
			break
		}
		var since []register.Event
		for _, e := range events {
			if past(e.Time) && e.Time.After(w.last) && !e.Time.After(d.on) {
				since = append(since, e)
			}
		}
		w.step(d, since)
	}
	return w.result()
}

// A decision is the trends of all features as of one visit.
type decision struct {
	on     time.Time
	trends map[string]table.Trend
}

func decisions(trends []table.Trend) []decision {
	sorted := slices.Clone(trends)
	slices.SortStableFunc(sorted, func(a, b table.Trend) int { return a.DecidedOn.Compare(b.DecidedOn) })
	var out []decision
	for _, t := range sorted {
		if n := len(out); n == 0 || !out[n-1].on.Equal(t.DecidedOn) {
			out = append(out, decision{t.DecidedOn, map[string]table.Trend{}})
		}
		out[len(out)-1].trends[t.Feature] = t
	}
	return out
}

// A course is a finding on its way, with what closes it.
type course struct {
	table.Finding
	quiet int // decisions within noise in a row
}

// A walk is the state while going through the decisions.
type walk struct {
	system  register.System
	options Options
	last    time.Time
	open    map[string]*course // by kind
	closed  []table.Finding
}

func (w *walk) step(d decision, since []register.Event) {
	for _, p := range patterns() {
		w.events(p, d, since)
		w.judge(p, d)
	}
	w.last = d.on
}

// events closes a finding that somebody saw to.
func (w *walk) events(p pattern, d decision, since []register.Event) {
	c := w.open[p.kind]
	if c == nil {
		return
	}
	for _, e := range since {
		switch {
		case p.closedBy(e.Kind):
			w.close(p, d, "closed: "+e.Kind.String()+" on "+day(e.Time))
			return
		case e.Kind.Resets():
			c.Evidence = withNote(c.Evidence, e.Kind.String()+" on "+day(e.Time)+": watched anew from there")
			c.ChangedOn, c.quiet = d.on, 0
		}
	}
}

// judge raises, updates or closes by what the trends say.
func (w *walk) judge(p pattern, d decision) {
	c := w.open[p.kind]
	carrier := d.trends[p.carrier]
	switch {
	case p.holds(d, c != nil):
		if c == nil {
			c = &course{Finding: w.raise(p, d)}
			w.open[p.kind] = c
		}
		w.update(c, p, d)
	case c == nil:
	case c.over(carrier):
		if c.quiet++; c.quiet >= w.options.Quiet {
			w.close(p, d, fmt.Sprintf("closed: %d times in a row not half of the earlier change a year", c.quiet))
		}
	default:
		c.quiet = 0
	}
}

// over tells whether a trend says that the change has stopped: its interval
// excludes half of the rate that was found. To be within noise is not enough: a
// few visits after a top-up nothing else can be said of a machine that goes on
// leaking.
func (c *course) over(t table.Trend) bool {
	if c.PerYear < 0 {
		return t.Lo > c.PerYear/2
	}
	return t.Hi < c.PerYear/2
}

func (w *walk) raise(p pattern, d decision) table.Finding {
	t, nan := d.trends[p.carrier], math.NaN()
	return table.Finding{
		Probability: nan, Lost: nan, LostLo: nan, LostHi: nan, LossPct: nan, LossPctLo: nan, LossPctHi: nan, LossKG: nan, LossKGLo: nan, LossKGHi: nan,
		ID:     strings.Join([]string{w.system.ID, strings.ReplaceAll(p.kind, " ", "-"), day(t.Since)}, "/"),
		System: w.system.ID, Site: w.system.Site, Kind: p.kind, State: Open, Feature: p.carrier,
		RaisedOn: d.on, RaisedSize: t.Change, RaisedYear: t.PerYear,
		Alternative: p.alternative, NextCheck: p.nextCheck,
	}
}

func (w *walk) update(c *course, p pattern, d decision) {
	t := d.trends[p.carrier]
	c.quiet = 0
	c.ChangedOn = d.on
	if !t.Suspected.After(c.RaisedOn) { // what is known cannot have begun later
		c.Suspected = t.Suspected
	}
	c.Size, c.SizeLo, c.SizeHi = t.Change, t.ChangeLo, t.ChangeHi
	c.PerYear, c.PerYearLo, c.PerYearHi = t.PerYear, t.Lo, t.Hi
	c.Visits = t.Visits
	c.Evidence = p.evidence(d)
	c.LimitedBy = strings.Join(limits(w.system, p, d), "; ")
}

func (w *walk) close(p pattern, d decision, why string) {
	f := w.open[p.kind].Finding
	f.State, f.ClearedOn, f.ChangedOn = ClosedByData, d.on, d.on
	f.Evidence = withNote(f.Evidence, why)
	w.closed = append(w.closed, f)
	delete(w.open, p.kind)
}

// withNote adds a sentence to evidence once.
func withNote(evidence, note string) string {
	sentence := strings.ToUpper(note[:1]) + note[1:] + "."
	if strings.Contains(evidence, sentence) {
		return evidence
	}
	return evidence + " " + sentence
}

// result lists the findings by the day they were raised, then by kind. Two of a
// kind raised in one segment are told apart by a number.
func (w *walk) result() []table.Finding {
	out := slices.Clone(w.closed)
	for _, p := range patterns() {
		if c := w.open[p.kind]; c != nil {
			out = append(out, c.Finding)
		}
	}
	slices.SortStableFunc(out, func(a, b table.Finding) int {
		return cmp.Or(a.RaisedOn.Compare(b.RaisedOn), cmp.Compare(a.Kind, b.Kind))
	})
	seen := map[string]int{}
	for i := range out {
		seen[out[i].ID]++
		if n := seen[out[i].ID]; n > 1 {
			out[i].ID += "/" + string(rune('0'+n))
		}
	}
	return out
}

func day(t time.Time) string { return t.Format(time.DateOnly) }
