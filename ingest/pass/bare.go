package pass

import (
	"rimelog/ingest/raw"
)

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
