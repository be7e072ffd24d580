package demofleet

import (
	"bytes"
	"strings"
	"unicode/utf8"
)

// A sheet is a log that was written as its logger does, taken apart so that an
// export may lay it out in another way.
type sheet struct {
	preamble     []string
	names, units []string // units are nil where they stand in the names
	rows         [][]string
	footer       [][]string
	times        int // columns of time, the first ones
	delimiter    string
	end          string // of lines
	quote        bool   // names
}

// footRows is how many lines a logger prints below its table.
const footRows = 3

// sheet takes a written file apart.
func (rec *recorder) sheet(file []byte) *sheet {
	d := &rec.dialect
	s := &sheet{times: len(d.timeNames), delimiter: string(d.delimiter), end: d.lineEnd, quote: d.quote}
	lines := strings.Split(strings.TrimSuffix(strings.TrimPrefix(string(file), d.first), d.lineEnd), d.lineEnd)
	n := rec.headerLine()
	s.preamble, s.names, lines = lines[:n], rec.cut(lines[n]), lines[n+1:]
	if d.unitRow {
		s.units, lines = rec.cut(lines[0]), lines[1:]
	}
	for _, l := range lines {
		s.rows = append(s.rows, rec.cut(l))
	}
	if d.footer {
		at := len(s.rows) - footRows
		s.rows, s.footer = s.rows[:at], s.rows[at:]
	}
	return s
}

// cut parts a line into cells. No cell of a logger holds its delimiter.
func (rec *recorder) cut(line string) []string {
	cells := strings.Split(line, string(rec.dialect.delimiter))
	for i, c := range cells {
		cells[i] = strings.Trim(c, `"`)
	}
	return cells
}

// onSheet lets an export lay the log out anew; at most one does. It reports whether
// this one may: not where something else changes lines already.
func (rec *recorder) onSheet(lay func(*sheet) []byte) bool {
	if len(rec.files) > 0 || rec.superheat || !rec.markChange.IsZero() {
		return false
	}
	first := rec.dialect.first
	rec.onFile(func(file []byte) []byte { return append([]byte(first), lay(rec.sheet(file))...) })
	return true
}

// columns picks columns of values, with those of time.
func (s *sheet) columns(from, to int) *sheet {
	part := func(cells []string) []string {
		if cells == nil {
			return nil
		}
		return append(append([]string{}, cells[:s.times]...), cells[from:to]...)
	}
	t := *s
	t.names, t.units, t.rows, t.footer = part(s.names), part(s.units), nil, nil
	for _, r := range s.rows {
		t.rows = append(t.rows, part(r))
	}
	return &t
}

// values changes every cell that holds a value.
func (s *sheet) values(f func(column int, cell string) string) {
	for _, rows := range [][][]string{s.rows, s.footer} {
		for _, r := range rows {
			for i := s.times; i < len(r); i++ {
				if r[i] != "" {
					r[i] = f(i, r[i])
				}
			}
		}
	}
}

// text writes the sheet.
func (s *sheet) text() []byte {
	var b bytes.Buffer
	for _, l := range s.preamble {
		b.WriteString(l + s.end)
	}
	b.Write(s.table())
	return b.Bytes()
}

// table writes it without its preamble.
func (s *sheet) table() []byte {
	var b bytes.Buffer
	line := func(cells []string) { b.WriteString(strings.Join(cells, s.delimiter) + s.end) }
	names := s.names
	if s.quote {
		names = nil
		for _, n := range s.names {
			names = append(names, `"`+n+`"`)
		}
	}
	line(names)
	if s.units != nil {
		line(s.units)
	}
	for _, r := range s.rows {
		line(r)
	}
	for _, r := range s.footer {
		line(r)
	}
	return b.Bytes()
}

// aligned writes it in columns of equal width, parted by blanks.
func (s *sheet) aligned() []byte {
	var b bytes.Buffer
	width := make([]int, len(s.names))
	all := [][]string{s.names}
	if s.units != nil {
		all = append(all, s.units)
	}
	all = append(all, s.rows...)
	for _, r := range all {
		for i, c := range r {
			width[i] = max(width[i], utf8.RuneCountInString(c))
		}
	}
	for _, l := range s.preamble {
		b.WriteString(l + s.end)
	}
	for _, r := range all {
		for i, c := range r {
			b.WriteString(c)
			if i < len(r)-1 {
				b.WriteString(strings.Repeat(" ", width[i]-utf8.RuneCountInString(c)+2))
			}
		}
		b.WriteString(s.end)
	}
	return b.Bytes()
}
