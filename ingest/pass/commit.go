package pass

import (
	"fmt"

	"rimelog/ingest/dialect"
	"rimelog/ingest/raw"
	"rimelog/ingest/scan"
	"rimelog/ingest/timeline"
)

// commit takes a line whose cells are read: its time first, then its values.
func (s *Pass) commit(l raw.Line) {
	s.clock = s.clock[:0]
	for _, c := range s.p.Time.Columns {
		s.clock = append(s.clock, scan.Trim(s.row[c].text))
	}
	switch {
	case s.p.Bare != nil:
		s.commitBare(l)
	case s.foreign > 0 && s.tellsTime():
		s.settlePending(false)
		s.quarantine(l.Text, fmt.Sprintf("it stands below another header, in line %d", s.foreign))
		s.noteTable(len(s.split))
	case s.outside():
		s.settlePending(false)
		s.lines.Data++
		s.taken = s.number
	default:
		s.settleDate()
		s.commitTimed(l)
	}
}

// commitTimed takes a line of a table with a clock.
func (s *Pass) commitTimed(l raw.Line) {
	utc, v, reason := s.time.At(s.clock)
	if s.time.Restart {
		s.Found.Orders, s.Again = s.time.Plan.Order, true
		return
	}
	if v == timeline.NoStamp {
		s.noData(l)
		return
	}
	s.settlePending(false)
	if s.p.Time.Question != "" {
		utc, v = 0, timeline.Timed // every value is refused, and says why
	}
	if v == timeline.Untimed {
		s.untimed(l, reason)
		return
	}
	if word, ok := s.summarises(); ok {
		s.quarantine(l.Text, fmt.Sprintf("a summary of other lines (%s), no reading", word))
		return
	}
	s.takeAt(utc, l.Ended)
}

// untimed counts a line whose time cannot be told.
func (s *Pass) untimed(l raw.Line, reason string) {
	if s.p.Strip.Set() {
		s.refuseLine(reason)
		s.lines.Data++
		return
	}
	s.quarantine(l.Text, reason)
}

// takeAt takes the values of a line at its time, unless another reading does.
func (s *Pass) takeAt(utc int64, ended bool) {
	s.block = nil
	s.noteOrder()
	s.lines.Data++
	s.taken = s.number
	if s.time.Offset != s.offset || len(s.offsets) == 0 {
		s.noteOffset(utc, s.number)
	}
	if s.p.Window.Set() && !s.p.Window.Holds(utc) {
		return
	}
	s.take(utc, ended)
}

// commitBare takes a line of a table without a clock: its values are counted, and
// refused.
func (s *Pass) commitBare(l raw.Line) {
	if s.headerLine(l.Text) {
		return
	}
	s.settlePending(false)
	s.block = nil
	s.noteOrder()
	s.lines.Data++
	s.take(0, l.Ended)
}

// tellsTime tells whether the first cell of time holds what can be one.
func (s *Pass) tellsTime() bool {
	k := dialect.KindOf(s.clock[0])
	return k == dialect.StampCell || k == dialect.NumberCell || k == dialect.EmptyCell && len(s.clock) > 1
}

// noData counts a line of the body's shape without a time.
func (s *Pass) noData(l raw.Line) {
	if s.noteDate(l.Text) {
		return
	}
	s.noteTitles()
	if s.headerCut(l.Text) {
		return
	}
	if s.p.Bare == nil && s.lacksTime() {
		s.settlePending(false)
		if s.p.Strip.Set() {
			s.refuseLine(noTimeReason)
			s.lines.Data++
			return
		}
		s.quarantine(l.Text, noTimeReason)
		return
	}
	if dialect.IsData(s.arrange(s.split)) {
		s.later(l.Text, "a line without a time between lines of data")
		return
	}
	s.later(l.Text, textReason)
}

// lacksTime tells whether a line of the body's shape is one of data whose time
// cannot be read: its time has digits, or is empty before numbers only. A summary
// begins with words.
func (s *Pass) lacksTime() bool {
	empty, digits := true, 0
	for _, c := range s.p.Time.Columns {
		text := s.row[c].text
		empty = empty && len(text) == 0
		for _, b := range text {
			if scan.IsDigit(b) {
				digits++
			}
		}
	}
	if first := s.row[s.p.Time.Columns[0]].text; len(first) > 0 && !startsLikeText(first) {
		return true
	}
	numbers, texts := 0, 0
	for k := range s.fields {
		switch s.row[k].kind {
		case dialect.NumberCell:
			numbers++
		case dialect.TextCell:
			if len(s.row[k].text) > 0 {
				texts++
			}
		}
	}
	return numbers > 0 && (digits >= 4 || empty && texts == 0)
}

func startsLikeText(b []byte) bool {
	return scan.IsLetter(b[0]) || b[0] >= 0x80 || b[0] == '-' || b[0] == '*' || b[0] == '='
}
