package pass

import (
	"bytes"
	"fmt"

	"rimelog/ingest/dialect"
	"rimelog/ingest/naming"
	"rimelog/ingest/raw"
	"rimelog/ingest/scan"
)

// closer reads a line with care: quotes, blanks, marks, markers; or finds that it
// is no data.
func (s *Pass) closer(l raw.Line) {
	switch text := l.Text; {
	case scan.IsBlank(text) || scan.IsEmptyRow(text, s.p.Layout.Delim):
		s.lines.Blank++
		s.blank = s.number
	case scan.IsFill(text):
		s.quarantine(text, "fill bytes where data should be, as after a power failure")
	case s.number < s.first:
		s.above(text)
	default:
		s.below(s.decoded(text), l)
	}
}

// decoded is a line in UTF-8, without the mark of a file's beginning that files joined end to
// end have within.
func (s *Pass) decoded(text []byte) []byte {
	if s.p.Charset.Decoder != nil && !scan.IsASCII(text) {
		text = []byte(s.p.Charset.Text(text))
	}
	if !scan.IsASCII(text) {
		text = raw.LatinMarks(text)
	}
	return bytes.TrimPrefix(text, []byte("\uFEFF"))
}

// below reads a line, decoded, that is not above the table: a comment, a header that comes again, or cells.
func (s *Pass) below(text []byte, l raw.Line) {
	if dialect.IsComment(text) || s.p.Remark != 0 && scan.TrimLeft(text)[0] == s.p.Remark {
		s.comment(text)
		return
	}
	if row, ok := s.p.Header[dialect.HeaderText(text)]; ok {
		s.headerRow(row, s.p.Layout.Rows[row])
		return
	}
	var whole bool
	if s.split, whole = scan.Split(s.split, text, s.p.Layout.Delim); !whole {
		if !s.opens(l) {
			s.quarantine(text, openReason)
		}
		return
	}
	if !s.p.Layout.Fits(s.split) {
		s.misfit(text, l)
		return
	}
	l.Text = text
	s.cells(l)
}

// cells reads the cells of a line, unless its numbers are written otherwise than the file's.
func (s *Pass) cells(l raw.Line) {
	if s.block != nil {
		s.settleBlock()
	}
	placed := s.arrange(s.split)
	for k := range s.fields {
		s.row[k] = s.read(placed[k], &s.fields[k])
	}
	if s.otherMarks() {
		s.settlePending(false)
		s.quarantine(l.Text, "its numbers are written with another decimal mark than the file's")
		return
	}
	s.commit(l)
}

// otherMarks tells whether a line is written with the other decimal mark: one cell
// proves it, and another could be misread by it, such as 1.200 beside 4.05 in a file
// with decimal commas.
func (s *Pass) otherMarks() bool {
	mark := s.p.Marks.Thousands
	if mark != '.' && mark != ',' {
		return false
	}
	proven, exposed := false, false
	for k := range s.fields {
		switch c := &s.row[k]; {
		case !s.fields[k].scan:
		case c.kind == dialect.NumberCell:
			exposed = exposed || bytes.IndexByte(c.text, mark) >= 0 && bytes.IndexByte(c.text, s.p.Marks.Decimal) < 0
		case c.kind == dialect.TextCell && dialect.NumberLike(c.text):
			var e scan.MarkEvidence
			e.Observe(c.text)
			proven = proven || mark == '.' && e.Point > 0 || mark == ',' && e.Comma > 0
		}
	}
	return proven && exposed
}

// read reads one cell with care.
func (s *Pass) read(text []byte, f *field) cell {
	c := cell{kind: dialect.TextCell, text: text}
	if f.time || f.skip {
		return c
	}
	if len(text) == 0 {
		c.kind = dialect.EmptyCell
		return c
	}
	if m, d, next, ok := scan.PlainNumber(text, 0, s.p.Marks.Decimal, 0); ok && next == len(text) && s.p.Marks.Decimal != 0 {
		c.kind, c.dec = dialect.NumberCell, scan.Decimal{Mantissa: m, Decimals: d}
		return c
	}
	if s.readNumber(&c) {
		return c
	}
	if _, missing := scan.Marker(text); missing {
		c.kind = dialect.MarkerCell
	}
	return c
}

// readNumber reads a number under the file's marks; a thousands mark that the
// sample did not show is taken where it parts whole groups.
func (s *Pass) readNumber(c *cell) bool {
	m := s.p.Marks
	for _, thousands := range [...]byte{m.Thousands, ' ', '\''} {
		m.Thousands = thousands
		d, long, unit, ok := scan.Number(c.text, m)
		if ok && (len(unit) == 0 || naming.IsUnit(string(unit))) {
			c.kind, c.dec, c.long, c.unit = dialect.NumberCell, d, long, unit
			return true
		}
	}
	return false
}

// above counts a line before the first data.
func (s *Pass) above(text []byte) {
	switch {
	case s.headers[s.number]:
		s.lines.Header++
	case s.p.Layout.IsRow(s.cellsOf(text)):
		s.quarantine(text, "data above the names of other columns")
	default:
		s.lines.Preamble++
	}
}

// comment counts a line in mid-file that is a comment, or the header once more.
func (s *Pass) comment(text []byte) {
	if s.headerLine(text) {
		return
	}
	if cells := s.cellsOf(text); s.p.Layout.Fits(cells) && s.p.Layout.IsRow(cells) {
		s.quarantine(text, "data behind a comment mark")
		return
	}
	if !s.noteDate(text) {
		s.lines.Preamble++
	}
}

// misfit counts a line that has not as many cells as the body.
func (s *Pass) misfit(text []byte, l raw.Line) {
	if s.noteDate(text) {
		return
	}
	s.noteTitles()
	if !s.startsWithTime() && s.headerCut(text) {
		return
	}
	if len(s.split) > 0 && dialect.KindOf(s.split[0]) == dialect.TextCell && !s.startsWithTime() && l.Ended {
		s.later(text, textReason)
		return
	}
	if !l.Ended && dialect.KindOf(s.split[0]) == dialect.TextCell && !scan.IsDigit(text[0]) {
		s.later(text, textReason)
		return
	}
	s.settlePending(false)
	s.noteTable(len(s.split))
	reason := fmt.Sprintf("%d cells instead of %d", len(s.split), s.p.Layout.Raw)
	if !l.Ended {
		reason = "the file ends within this line"
	}
	s.quarantine(text, reason)
}

// startsWithTime tells whether the cells of a misfit begin with a time.
func (s *Pass) startsWithTime() bool {
	if s.p.Bare != nil {
		return len(s.split) > 1 && dialect.IsData(s.split)
	}
	t := s.p.Time.Columns[0]
	return t < len(s.split) && (dialect.KindOf(s.split[t]) == dialect.StampCell || dialect.KindOf(s.split[t]) == dialect.NumberCell)
}

const noTimeReason = "no time that can be read"

const textReason = "text between lines of data"

// cellsOf cuts a line by the body's delimiter, without its comment mark; nil where a
// quote is not closed.
func (s *Pass) cellsOf(text []byte) [][]byte {
	if dialect.IsComment(text) {
		text = dialect.Uncomment(text)
	}
	cells, ok := scan.Split(nil, bytes.Clone(text), s.p.Layout.Delim)
	if !ok {
		return nil
	}
	return cells
}
