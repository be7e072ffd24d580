package pass

import (
	"rimelog/ingest/layout"
	"rimelog/ingest/raw"
)

// A pendingLine is no data; what it is depends on what follows.
type pendingLine struct {
	number int64
	text   string
	reason string // why it is not taken where data follow
	stray  bool   // it holds a time and numbers
}

// maxFooter is how many lines a footer has at most.
const maxFooter = 64

// maxPending is how many lines of text wait for what follows: a footer's and those of
// the preamble of a session behind it.
const maxPending = maxFooter + layout.PreambleLines

// later keeps a line of text until what follows tells what it is. More than a footer
// and a preamble hold are neither.
func (s *Pass) later(text []byte, reason string) {
	if len(s.pending) == maxPending {
		s.settlePending(false)
		s.prose = s.number
	}
	if s.prose > s.taken {
		s.quarantine(text, reason)
		return
	}
	s.pending = append(s.pending, pendingLine{s.number, raw.Show(text), reason, strayData(s.split)})
}

// settlePending counts the lines of text since the last data: the preamble and
// footer of a session where a header follows, otherwise nobody knows what.
func (s *Pass) settlePending(header bool) {
	for _, l := range s.pending {
		if header {
			s.lines.Preamble++
			continue
		}
		s.lines.Quarantined++
		s.refuse.line(l.number, l.text, l.reason)
	}
	s.pending = s.pending[:0]
}

// quarantine counts a line that is not taken.
func (s *Pass) quarantine(text []byte, reason string) {
	s.lines.Quarantined++
	s.refuse.line(s.number, raw.Show(text), reason)
}
