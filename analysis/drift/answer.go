package drift

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// What a person saw where a finding sent them is evidence:
//
//   - confirmed: the finding ends, and its fault was put right on that day, so that a new
//     baseline begins as after any repair that the register has (Repaired);
//   - nothing found, other cause: the finding is lowered and its clock starts anew at that
//     visit. It is never deleted: it is open again when its feature has moved a further
//     effect of its kind since the visit, or when it still holds after Options.Memory;
//   - until the day of quiet_until it stays answered, whatever moves.

// KindOf is the kind of finding that an ID names; false where there is none.
func KindOf(id string) (kind string, ok bool) {
	parts := strings.Split(id, "/")
	if len(parts) < 3 {
		return "", false
	}
	for _, k := range everyKind() {
		if strings.EqualFold(slug(k), parts[1]) {
			return k, true
		}
	}
	return "", false
}

// everyKind lists the kinds that a finding may have.
func everyKind() (out []string) {
	for _, p := range patterns() {
		out = append(out, p.kind)
	}
	return append(append(out, LowFromTheStart), presentKinds()...)
}

// slug is a kind as it stands in an ID.
func slug(kind string) string { return strings.ReplaceAll(kind, " ", "-") }

// putsRight is the service act with which a kind of finding ends.
func putsRight(kind string) register.EventKind {
	switch kind {
	case CondenserFouling, EvaporatorFouling:
		return register.CoilCleaned
	case Restriction, Wear, Valve:
		return register.PartChanged
	case Gas, Overcharge:
		return register.Recovered
	}
	return register.Repaired
}

// actBefore is how long before an answer an act may lie that the answer confirms.
const actBefore = 14 * 24 * time.Hour

// Repaired returns the events together with the repairs that confirmed answers date, in
// time order: each where the register itself has none that ends the kind on the answer's
// day or in the two weeks before.
func Repaired(events []register.Event, answers []register.Answer) []register.Event {
	out := slices.Clone(events)
	for _, a := range answers {
		kind, _ := KindOf(a.Finding)
		if kind == LowFromTheStart { // it ends as a loss does
			kind = ChargeLoss
		}
		p, ok := find(kind)
		if a.Outcome != register.Confirmed || !ok || slices.ContainsFunc(events, p.ended(a.Time)) {
			continue
		}
		out = append(out, register.Event{
			System: a.System, Time: a.Time, HasTime: true, Kind: putsRight(kind), KG: math.NaN(), Person: a.Person,
			Note: "as the answer to " + a.Finding + " says",
		})
	}
	slices.SortStableFunc(out, func(a, b register.Event) int { return a.Time.Compare(b.Time) })
	return out
}

// ended tells whether an event put a kind right shortly before a time.
func (p pattern) ended(before time.Time) func(register.Event) bool {
	return func(e register.Event) bool {
		since := before.Sub(e.Time)
		return p.closedBy(e.Kind) && since >= 0 && since <= actBefore
	}
}

// civil is the day of an answer by its site's clock.
func civil(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// hear takes over the answers up to a time.
func (w *walk) hear(until func(register.Answer) bool) {
	for len(w.answers) > 0 && until(w.answers[0]) {
		a := w.answers[0]
		w.answers = w.answers[1:]
		if kind, ok := KindOf(a.Finding); ok && w.hears(kind) {
			w.answer(kind, a)
		}
	}
}

// answer finds the finding that is answered: by its ID; or, where older data or register
// rows have given it another since, by its kind and the day.
func (w *walk) answer(kind string, a register.Answer) {
	c := w.open[kind]
	if c != nil && (strings.EqualFold(c.ID, a.Finding) || !w.known(a.Finding) && !c.RaisedOn.After(a.Time)) {
		w.answerOpen(c, kind, a)
		return
	}
	for i := len(w.closed) - 1; i >= 0; i-- {
		f := &w.closed[i]
		if strings.EqualFold(f.ID, a.Finding) || !w.known(a.Finding) && f.Kind == kind && !f.RaisedOn.After(a.Time) {
			noteAnswer(f, a)
			f.Evidence = withNote(f.Evidence, spoken(a))
			return
		}
	}
	w.withdrawn = append(w.withdrawn, w.withdraw(kind, a))
}

// known tells whether a finding of an ID was raised.
func (w *walk) known(id string) bool {
	for _, f := range w.closed {
		if strings.EqualFold(f.ID, id) {
			return true
		}
	}
	for _, c := range w.open {
		if strings.EqualFold(c.ID, id) {
			return true
		}
	}
	return false
}

// answerOpen takes an answer over into a finding that is not closed.
func (w *walk) answerOpen(c *course, kind string, a register.Answer) {
	noteAnswer(&c.Finding, a)
	c.State, c.ChangedOn, c.answer, c.answeredSize = Answered, a.Time, &a, c.Size
	why := spoken(a)
	if a.Outcome == register.Confirmed {
		c.Reason, c.Now, c.ClearedOn = why, 1, a.Time
		c.Evidence = withNote(c.Evidence, why)
		w.closed = append(w.closed, c.Finding)
		delete(w.open, kind)
		return
	}
	c.Reason = why + w.memory(kind, a)
	c.Now = w.lowered(c, c.Now, a.Time)
	c.Evidence = withNote(c.Evidence, c.Reason)
	c.notes = append(c.notes, c.Reason)
}

func noteAnswer(f *table.Finding, a register.Answer) {
	f.Answer, f.AnsweredOn, f.AnsweredBy, f.AnswerNote, f.QuietUntil = a.Outcome.Text(), civil(a.Time), a.Person, a.Note, time.Time{}
	if !a.QuietUntil.IsZero() {
		f.QuietUntil = civil(a.QuietUntil)
	}
}

// spoken is an answer in words.
func spoken(a register.Answer) string {
	what := a.Outcome.Text()
	if what == "" {
		what = "put off until " + day(a.QuietUntil)
	}
	if a.Outcome == register.OtherCause && a.Note != "" {
		what += " (" + a.Note + ")"
	}
	return what + " on " + day(a.Time)
}

// memory says for how long an answer counts.
func (w *walk) memory(kind string, a register.Answer) string {
	if a.Outcome == register.AnswerUnknown || kind == LowFromTheStart {
		return ""
	}
	p, ok := find(kind)
	if !ok {
		return ": counts until " + day(a.Time.Add(w.options.Memory))
	}
	return fmt.Sprintf(": counts until %s; before, it is open again only if it moves a further %.1f K", day(a.Time.Add(w.options.Memory)), p.effect)
}

// reopen opens a finding again that was answered and holds all the same.
func (w *walk) reopen(f *course, p pattern, c table.Cause, d decision) {
	f.Now = w.lowered(f, trusted(c), d.on)
	a := f.answer
	if f.State != Answered || !d.on.After(a.QuietUntil) {
		return
	}
	further := (c.Size - f.answeredSize) * sign(c.Size)
	switch {
	case a.Outcome == register.AnswerUnknown:
	case !p.holds(c) || !d.on.After(a.Time):
		return
	case d.on.Sub(a.Time) < w.options.Memory && further < p.least(c.Feature):
		return
	}
	why := fmt.Sprintf("open again on %s: %+.1f %s since the answer", day(d.on), c.Size-f.answeredSize, MeasuredIn(c.Feature))
	f.State, f.Reason = Open, ""
	f.notes = append(f.notes, why)
	f.Evidence = withNote(f.Evidence, why)
}

func sign(x float64) float64 {
	if x < 0 {
		return -1
	}
	return 1
}

// overlooked is how often somebody who looks for a fault that is there finds nothing
// (common practice, no source: small leaks and hidden ones).
const overlooked = 0.25

// lowered is a probability after what somebody saw; the answer fades with its memory.
func (w *walk) lowered(c *course, p float64, on time.Time) float64 {
	a := c.answer
	if a == nil || a.Outcome != register.NothingFound && a.Outcome != register.OtherCause {
		return p
	}
	fades := 1 - on.Sub(a.Time).Hours()/w.options.Memory.Hours()
	by := math.Pow(overlooked, math.Max(0, math.Min(1, fades)))
	return p * by / (p*by + 1 - p)
}

// wake opens what was only put off until a day that has passed.
func (w *walk) wake(asOf time.Time) {
	for _, c := range w.open {
		if a := c.answer; c.State == Answered && a.Outcome == register.AnswerUnknown && civil(asOf).After(civil(a.QuietUntil)) {
			c.State, c.Reason = Open, ""
		}
	}
}

// withdraw is the row of a finding that somebody answered and that is not raised any more.
func (w *walk) withdraw(kind string, a register.Answer) table.Finding {
	f := blankFinding(w.system, kind)
	f.ID, f.State, f.ChangedOn = a.Finding, Withdrawn, a.Time
	f.Reason = "with the data, the register and the program of today it would not have been raised"
	noteAnswer(&f, a)
	f.Evidence = capital(f.Reason) + ". " + capital(spoken(a)) + "."
	return f
}

// blankFinding is a finding of which nothing is known yet.
func blankFinding(s register.System, kind string) table.Finding {
	nan := math.NaN()
	return table.Finding{
		System: s.ID, Site: s.Site, Kind: kind,
		Size: nan, SizeLo: nan, SizeHi: nan, PerYear: nan, PerYearLo: nan, PerYearHi: nan, RaisedSize: nan, RaisedYear: nan,
		Probability: nan, Now: nan, Lost: nan, LostLo: nan, LostHi: nan, LossPct: nan, LossPctLo: nan, LossPctHi: nan,
		LossKG: nan, LossKGLo: nan, LossKGHi: nan, Waiting: nan,
	}
}
