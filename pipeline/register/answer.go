package register

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"
)

// An Answer is what the person who was sent to a finding saw there: a row of
// answers.csv.
type Answer struct {
	Finding    string    // its ID, as in the table findings: SYSTEM/KIND/DAY
	System     string    // that the ID begins with, as in systems.csv
	Time       time.Time // when the person was there; where only the day is known, its last moment, so that the visit of that day lies before
	HasTime    bool      // the time of day is known
	Person     string
	Outcome    AnswerOutcome
	Note       string
	QuietUntil time.Time // last moment of the day up to which nobody wants to hear of it; zero: none

	Line int // of answers.csv
}

// AnswerOutcome is what a person found where a finding sent them.
type AnswerOutcome uint8

// What a person may find.
const (
	AnswerUnknown AnswerOutcome = iota
	Confirmed                   // it was so, and was put right on that day
	OtherCause                  // something else was wrong
	NothingFound                // nothing was wrong, as far as could be seen
)

// answerForm is answers.csv.
func answerForm() form[Answer] {
	return form[Answer]{
		name:   "answers.csv",
		doc:    "one line for each finding that somebody looked into: what was there",
		fresh:  func(line int) Answer { return Answer{Line: line} },
		line:   func(a *Answer) int { return a.Line },
		system: func(a *Answer) string { return a.System },
		columns: []column[Answer]{
			textColumn("finding", "the finding's ID, as the report and the table findings show it: SYSTEM/KIND/DAY", func(a *Answer) *string { return &a.Finding }),
			dateColumn("date", "year-month-day, and hour:minute where it is known, by the site's clock: when the person was there; of a confirmed one, when it was put right",
				func(a *Answer, t time.Time, hasTime bool) { a.Time, a.HasTime = t, hasTime },
				func(a *Answer) string { return moments(a.Time, a.HasTime) }),
			textColumn("person", "who was there", func(a *Answer) *string { return &a.Person }),
			wordColumn("outcome", "what was there", answerWords, func(a *Answer) *AnswerOutcome { return &a.Outcome }),
			textColumn("note", "anything else, such as the other cause", func(a *Answer) *string { return &a.Note }),
			dateColumn("quiet_until", "last day on which nobody wants to hear of it again",
				func(a *Answer, t time.Time, _ bool) { a.QuietUntil = t },
				func(a *Answer) string { return moments(a.QuietUntil, false) }),
		},
	}
}

// Answers returns what was answered to findings of a system, in time order.
func (r *Register) Answers(system string) []Answer { return r.answers[foldID(system)] }

func (r *Register) addAnswer(a Answer) {
	id := foldID(a.System)
	r.answers[id] = append(r.answers[id], a)
}

func (r *Register) sortAnswers() {
	form := answerForm()
	for _, rows := range r.answers {
		slices.SortFunc(rows, func(a, b Answer) int {
			return cmp.Or(a.Time.Compare(b.Time), cmp.Compare(form.canonical(&a), form.canonical(&b)))
		})
	}
}

// answers keeps the rows that answer something, each once.
func (c *checker) answers(rows []Answer) {
	const file = "answers.csv"
	lines := map[string]int{} // of each canonical text
	form := answerForm()
	for _, a := range rows {
		system, ok := c.answered(a)
		if !ok {
			continue
		}
		s, ok := c.register.System(system)
		if !ok {
			c.report(file, a.Line, c.noSuchSystem(a, system))
			continue
		}
		a.System = s.ID
		if !c.says(a) {
			continue
		}
		c.placeAnswer(&a, s)
		text := form.canonical(&a)
		if first, again := lines[text]; again {
			c.report(file, a.Line, RowError{Column: "finding", Value: a.Finding, System: s.ID, RowLost: true, Problem: fmt.Sprintf("says the same as line %d", first), Remedy: "take it out"})
			continue
		}
		lines[text] = a.Line
		c.register.addAnswer(a)
	}
	c.register.sortAnswers()
}

// answered is the system that an answer's finding is about.
func (c *checker) answered(a Answer) (system string, ok bool) {
	e := RowError{Column: "finding", Value: a.Finding, RowLost: true, Remedy: "copy it from the report or the table findings: SYSTEM/KIND/DAY, such as Cold-1/charge-loss/2025-02-03"}
	parts := strings.Split(a.Finding, "/")
	switch {
	case a.Finding == "":
		e.Problem = "empty, so that nobody knows what is answered"
	case len(parts) < 3 || slices.Contains(parts, ""):
		e.Problem = "not the ID of a finding"
	default:
		return parts[0], true
	}
	c.report("answers.csv", a.Line, e)
	return "", false
}

func (c *checker) noSuchSystem(a Answer, system string) RowError {
	e := RowError{Column: "finding", Value: a.Finding, System: system, RowLost: true,
		Problem: fmt.Sprintf("system %q is not in systems.csv", system), Remedy: "copy the finding's ID from the report or the table findings"}
	if near := Nearest(normalName(system), c.register.ids()); near != "" {
		e.Remedy += "; the system may be " + near
	}
	return e
}

// says tells whether an answer has a day and says anything.
func (c *checker) says(a Answer) bool {
	const file = "answers.csv"
	e := RowError{System: a.System, Problem: "empty", RowLost: true}
	bad := false
	report := func(column, problem, remedy string) {
		bad = true
		if !c.reported(file, a.Line, column) {
			e.Column, e.Problem, e.Remedy = column, problem, remedy
			c.report(file, a.Line, e)
		}
	}
	if a.Time.IsZero() {
		report("date", "empty, so that nobody knows which visits came after it", "write the day, such as 2026-04-03")
	}
	if a.Outcome == AnswerUnknown && (a.QuietUntil.IsZero() || c.reported(file, a.Line, "outcome")) {
		report("outcome", "empty, and no quiet_until either", "write one of "+strings.Join(answerWords[1:], ", "))
	}
	if day := a.Time.Truncate(24 * time.Hour); !a.QuietUntil.IsZero() && a.QuietUntil.Before(day) {
		e.Value = moments(a.QuietUntil, false)
		report("quiet_until", "before date", "check both dates")
	}
	return !bad
}

// placeAnswer puts an answer's days into the zone of its system.
func (c *checker) placeAnswer(a *Answer, s System) {
	const file = "answers.csv"
	written, hasTime := a.Time, a.HasTime
	c.place(&a.Time, a.HasTime, s, file, a.Line, "date")
	if a.Time.IsZero() { // the clocks skipped it; the day is known
		a.Time, hasTime = written.Truncate(24*time.Hour), false
		c.place(&a.Time, false, s, file, a.Line, "date")
	}
	a.HasTime = hasTime
	if !hasTime {
		a.Time = lastMoment(a.Time)
	}
	c.place(&a.QuietUntil, false, s, file, a.Line, "quiet_until")
	if !a.QuietUntil.IsZero() {
		a.QuietUntil = lastMoment(a.QuietUntil)
	}
}

// lastMoment is the last microsecond of a day by its own clock.
func lastMoment(day time.Time) time.Time {
	y, m, d := day.Date()
	next, _ := moment(time.Date(y, m, d+1, 0, 0, 0, 0, time.UTC), false, day.Location())
	return next.Add(-time.Microsecond)
}

// JudgeRows is the canonical text of what judging a system depends on: the rows of its
// analysis, and the answers to its findings.
func (r *Register) JudgeRows(system string) string {
	return r.AnalysisRows(system) + r.answerRows(system)
}

func (r *Register) answerRows(system string) string {
	var b strings.Builder
	form := answerForm()
	for _, a := range r.answers[foldID(system)] {
		b.WriteString(form.canonical(&a))
	}
	return b.String()
}
