package register

import (
	"encoding/csv"
	"errors"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"
)

// A sheet is a file as a spreadsheet shows it: a header and rows of cells.
type sheet struct {
	line      int      // physical line of the header, from 1
	header    []string // as found
	rows      []row
	separator rune
	marks     marks
}

type row struct {
	line  int // physical line the row begins on, from 1
	cells []string
}

// cell returns the trimmed cell of a column; a row may be shorter than the header.
func (r row) cell(i int) string {
	if i >= len(r.cells) {
		return ""
	}
	return strings.TrimSpace(r.cells[i])
}

func (r row) empty() bool {
	for i := range r.cells {
		if r.cell(i) != "" {
			return false
		}
	}
	return true
}

// decode turns a file's bytes into text with \n at the ends of lines. The second
// result tells that the bytes were no Unicode and were read as Windows-1252.
func decode(b []byte) (string, bool) {
	legacy := false
	text, _, err := transform.Bytes(unicode.BOMOverride(unicode.UTF8.NewDecoder()), b)
	if err != nil || !hasMark(b) && !utf8.Valid(b) {
		text, _ = charmap.Windows1252.NewDecoder().Bytes(b)
		legacy = true
	}
	return strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(string(text)), legacy
}

// hasMark tells whether bytes begin with a byte order mark of UTF-16.
func hasMark(b []byte) bool {
	return len(b) >= 2 && (b[0] == 0xFE && b[1] == 0xFF || b[0] == 0xFF && b[1] == 0xFE)
}

// parseSheet cuts text into a sheet. The header is the first line that is neither
// blank nor a comment; its separator is the one that gives the most known names.
// It returns false where there is no such line, and reports rows that have no end.
func parseSheet(text string, known func(string) bool, report func(RowError)) (sheet, bool) {
	lines := strings.SplitAfter(text, "\n")
	var s sheet
	for s.line < len(lines) && skipped(lines[s.line]) {
		if sep, ok := declared(lines[s.line]); ok {
			s.separator = sep
		}
		s.line++
	}
	if s.line == len(lines) {
		return s, false
	}
	head := lines[s.line]
	s.line++
	s.readHeader(head, known)
	s.readRows(lines, report)
	s.marks = s.decimalMarks()
	return s, true
}

// skipped tells whether a line before the header says nothing about the data.
func skipped(line string) bool {
	line = strings.TrimLeft(line, " \t\n,;\"")
	_, sep := declared(line)
	return line == "" || line[0] == '#' || sep
}

// declared returns the separator of a line such as "sep=;", which some
// spreadsheets write.
func declared(line string) (rune, bool) {
	rest, ok := strings.CutPrefix(strings.ToLower(strings.TrimRight(line, "\n")), "sep=")
	if !ok || len(rest) != 1 {
		return 0, false
	}
	return rune(rest[0]), strings.Contains(",;\t", rest)
}

func (s *sheet) readHeader(line string, known func(string) bool) {
	separators := []rune{',', ';', '\t'}
	if s.separator != 0 {
		separators = []rune{s.separator}
	}
	best := -1
	for _, sep := range separators {
		cells, score := splitLine(line, sep), 0
		for _, c := range cells {
			if known(normalName(c)) {
				score++
			}
		}
		if score = 1000*score + len(cells); score > best {
			best, s.separator, s.header = score, sep, cells
		}
	}
}

func splitLine(line string, sep rune) []string {
	r := csv.NewReader(strings.NewReader(line))
	r.Comma, r.LazyQuotes = sep, true
	cells, err := r.Read()
	if err != nil {
		return []string{strings.TrimSpace(line)}
	}
	return cells
}

// readRows reads the lines below the header. After a row that cannot be cut into
// cells it goes on with the next physical line, so that one open quote does not
// swallow the rest of the file.
func (s *sheet) readRows(lines []string, report func(RowError)) {
	for at := s.line; at < len(lines); {
		r := csv.NewReader(strings.NewReader(strings.Join(lines[at:], "")))
		r.Comma, r.FieldsPerRecord = s.separator, -1
		r.TrimLeadingSpace = s.separator != '\t'
		if !s.positionsFirst() {
			r.Comment = '#'
		}
		bad := s.readUntilFault(r, at)
		if bad == 0 {
			return
		}
		if !s.isComment(strings.TrimSpace(lines[bad-1])) {
			report(RowError{
				Line: bad, Value: strings.TrimRight(lines[bad-1], "\n"), RowLost: true,
				Problem: "a quote stands alone, so the row cannot be cut into cells",
				Remedy:  `write a quote inside a cell twice, and the cell in quotes: "18"" pipe"`,
			})
		}
		at = bad
	}
}

// readUntilFault appends rows and returns the physical line of the first row that
// cannot be read, or 0 at the end of the file.
func (s *sheet) readUntilFault(r *csv.Reader, before int) int {
	for {
		cells, err := r.Read()
		var fault *csv.ParseError
		switch {
		case errors.As(err, &fault):
			return before + fault.StartLine
		case err != nil: // io.EOF: a strings.Reader gives no other
			return 0
		}
		line, _ := r.FieldPos(0)
		rw := row{before + line, cells}
		if !rw.empty() && !s.isComment(rw.cell(0)) {
			s.rows = append(s.rows, rw)
		}
	}
}

// has tells whether the header names a column.
func (s *sheet) has(name string) bool {
	return slices.ContainsFunc(s.header, func(h string) bool { return normalName(h) == name })
}

var position = regexp.MustCompile(`^#[0-9]+($|[^0-9A-Za-z ])`)

// isComment tells whether a row that begins with text is a comment. Where the
// first column names columns of logger files, "#3" is the third of them.
func (s *sheet) isComment(text string) bool {
	return strings.HasPrefix(text, "#") && !(s.positionsFirst() && position.MatchString(text))
}

func (s *sheet) positionsFirst() bool {
	return len(s.header) > 0 && normalName(s.header[0]) == "column"
}

// marks are the decimal marks that a sheet's numbers are seen to have. Cells that
// could mean thousands, such as 1.250, are no evidence.
type marks struct{ comma, dot bool }

var decimals = regexp.MustCompile(`^[+-]?[0-9]*[.,][0-9]+$`)

func (s *sheet) decimalMarks() marks {
	if s.separator == ',' {
		return marks{dot: true}
	}
	var m marks
	for _, r := range s.rows {
		for i := range r.cells {
			text := r.cell(i)
			if decimals.MatchString(text) && !ambiguous.MatchString(text) {
				comma := strings.Contains(text, ",")
				m.comma, m.dot = m.comma || comma, m.dot || !comma
			}
		}
	}
	return m
}

// normalName makes the headers "Design charge [kg]" and "design_charge_kg" equal.
func normalName(header string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(header), notInName), "_")
}

func notInName(r rune) bool { return (r < 'a' || r > 'z') && (r < '0' || r > '9') }
