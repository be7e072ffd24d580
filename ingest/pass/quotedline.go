package pass

import (
	"bytes"

	"rimelog/ingest/dialect"
	"rimelog/ingest/raw"
	"rimelog/ingest/scan"
)

// A program that writes a note of several lines breaks the line of data within a cell in
// quotes. Such a line is put together again: what a quote opens must close within a few
// lines, none of which is one of data by itself, and the whole must have the body's cells.
// The lines behind the first hold the rest of a text and are counted as comments are.

// An openLine is a line of which a quote is still open, or one behind it.
type openLine struct {
	number int64
	text   []byte
}

// opens keeps a line whose last quote is not closed until the lines behind it tell.
func (s *Pass) opens(l raw.Line) bool {
	if !l.Ended || !dialect.OpensQuote(l.Text) {
		return false
	}
	s.open = append(s.open[:0], openLine{s.number, bytes.Clone(l.Text)})
	return true
}

// closes takes a line behind an open quote. It reports false for one that must be read by
// itself; then the quote is not closed.
func (s *Pass) closes(l raw.Line) bool {
	start, _, _ := bytes.Cut(l.Text, []byte{'"'})
	k := dialect.KindOf(scan.Trim(start[:dialect.FirstCell(start)]))
	if l.Cut || len(s.open) > dialect.MostSpanned || k == dialect.StampCell || k == dialect.NumberCell {
		s.giveUp()
		return false
	}
	s.open = append(s.open, openLine{s.number, bytes.Clone(l.Text)})
	whole := s.open[0].text
	for _, o := range s.open[1:] {
		whole = append(append(bytes.Clone(whole), '\n'), o.text...)
	}
	if bytes.Count(whole, []byte{'"'})%2 != 0 {
		return true
	}
	cells, ok := scan.Split(nil, bytes.Clone(whole), s.p.Layout.Delim)
	if !ok || !s.p.Layout.Fits(cells) {
		s.giveUp()
		return true
	}
	last := s.number
	s.number = s.open[0].number
	s.lines.Preamble += int64(len(s.open) - 1)
	s.open = s.open[:0]
	s.closer(raw.Line{Text: whole, Ended: l.Ended})
	s.number = last
	return true
}

// giveUp reads the lines that wait one by one, the first with its quote open.
func (s *Pass) giveUp() {
	waiting, last := s.open, s.number
	s.open = nil
	for i, o := range waiting {
		s.number = o.number
		l := raw.Line{Text: o.text, Ended: true}
		switch {
		case i == 0:
			s.settlePending(false)
			s.quarantine(o.text, openReason)
		case len(s.open) == 0 || !s.closes(l):
			s.closer(l)
		}
	}
	s.number = last
}

const openReason = "a quote is not closed"
