package ingest

import (
	"fmt"
	"strings"

	"rimelog/ingest/clock"
	"rimelog/ingest/scan"
)

// Where lines say a time of day only, or count from a start, a line of text between them
// may say of which date those below are. One that holds nothing but a date, or calls it
// the date or a start, is taken at its word; one that only mentions another day puts the
// lines below it in doubt.

// A dateLine is the last line of text since the data that says a date.
type dateLine struct {
	number int64 // 0 for none
	text   string
	stamp  clock.Stamp
	says   bool // it is there to say the date
}

// noteDate looks for a date in a line of text. It reports true for a line that is there
// to say the date: it is counted.
func (s *pass) noteDate(text []byte) bool {
	if k := s.p.time.kind; k != dayTime && k != elapsedTime || s.number < s.first {
		return false
	}
	found, ok := findStamp(string(text))
	says := ok && saysDate(string(text))
	if !ok || !says && scan.IsDigit(scan.TrimLeft(text)[0]) { // rather a line of data
		return false
	}
	s.dated = dateLine{s.number, show(text), found, says}
	if s.dated.says {
		s.lines.Preamble++
	}
	return s.dated.says
}

// saysDate tells whether the words of a line call what it holds a date or a start, or it
// has none.
func saysDate(text string) bool {
	key, _ := keyValue(text)
	for _, w := range titleWords(key) {
		if startKeys[w] || readTitle(w).has("date") {
			return true
		}
	}
	alone, ok := clock.ParseStamp([]byte(strings.Trim(text, "*#/-=;,\t \"")))
	return ok && alone.HasDate
}

// settleDate tells, before a line is told in UTC, of which date it is by the line of text
// above it.
func (s *pass) settleDate() {
	d := s.dated
	s.dated = dateLine{}
	if d.number == 0 {
		return
	}
	days, sure := soleDay(d.stamp)
	if s.p.time.kind == elapsedTime {
		if d.says {
			s.time.startAgain(d, days, sure)
		}
		return
	}
	s.time.beginDay(d, days, sure)
}

// beginDay takes the date of the lines below.
func (t *timeline) beginDay(d dateLine, days int64, sure bool) {
	switch {
	case !t.seen && sure && days == t.plan.start:
	case sure && d.says && days > t.days:
		t.plan.start, t.seen, t.lost = days, false, ""
	case sure && days == t.days: // as above; past midnight it is the next
	case sure && days == t.days+1 && !d.says: // the time falls back, or the line is about another day
	default:
		t.lost = fmt.Sprintf("line %d (%q) says a date, and it is not sure that the lines below are of it", d.number, d.text)
	}
}

// startAgain takes the start that the count below begins from, if it begins again.
func (t *timeline) startAgain(d dateLine, days int64, sure bool) {
	t.next = &newStart{reason: fmt.Sprintf("line %d (%q) gives another start, and it is not sure that the lines below count from it", d.number, d.text)}
	micros, ok := d.stamp.TimeOfDay()
	if !sure || !ok || !d.stamp.HasTime || d.stamp.HasShift || d.stamp.Zone != "" || t.plan.each != nil {
		return
	}
	if utc, v, _ := t.toUTC(days*clock.Day + micros); v == timed {
		t.next.utc, t.next.known = utc+t.plan.ahead, true
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
func (t *timeline) counts(fell bool) (reason string) {
	switch {
	case t.next != nil && t.next.known && fell:
		t.plan.start, t.lost = t.next.utc, ""
	case t.next != nil:
		t.lost = t.next.reason
	case fell && t.lost == "":
		t.lost = fallenReason
	}
	t.next = nil
	return t.lost
}
