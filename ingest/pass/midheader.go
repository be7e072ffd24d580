package pass

import (
	"fmt"
	"slices"
	"strings"

	"rimelog/ingest/dialect"
	"rimelog/ingest/layout"
	"rimelog/ingest/scan"
)

// A headerBlock is what stands between two lines of data and names columns. A logger
// that is read out again may write its columns in another order, or others: values
// are taken by the names above them, or not at all.
type headerBlock struct {
	rows    map[int][]string // by row of the file's header, the cells as they stand here
	foreign int64            // a line that names other columns
	last    int64            // the block's last line

	order []int // what held before the block
	was   int64
}

// headerLine tells whether a line without a time is a row of the file's header, its
// columns in any order. A line that names other columns is remembered.
func (s *Pass) headerLine(text []byte) bool {
	if row, ok := s.p.Header[dialect.HeaderText(text)]; ok {
		s.headerRow(row, s.p.Layout.Rows[row])
		return true
	}
	if len(s.p.Layout.Rows) == 0 {
		return false
	}
	comment := dialect.IsComment(text)
	cells, ok := s.p.Layout.HeaderCells(dialect.Line{Text: text, Comment: comment})
	if !ok {
		if !comment && s.namesColumns(s.ownCells(text), false) {
			s.otherHeader()
		}
		return false
	}
	for row, header := range s.p.Layout.Rows {
		if layout.SameCells(cells, header) {
			s.headerRow(row, cells)
			return true
		}
	}
	if s.namesColumns(cells, !comment && len(s.ownCells(text)) >= len(s.fields)) {
		s.otherHeader()
	}
	return false
}

// headerCut is headerLine for a line that is cut into cells: empty ones at its end count
// where another table begins, as columns without a unit.
func (s *Pass) headerCut(text []byte) bool {
	if !s.headerLine(text) {
		return false
	}
	if s.titles.number == s.number {
		s.titles.cells = len(s.split)
	}
	return true
}

// ownCells cuts a line of text by the body's delimiter.
func (s *Pass) ownCells(text []byte) []string {
	if s.p.Layout.Delim == scan.Blanks {
		return layout.WideCells(string(text))
	}
	return layout.CutHeader(text, s.p.Layout.Delim)
}

// headerRow counts a row of the header that stands in mid-file.
func (s *Pass) headerRow(row int, cells []string) {
	b := s.names()
	b.rows[row], b.last = cells, s.number
	s.nameTable(len(cells))
	if len(b.rows) == len(s.p.Layout.Rows) {
		b.foreign = 0
	}
	s.settlePending(true)
	s.lines.Header++
}

func (s *Pass) otherHeader() {
	b := s.names()
	clear(b.rows)
	b.foreign = s.number
}

// names is the block of header lines under way.
func (s *Pass) names() *headerBlock {
	if s.block == nil {
		s.block = &headerBlock{rows: map[int][]string{}, order: s.order, was: s.foreign}
	}
	return s.block
}

// namesColumns tells whether cells of text name columns: some as the header does, or,
// where the line has the body's shape, each of them; or give their units.
func (s *Pass) namesColumns(cells []string, shaped bool) bool {
	filled, known := 0, 0
	for _, c := range cells {
		if c == "" {
			continue
		}
		if k := dialect.KindOf([]byte(c)); k == dialect.NumberCell || k == dialect.StampCell {
			return false
		}
		filled++
		if slices.ContainsFunc(s.p.Layout.Rows, func(row []string) bool { return slices.Contains(row, c) }) {
			known++
		}
	}
	return filled > 1 && known > 0 || shaped && (filled == len(s.fields) || layout.IsUnitRow(cells))
}

// settleBlock tells, before a line is read, where its columns stand and whether it
// stands below other columns' names.
func (s *Pass) settleBlock() {
	b, header := s.block, s.p.Layout.Rows
	s.order, s.foreign = b.order, b.was
	switch {
	case b.foreign > 0:
		s.foreign = b.foreign
	case len(b.rows) < len(header) && b.inPlace(header): // only the units once more
	default:
		order, ok := b.newOrder(header)
		s.order, s.foreign = order, 0
		if !ok {
			s.order, s.foreign = nil, b.last
		}
	}
}

func (b *headerBlock) inPlace(header [][]string) bool {
	for row, cells := range b.rows {
		if !slices.Equal(cells, header[row]) {
			return false
		}
	}
	return true
}

// newOrder finds, for each place of a line below the block, the column that stands
// there; nil where all stand as before. It reports false where a name stands twice or
// a row of the header is missing: then nobody can tell.
func (b *headerBlock) newOrder(header [][]string) ([]int, bool) {
	if len(b.rows) < len(header) {
		return nil, false
	}
	if b.inPlace(header) {
		return nil, true
	}
	place := map[string]int{}
	for i := range header[0] {
		name := columnKey(header, i)
		if _, twice := place[name]; twice {
			return nil, false
		}
		place[name] = i
	}
	here := make([][]string, len(header))
	for row, cells := range b.rows {
		here[row] = cells
	}
	order := make([]int, len(header[0]))
	for k := range order {
		i, ok := place[columnKey(here, k)]
		if !ok {
			return nil, false
		}
		order[k] = i
	}
	return order, true
}

// columnKey joins all that the rows of a header say of a column.
func columnKey(rows [][]string, i int) string {
	var b strings.Builder
	for _, row := range rows {
		b.WriteString(row[i])
		b.WriteByte(0)
	}
	return b.String()
}

// arrange puts the cells of a line where the header of the file has their columns.
func (s *Pass) arrange(cells [][]byte) [][]byte {
	if s.order == nil {
		return cells
	}
	s.arranged = append(s.arranged[:0], cells...)
	for k, i := range s.order {
		s.arranged[i] = cells[k]
	}
	return s.arranged
}

// lastField is the field of a line's last cell.
func (s *Pass) lastField() int {
	last := len(s.fields) - 1
	if s.order != nil {
		return s.order[last]
	}
	return last
}

// noteOrder says once that columns were taken by name.
func (s *Pass) noteOrder() {
	if s.order != nil && s.reordered == "" {
		s.reordered = fmt.Sprintf("from line %d on the columns stand in another order, as the header there says; they are taken by name", s.number)
	}
}
