package timeline

import (
	"fmt"

	"rimelog/ingest/clock"
)

// Where lines say a time of day only, or count from a start, a line of text between them
// may say of which date those below are. One that holds nothing but a date, or calls it
// the date or a start, is taken at its word; one that only mentions another day puts the
// lines below it in doubt.

// A DateLine is the last line of text since the data that says a date.
type DateLine struct {
	Number int64 // 0 for none
	Text   string
	Stamp  clock.Stamp
	Says   bool // it is there to say the date
}

// BeginDay takes the date of the lines below.
func (t *Timeline) BeginDay(d DateLine, days int64, sure bool) {
	switch {
	case !t.seen && sure && days == t.Plan.Start:
	case sure && d.Says && days > t.Days:
		t.Plan.Start, t.seen, t.lost = days, false, ""
	case sure && days == t.Days: // as above; past midnight it is the next
	case sure && days == t.Days+1 && !d.Says: // the time falls back, or the line is about another day
	default:
		t.lost = fmt.Sprintf("line %d (%q) says a date, and it is not sure that the lines below are of it", d.Number, d.Text)
	}
}

// StartAgain takes the start that the count below begins from, if it begins again.
func (t *Timeline) StartAgain(d DateLine, days int64, sure bool) {
	t.next = &newStart{reason: fmt.Sprintf("line %d (%q) gives another start, and it is not sure that the lines below count from it", d.Number, d.Text)}
	micros, ok := d.Stamp.TimeOfDay()
	if !sure || !ok || !d.Stamp.HasTime || d.Stamp.HasShift || d.Stamp.Zone != "" || t.Plan.Each != nil {
		return
	}
	if utc, v, _ := t.toUTC(days*clock.Day + micros); v == Timed {
		t.next.utc, t.next.known = utc+t.Plan.Ahead, true
	}
}

// A newStart is what a line in mid-file says that elapsed time counts from.
type newStart struct {
	utc    int64
	known  bool
	reason string // where the lines below do not count from it, or it is not known
}

// counts tells why a line's elapsed time cannot be told in UTC, if it cannot: the count
// fell back, or a line above says another start.
func (t *Timeline) counts(fell bool) (reason string) {
	switch {
	case t.next != nil && t.next.known && fell:
		t.Plan.Start, t.lost = t.next.utc, ""
	case t.next != nil:
		t.lost = t.next.reason
	case fell && t.lost == "":
		t.lost = fallenReason
	}
	t.next = nil
	return t.lost
}
