package ingest

import (
	"bytes"
	"slices"

	"rimelog/ingest/scan"
)

// tableAbove tells whether lines of data stand above the header, of a table with
// other columns, and gives the line at which the one below begins; 0 where none do.
// One line is a table only where its names are the header's.
func (p *plan) tableAbove() int64 {
	top := p.layout.top
	if len(p.layout.header) > 0 {
		top = p.layout.header[0]
	}
	data, last := 0, 0
	for i := range top {
		if p.layout.isRow(p.layout.cells[i]) {
			data, last = data+1, i
		}
	}
	if data == 0 || p.bare != nil || data == 1 && !p.namedAbove(last) {
		return 0
	}
	for i := top; i > last+1; i-- {
		if scan.IsBlank(p.head[i-1].text) {
			return p.head[i].number
		}
	}
	return p.head[top].number
}

// namedAbove tells whether two cells of a line right above line i, or of the one above
// that, name columns of the table.
func (p *plan) namedAbove(i int) bool {
	for k := max(0, i-2); k < i; k++ {
		known := 0
		for _, name := range texts(p.layout.cells[k]) {
			if name != "" && slices.Contains(p.layout.names, name) {
				known++
			}
		}
		if known > 1 {
			return true
		}
	}
	return false
}

// isRow tells whether cells are a line of data, of this table or another: a date or a
// time stands among the first of them, behind a running number at most, and numbers
// follow. Where the clock of the table is a number, a line of numbers is one.
func (l *layout) isRow(cells [][]byte) bool {
	if len(cells) < 2 || !dataLike(cells) {
		return false
	}
	stamps, numbers, others := 0, 0, 0
	for _, c := range cells {
		switch kindOf(c) {
		case stampCell:
			if others == 0 && numbers < 2 {
				stamps++
			}
		case numberCell:
			numbers++
		case textCell:
			others++
		}
	}
	first := kindOf(cells[0])
	if stamps > 0 {
		return numbers > 0 && first != textCell && !(first == numberCell && numbers < 2)
	}
	return numbers > 1 && others == 0 && first == numberCell && l.countsTime()
}

// countsTime tells whether the clock of the table is a number, such as seconds.
func (l *layout) countsTime() bool {
	return l.first >= 0 && len(l.times) > 0 && kindOf(l.cells[l.first][l.times[0]]) == numberCell
}

// cellsOf cuts a line by the body's delimiter, without its comment mark; nil where a
// quote is not closed.
func (s *pass) cellsOf(text []byte) [][]byte {
	if isComment(text) {
		text = uncomment(text)
	}
	cells, ok := scan.Split(nil, bytes.Clone(text), s.p.layout.delim)
	if !ok {
		return nil
	}
	return cells
}
