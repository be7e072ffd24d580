package ingest

import (
	"bytes"

	"rimelog/ingest/scan"
)

// mostSpanned is how many lines a quoted name of the header spans at most.
const mostSpanned = 6

// joinQuoted makes one line of the header of those that a quote holds together: a
// program that writes "Suction\n(bar)" breaks the line within a name.
func (s *sample) joinQuoted() {
	lines := s.lines[:0]
	for i := 0; i < len(s.lines); i++ {
		l := s.lines[i]
		if n := spanned(s.lines[i:]); n > 0 {
			for _, next := range s.lines[i+1 : i+1+n] {
				l.text = append(append(bytes.Clone(l.text), ' '), next.text...)
			}
			l.more, i = n, i+n
		}
		lines = append(lines, l)
	}
	s.lines = lines
}

// spanned counts the lines behind the first that close its open quote; 0 where its
// quotes are closed, or data stand before they are.
func spanned(lines []sampleLine) int {
	if !opensQuote(lines[0].text) {
		return 0
	}
	quotes := bytes.Count(lines[0].text, []byte{'"'})
	for n := 1; n < len(lines) && n <= mostSpanned; n++ {
		text := lines[n].text
		start, _, _ := bytes.Cut(text, []byte{'"'})
		if k := kindOf(scan.Trim(start[:firstCell(start)])); k == stampCell || k == numberCell {
			return 0
		}
		if quotes += bytes.Count(text, []byte{'"'}); quotes%2 == 0 {
			return n
		}
	}
	return 0
}

// opensQuote tells whether a cell of a line begins with a quote that the line does
// not close.
func opensQuote(text []byte) bool {
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

func firstCell(text []byte) int {
	if i := bytes.IndexAny(text, ",;\t|"); i >= 0 {
		return i
	}
	return len(text)
}
