package plan

import (
	"slices"

	"rimelog/ingest/layout"
	"rimelog/ingest/scan"
)

// TableAbove tells whether lines of data stand above the header, of a table with
// other columns, and gives the line at which the one below begins; 0 where none do.
// One line is a table only where its names are the header's.
func (p *Plan) TableAbove() int64 {
	top := p.Layout.Top
	if len(p.Layout.Header) > 0 {
		top = p.Layout.Header[0]
	}
	data, last := 0, 0
	for i := range top {
		if p.Layout.IsRow(p.Layout.Cells[i]) {
			data, last = data+1, i
		}
	}
	if data == 0 || p.Bare != nil || data == 1 && !p.namedAbove(last) {
		return 0
	}
	for i := top; i > last+1; i-- {
		if scan.IsBlank(p.Head[i-1].Text) {
			return p.Head[i].Number
		}
	}
	return p.Head[top].Number
}

// namedAbove tells whether two cells of a line right above line i, or of the one above
// that, name columns of the table.
func (p *Plan) namedAbove(i int) bool {
	for k := max(0, i-2); k < i; k++ {
		known := 0
		for _, name := range layout.Texts(p.Layout.Cells[k]) {
			if name != "" && slices.Contains(p.Layout.Names, name) {
				known++
			}
		}
		if known > 1 {
			return true
		}
	}
	return false
}
