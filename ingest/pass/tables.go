package pass

import (
	"slices"

	"rimelog/ingest/dialect"
	"rimelog/ingest/naming"
	"rimelog/ingest/plan"
	"rimelog/ingest/scan"
)

// maxTables is how many tables below each other a file has at most.
const maxTables = 64

// titles is a line of words in mid-file that may name the columns of another table.
type titles struct {
	number int64 // of the line
	block  int64 // where the table begins: below the last blank line
	cells  int
}

// noteTitles remembers a line of words.
func (s *Pass) noteTitles() {
	filled, names := 0, 0
	for _, c := range s.split {
		unit := naming.IsUnit(string(c))
		if k := dialect.KindOf(c); k != dialect.TextCell && k != dialect.EmptyCell && !unit {
			return
		}
		if len(c) > 0 {
			filled++
		}
		if len(c) > 0 && !unit {
			names++
		}
	}
	if filled > 1 && names > 0 {
		s.nameTable(len(s.split))
	}
}

// nameTable remembers a line as one that names columns; it belongs to the one before
// where that names some too.
func (s *Pass) nameTable(cells int) {
	t := titles{number: s.number, block: s.number, cells: cells}
	switch {
	case s.titles.number == s.number-1 && s.number > 1:
		t.block = s.titles.block
	case s.blank > s.taken:
		t.block = s.blank + 1
	}
	s.titles = t
}

// noteTable remembers that a line of data stands below the names of other columns.
func (s *Pass) noteTable(cells int) {
	t := s.titles
	if t.number <= s.taken || t.cells != cells || len(s.starts) >= maxTables || slices.Contains(s.starts, t.block) {
		return
	}
	s.starts = append(s.starts, t.block)
}

// outside tells whether a line of data holds nothing of the table under way, one of
// several side by side.
func (s *Pass) outside() bool {
	for i := s.p.Strip.From; i < s.p.Strip.To; i++ {
		if len(scan.Trim(s.row[i].text)) > 0 {
			return false
		}
	}
	return s.p.Strip.Set()
}

// refuseLine refuses every value of the table under way in a line whose time cannot be
// told: the tables beside it are read all the same.
func (s *Pass) refuseLine(reason string) {
	for k := range s.fields {
		for c := s.fields[k].column; c != nil; c = c.next {
			if v := &s.row[k]; c.Kind != plan.TimeColumn && c.Kind != plan.SkipColumn && v.kind != dialect.EmptyCell {
				s.refused(c, v, reason)
			}
		}
	}
}
