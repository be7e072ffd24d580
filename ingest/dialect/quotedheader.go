package dialect

import (
	"bytes"

	"rimelog/ingest/scan"
)

// MostSpanned is how many lines a quoted name of the header spans at most.
const MostSpanned = 6

// joinQuoted makes one line of the header of those that a quote holds together: a
// program that writes "Suction\n(bar)" breaks the line within a name.
func (s *Sample) joinQuoted() {
	lines := s.Lines[:0]
	for i := 0; i < len(s.Lines); i++ {
		l := s.Lines[i]
		if n := spanned(s.Lines[i:]); n > 0 {
			for _, next := range s.Lines[i+1 : i+1+n] {
				l.Text = append(append(bytes.Clone(l.Text), ' '), next.Text...)
			}
			l.More, i = n, i+n
		}
		lines = append(lines, l)
	}
	s.Lines = lines
}

// spanned counts the lines behind the first that close its open quote; 0 where its
// quotes are closed, or data stand before they are.
func spanned(lines []Line) int {
	if !OpensQuote(lines[0].Text) {
		return 0
	}
	quotes := bytes.Count(lines[0].Text, []byte{'"'})
	for n := 1; n < len(lines) && n <= MostSpanned; n++ {
		text := lines[n].Text
		start, _, _ := bytes.Cut(text, []byte{'"'})
		if k := KindOf(scan.Trim(start[:FirstCell(start)])); k == StampCell || k == NumberCell {
			return 0
		}
		if quotes += bytes.Count(text, []byte{'"'}); quotes%2 == 0 {
			return n
		}
	}
	return 0
}

// OpensQuote tells whether a cell of a line begins with a quote that the line does
// not close.
func OpensQuote(text []byte) bool {
	if bytes.Count(text, []byte{'"'})%2 == 0 {
		return false
	}
	for i, c := range text {
		if before := bytes.TrimRight(text[:i], " "); c == '"' && (len(before) == 0 || bytes.IndexByte([]byte(",;\t|"), before[len(before)-1]) >= 0) {
			return true
		}
	}
	return false
}

// FirstCell is how long the first cell of a line is.
func FirstCell(text []byte) int {
	if i := bytes.IndexAny(text, ",;\t|"); i >= 0 {
		return i
	}
	return len(text)
}
