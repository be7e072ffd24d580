package records

import (
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"

	"rimelog/pipeline/table"
)

// Calendar writes what is due as an iCalendar file (RFC 5545): an event of a whole day
// for each, on the last day on which it is in time; what is overdue, never done or
// recommended stands on the day of the report. An event keeps its identity over reports,
// so that a calendar that reads the file again moves it instead of doubling it.
func Calendar(rows []table.LeakCheck, asOf time.Time) []byte {
	cal := ics.NewCalendarFor("rimelog")
	cal.SetMethod(ics.MethodPublish)
	cal.SetXWRCalName("Refrigerant: what is due")
	for _, l := range rows {
		on, ok := onCalendar(l, asOf)
		if !ok {
			continue
		}
		e := cal.AddEvent(identity(l))
		e.SetDtStampTime(asOf)
		e.SetAllDayStartAt(on)
		e.SetAllDayEndAt(on.AddDate(0, 0, 1))
		e.SetSummary(oneLine(l.System + ": " + l.What + " (" + l.State + ")"))
		e.SetDescription(oneLine(describe(l)))
		if l.Site != "" {
			e.SetLocation(oneLine(l.Site))
		}
		e.SetStatus(ics.ObjectStatusTentative)
	}
	return []byte(cal.Serialize(ics.WithNewLineWindows))
}

// identity names something due: what recurs keeps it, however often it was done.
func identity(l table.LeakCheck) string {
	once := ""
	switch l.What {
	case dueRecheck:
		once = date(l.OpensOn)
	case dueReport:
		once = date(l.DueOn)
	}
	return hash(strings.Join([]string{l.System, l.What, l.Rule, l.Finding, once}, "\x00"))[:32] + "@rimelog"
}

// onCalendar is the day of something due; false where it needs none.
func onCalendar(l table.LeakCheck, asOf time.Time) (time.Time, bool) {
	switch l.State {
	case Overdue, NeverDone, Recommended:
		return asOf, true
	case DueSoon, Planned:
		return l.DueOn, true
	}
	return time.Time{}, false
}

// describe says why, by which rule, and what to mind.
func describe(l table.LeakCheck) string {
	text := l.Why + "."
	if !l.DueOn.IsZero() {
		text += " In time until " + date(l.DueOn) + "."
	}
	if !l.OpensOn.IsZero() && l.Finding == "" {
		text += " Counts from " + date(l.OpensOn) + "."
	}
	if l.Doubt != "" {
		text += " In doubt: " + l.Doubt + "."
	}
	return text + " Rule: " + l.Rule + " (" + l.Standing + "). Guidance only: the law, codes and the maker prevail; only certified persons check or open a circuit."
}

// oneLine is text without line breaks and control characters, which no calendar needs.
func oneLine(text string) string {
	return strings.Join(strings.FieldsFunc(text, func(r rune) bool { return r < ' ' || r == 0x7f || r == '\u2028' || r == '\u2029' }), " ")
}
