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
	Answered     = "answered"
	ClosedByData = "closed by data"
	Withdrawn    = "withdrawn"
)

// Findings walks through a system's causes in time and raises, keeps and closes
// findings, each decided from what was known on its day. What is later than asOf does
// not count. A finding keeps its identity: the system, the kind, and the first visit
// after the kind was last put right. Events are those of Repaired, by which trends and
// causes were worked out; answers are what people saw where findings sent them.
func Findings(s register.System, events []register.Event, answers []register.Answer, trends []table.Trend, causes []table.Cause, asOf time.Time, o Options) []table.Finding {
	o.EnsureDefaults()
	w := walk{system: s, options: o, answers: answers, open: map[string]*course{}, held: map[string]bool{}, named: map[string]int{},
		hears: func(kind string) bool { _, ok := find(kind); return ok }}
	past := func(t time.Time) bool { return !calendarDay(t).After(calendarDay(asOf)) }
	for _, d := range decisions(trends, causes) {
		if !past(d.on) {
			break
		}
		var since []register.Event
		for _, e := range events {
			if past(e.Time) && e.Time.After(w.last) && !e.Time.After(d.on) {
				since = append(since, e)
			}
		}
		w.hear(func(a register.Answer) bool { return !a.Time.After(d.on) })
		w.step(d, since)
	}
	w.hear(func(a register.Answer) bool { return !civil(a.Time).After(calendarDay(asOf)) })
	w.wake(asOf)
	return w.result()
}

// A decision is the trends of all features and the causes as of one visit.
type decision struct {
	on     time.Time
	trends map[string]table.Trend // by feature
	causes []table.Cause
}

func decisions(trends []table.Trend, causes []table.Cause) []decision {
	at := map[time.Time]*decision{}
	of := func(on time.Time) *decision {
		if at[on] == nil {
			at[on] = &decision{on: on, trends: map[string]table.Trend{}}
		}
		return at[on]
	}
	for _, t := range trends {
		of(t.DecidedOn).trends[t.Feature] = t
	}
	for _, c := range causes {
		d := of(c.DecidedOn)
		d.causes = append(d.causes, c)
	}
	var out []decision
	for _, d := range at {
		out = append(out, *d)
	}
	slices.SortFunc(out, func(a, b decision) int { return a.on.Compare(b.on) })
	return out
}

// cause is what is known of a kind; none is known where its odds are poor.
func (d decision) cause(kind string) table.Cause {
	for _, c := range d.causes {
		if c.Kind == kind {
			return c
		}
	}
	return table.Cause{Kind: kind, Odds: math.Inf(-1), Sure: math.Inf(-1)}
}

// A course is a finding on its way, with what closes it.
type course struct {
	table.Finding
	quiet int      // decisions in a row at which it is likelier that nothing is wrong
	notes []string // what happened since it was raised

	answer       *register.Answer // the latest; nil where nobody answered
	answeredSize float64          // how far its feature had moved then
}

// A walk is the state while going through the decisions.
type walk struct {
	system  register.System
	options Options
	first   time.Time // of the decisions
	last    time.Time
	open    map[string]*course // by kind
	held    map[string]bool    // by kind: whether its cause held at the last decision
	closed  []table.Finding

	answers   []register.Answer // that are still to be heard, in time order
	named     map[string]int    // findings raised by the ID of their episode
	withdrawn []table.Finding
	hears     func(kind string) bool // whether answers to a kind are meant
}

func (w *walk) step(d decision, since []register.Event) {
	if w.first.IsZero() {
		w.first = d.on
	}
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
		case spared(p, d, e):
			c.notes = append(c.notes, e.Kind.String()+" on "+day(e.Time)+": not this one, which stayed")
		case p.closedBy(e.Kind):
			w.close(p, d, "closed: "+e.Kind.String()+" on "+day(e.Time))
			return
		case e.Kind.Resets():
			c.notes = append(c.notes, e.Kind.String()+" on "+day(e.Time))
			c.ChangedOn, c.quiet = d.on, 0
		}
	}
}

// spared tells whether an act left the coil, the gas or the valve of a finding as it was: what
// is known of its fault goes on from before it.
func spared(p pattern, d decision, e register.Event) bool {
	c := d.cause(p.kind)
	stays := p.closedBy(e.Kind) && coilOf(p.kind) != "" || p.kind == Gas || p.kind == Valve && e.Kind == register.SetpointChanged
	return stays && e.HasTime && p.stands(c) && c.Since.Before(e.Time)
}

// judge raises, updates or closes by what the causes say.
func (w *walk) judge(p pattern, d decision) {
	f, c := w.open[p.kind], d.cause(p.kind)
	switch {
	case f == nil && w.raises(p, c, d):
		w.tellApart(p.kind, d)
		f = &course{Finding: w.raise(p, c)}
		w.open[p.kind] = f
		w.update(f, p, c, d)
		f.RaisedCauses = f.Causes
	case f == nil:
	case !p.stands(c):
		w.rest(f, p, d, "closed: %d times in a row likelier that nothing is wrong")
	case p.gone(c):
		w.rest(f, p, d, "closed: %d times in a row nothing left that is worth a visit")
	default:
		w.update(f, p, c, d)
		w.reopen(f, p, c, d)
	}
}

// rest is a decision at which a finding does not show, and closes it after some in a row.
func (w *walk) rest(f *course, p pattern, d decision, why string) {
	if f.quiet++; f.quiet >= w.options.Quiet {
		w.close(p, d, fmt.Sprintf(why, f.quiet))
	}
}

// soon is how far apart decisions are at most where a logger stays: what one week shows, the next
// one must show too, and hardly anything is lost by waiting for it. So must what a visit leaves
// behind show what it found: an act may have ended what one took for another.
const soon = 15 * 24 * time.Hour

// raises tells whether a cause is raised now: it holds, and held at the decision before or is so
// sure that one will do, where the next one is far.
func (w *walk) raises(p pattern, c table.Cause, d decision) bool {
	held, holds := w.held[p.kind], p.holds(c) && w.distinct(c, d) && !w.belied(c, d) && w.patient(c, d)
	w.held[p.kind] = holds
	return holds && (held || c.Sure >= p.limits.atOnce-p.warms(c) && !w.stays(d))
}

// stays tells whether a logger stays, as far as the decision before a decision tells.
func (w *walk) stays(d decision) bool { return d.on.Sub(w.last) <= soon }

func (w *walk) raise(p pattern, c table.Cause) table.Finding {
	f := blankFinding(w.system, p.kind)
	f.ID, f.State = w.name(p.kind, c.Since), Open
	f.RaisedOn, f.RaisedSize, f.RaisedYear = c.DecidedOn, c.Size, c.PerYear
	f.Probability = trusted(c)
	f.Now = f.Probability
	f.Alternative, f.NextCheck = p.alternative, p.nextCheck
	return f
}

// name is the ID of a finding. Two of a kind raised in one episode are told apart by a
// number.
func (w *walk) name(kind string, since time.Time) string {
	id := strings.Join([]string{w.system.ID, slug(kind), day(since)}, "/")
	w.named[id]++
	if n := w.named[id]; n > 1 {
		id += fmt.Sprintf("/%d", n)
	}
	return id
}

func (w *walk) update(f *course, p pattern, c table.Cause, d decision) {
	f.quiet = 0
	f.ChangedOn = d.on
	if !c.Suspected.After(f.RaisedOn) { // what is known cannot have begun later
		f.Suspected = c.Suspected
	}
	f.Feature = c.Feature
	f.Size, f.SizeLo, f.SizeHi = c.Size, c.SizeLo, c.SizeHi
	f.PerYear, f.PerYearLo, f.PerYearHi = c.PerYear, c.PerYearLo, c.PerYearHi
	f.Visits = c.Visits
	f.Causes = told(d.causes)
	w.lose(f, c)
	f.Evidence = withNote(p.evidence(c), rateNote(f.Finding, c))
	for _, n := range f.notes {
		f.Evidence = withNote(f.Evidence, n)
	}
	f.LimitedBy = strings.Join(limitsOf(w.system, p, c, d), "; ")
}

// lose takes over how much charge has gone, and the rate as far as it shows. Where that cannot
// be told any more, what was known last stands.
func (w *walk) lose(f *course, c table.Cause) {
	if math.IsNaN(c.LossPct) && !math.IsNaN(f.LossPct) {
		return
	}
	rated := ratesAnew(f.Finding, c)
	f.Lost, f.LostLo, f.LostHi, f.CalibratedBy = c.Lost, c.LostLo, c.LostHi, c.CalibratedBy
	if !rated {
		return
	}
	f.LossPct, f.LossPctLo, f.LossPctHi = c.LossPct, c.LossPctLo, c.LossPctHi
	kg := w.system.Charge.KG / 100
	f.LossKG, f.LossKGLo, f.LossKGHi = c.LossPct*kg, c.LossPctLo*kg, c.LossPctHi*kg
}

// What a finding says where its rate is not that of its latest decision.
const (
	noRate   = "what went at once has no rate"
	heldRate = "the rate is the one known before: since then less seems to go than a leak loses by itself, as where charge was added and not written down"
)

// rateNote is what is to be said of a finding's rate beside a decision.
func rateNote(f table.Finding, c table.Cause) string {
	switch {
	case c.Kind != ChargeLoss:
		return ""
	case math.IsNaN(f.LossPct) && c.Sudden:
		return noRate
	case !math.IsNaN(c.LossPct) && f.LossPct != c.LossPct && !atFloor(c):
		return heldRate
	}
	return ""
}

// ratesAnew tells whether a decision says more of a loss's rate than what a finding holds. What
// came at once has none, and what goes on after subcooling is used up was reckoned at the rate
// before. No leak slows down by itself: a rate below all that was held possible speaks for charge
// that nobody wrote down, but not where a weighed addition says what a kelvin is worth.
func ratesAnew(f table.Finding, c table.Cause) bool {
	switch {
	case c.Sudden:
		return false
	case math.IsNaN(f.LossPct) || c.CalibratedBy != f.CalibratedBy:
		return true
	case atFloor(c):
		return false
	}
	return c.CalibratedBy > 0 || c.LossPct >= f.LossPctLo
}

// atFloor tells whether a decision reckons what is lost at the rate before, since subcooling is used up.
func atFloor(c table.Cause) bool { return strings.Contains(c.Note, usedUp) }

func (w *walk) close(p pattern, d decision, why string) {
	f := w.open[p.kind].Finding
	f.State, f.ClearedOn, f.ChangedOn, f.Reason = ClosedByData, d.on, d.on, strings.TrimPrefix(why, "closed: ")
	f.Evidence = withNote(f.Evidence, why)
	w.closed = append(w.closed, f)
	delete(w.open, p.kind)
}

// withNote adds a sentence to evidence once.
func withNote(evidence, note string) string {
	if note == "" {
		return evidence
	}
	sentence := strings.ToUpper(note[:1]) + note[1:] + "."
	if strings.Contains(evidence, sentence) {
		return evidence
	}
	return evidence + " " + sentence
}

// result lists the findings by the day they were raised, then by kind.
func (w *walk) result() []table.Finding {
	out := slices.Concat(w.withdrawn, w.closed)
	for _, kind := range everyKind() {
		if c := w.open[kind]; c != nil {
			out = append(out, c.Finding)
		}
	}
	slices.SortStableFunc(out, func(a, b table.Finding) int {
		return cmp.Or(a.RaisedOn.Compare(b.RaisedOn), cmp.Compare(a.Kind, b.Kind))
	})
	return out
}

func day(t time.Time) string { return t.Format(time.DateOnly) }
