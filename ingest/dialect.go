package ingest

import (
	"bytes"
	"slices"
	"strings"

	"rimelog/ingest/clock"
	"rimelog/ingest/scan"
)

// delimiters are what may part cells, the more telling first.
var delimiters = []byte{'\t', ';', '|', ',', scan.Blanks}

// delimiterNames are how people call them.
var delimiterNames = map[byte]string{'\t': "tab", ';': ";", '|': "|", ',': ",", scan.Blanks: "blanks"}

// cellKind is what a cell looks like before anything is decided.
type cellKind uint8

const (
	textCell cellKind = iota
	emptyCell
	numberCell
	stampCell
	markerCell
)

// kindOf looks at one cell.
func kindOf(cell []byte) cellKind {
	if len(cell) == 0 {
		return emptyCell
	}
	if scan.IsPlainNumber(cell) || numberLike(cell) {
		return numberCell
	}
	if _, ok := clock.ParseStamp(cell); ok {
		return stampCell
	}
	if _, ok := scan.Marker(cell); ok {
		return markerCell
	}
	return textCell
}

// numberLike tells whether a cell is a number under some marks, with or without a
// unit behind it.
func numberLike(cell []byte) bool {
	_, b := scan.Sign(cell)
	i, digits := 0, 0
	for i < len(b) {
		switch c := b[i]; {
		case scan.IsDigit(c):
			digits++
			i++
		case c == '.' || c == ',' || c == '\'':
			i++
		case groupMark(b[i:]) > 0 && digits > 0:
			i += groupMark(b[i:])
		default:
			return digits > 0 && unitOrPower(b[i:])
		}
	}
	return digits > 0
}

// groupMark is the size of a blank or apostrophe at the start that parts a group of
// three digits.
func groupMark(b []byte) int {
	n := 1
	if b[0] != ' ' {
		n = gap(b)
	}
	if n == 0 || len(b) < n+3 || !scan.IsDigit(b[n]) || !scan.IsDigit(b[n+1]) || !scan.IsDigit(b[n+2]) || len(b) > n+3 && scan.IsDigit(b[n+3]) {
		return 0
	}
	return n
}

// unitOrPower tells whether a power of ten, a unit, or both end a number.
func unitOrPower(b []byte) bool {
	_, rest, ok := scan.Exponent(b)
	rest = bytes.TrimSpace(rest)
	if !ok || len(rest) > longestUnit {
		return false
	}
	return len(rest) == 0 || rest[0] != ':' && rest[0] != '/' && rest[0] != '-' && isUnit(string(rest))
}

// longestUnit is how many bytes a unit behind a number has at most.
const longestUnit = 16

// gap is the size of a no-break blank or typographic apostrophe at the start.
func gap(b []byte) int {
	for _, s := range []string{"\u00A0", "\u202F", "\u2009", "\u2019"} {
		if bytes.HasPrefix(b, []byte(s)) {
			return len(s)
		}
	}
	return 0
}

// A sampleLine is a line of the part of a file that look reads.
type sampleLine struct {
	number  int64  // from 1 in the head of the file; 0 elsewhere
	text    []byte // decoded
	comment bool   // begins with a comment mark
	more    int    // physical lines behind it that a quote of the header spans
}

// A grid is the sample cut into cells by one delimiter.
type grid struct {
	delim   byte
	columns int        // of the body
	raw     int        // cells of a line of the body, with empty ones behind the last column
	cells   [][][]byte // by line; nil where quotes do not match
	kinds   []lineKind // of the lines
	body    []int      // the lines that look like data
	lengths []int64    // of the lines, in bytes with a line end
	strip   strip      // the columns among which the time is looked for
	looks   *looks     // at its columns, kept
	score   float64
}

// cut tries one delimiter. The score is the one of van den Burg, Nazabal and
// Sutton (2019), Data Min. Knowl. Discov. 33(6), eq. 2 to 4, on the lines that look
// like data: many lines of one shape with many cells, times the share of cells of a
// known type.
func cut(lines []sampleLine, delim byte) grid {
	g := grid{delim: delim, cells: make([][][]byte, len(lines)), kinds: make([]lineKind, len(lines)), looks: &looks{of: map[int]columnLook{}}}
	counts := map[int]int{}
	g.lengths = make([]int64, len(lines))
	for i, l := range lines {
		g.lengths[i] = int64(len(l.text)) + 1
		if l.comment || scan.IsBlank(l.text) {
			continue
		}
		cells, ok := scan.Split(make([][]byte, 0, bytes.Count(l.text, []byte{delim})+1), bytes.Clone(l.text), delim)
		if !ok {
			continue
		}
		g.cells[i], g.kinds[i] = cells, kindOfLine(cells)
		if g.kinds[i].data {
			counts[len(cells)]++
		}
	}
	best := 0
	for n, lines := range counts {
		weight := lines * max(n-1, 0)
		if weight > best || weight == best && n > g.columns {
			best, g.columns = weight, n
		}
	}
	g.raw = g.columns
	for i := range lines {
		if g.kinds[i].data && len(g.cells[i]) == g.columns {
			g.body = append(g.body, i)
		}
	}
	if g.columns > 1 {
		shape := float64(len(g.body)) * float64(g.columns-1) / float64(g.columns)
		g.score = shape * g.typed()
	}
	return g
}

// A lineKind is what the cells of a line look like, of one that has several.
type lineKind struct {
	data    bool // half of those that hold something are numbers, times or markers, and one at least a number or time
	stamped bool // one is a date or time
	typed   int  // how many are of a known type, or units
}

func kindOfLine(cells [][]byte) (k lineKind) {
	if len(cells) < 2 {
		return k
	}
	empty, text, numbers := 0, 0, 0
	for _, c := range cells {
		switch kind := kindOf(c); kind {
		case numberCell, stampCell:
			numbers++
			k.stamped = k.stamped || kind == stampCell
		case emptyCell:
			empty++
		case textCell:
			if !isUnit(string(c)) {
				text++
			}
		}
	}
	k.typed = len(cells) - text
	k.data = numbers > 0 && k.typed-empty >= text
	return k
}

// dataLike tells whether a line of several cells looks like data.
func dataLike(cells [][]byte) bool { return kindOfLine(cells).data }

// typed is the share of the body's cells of a known type, or units.
func (g grid) typed() float64 {
	typed, all := 0, 0
	for _, i := range g.body {
		typed, all = typed+g.kinds[i].typed, all+len(g.cells[i])
	}
	return (float64(typed) + 1e-9) / float64(max(all, 1))
}

// bestGrid decides the delimiter on the body of the sample. A sep= line decides
// by itself where it makes a table.
func bestGrid(lines []sampleLine) grid {
	var best grid
	named, few := namedDelimiter(lines), thin(lines)
	for _, d := range delimiters {
		g := cut(few, d)
		if d == named && g.columns > 1 {
			return cut(lines, d)
		}
		if g.score > best.score && (d != scan.Blanks || !best.table() || best.cutsGaps()) {
			best = g
		}
	}
	if len(few) == len(lines) || best.columns == 0 {
		return best
	}
	return cut(lines, best.delim)
}

// enough is how many lines tell the delimiter.
const enough = 240

// thin takes the first lines and some of all others.
func thin(lines []sampleLine) []sampleLine {
	if len(lines) <= enough {
		return lines
	}
	few := append([]sampleLine{}, lines[:enough/2]...)
	rest := lines[enough/2:]
	for i := range enough / 2 {
		few = append(few, rest[i*len(rest)/(enough/2)])
	}
	return few
}

// table tells whether most cells of the body are of known types. Such a table is
// not cut further at its blanks, as dates and thousands hold some.
func (g grid) table() bool { return g.columns > 1 && g.typed() > 0.6 }

// cutsGaps tells whether most lines keep a gap of several blanks between numbers
// within a cell: the delimiter is a decimal comma, and the gaps part the cells.
func (g grid) cutsGaps() bool {
	gaps, all := 0, 0
	for _, cells := range g.cells {
		if len(cells) < 2 {
			continue
		}
		all++
		if slices.ContainsFunc(cells, gapBeforeNumber) {
			gaps++
		}
	}
	return 2*gaps > all
}

// gapBeforeNumber tells whether a cell holds two blanks and a number behind them. A
// date and a time may stand so far apart as well.
func gapBeforeNumber(cell []byte) bool {
	i := bytes.LastIndex(cell, []byte("  "))
	if i < 0 {
		return false
	}
	rest := bytes.TrimLeft(cell[i:], " ")
	if len(rest) > 1 && (rest[0] == '+' || rest[0] == '-') {
		return scan.IsDigit(rest[1])
	}
	return len(rest) > 0 && scan.IsDigit(rest[0]) && kindOf(cell) != stampCell
}

// namedDelimiter reads a "sep=;" line.
func namedDelimiter(lines []sampleLine) byte {
	if len(lines) > 0 {
		if d, ok := sepLine(lines[0].text); ok {
			return d
		}
	}
	return 0
}

func sepLine(text []byte) (byte, bool) {
	s := strings.Trim(strings.TrimPrefix(string(text), "\uFEFF"), "\"")
	rest, ok := strings.CutPrefix(strings.ToLower(s), "sep=")
	if !ok || len(rest) > 1 {
		return 0, false
	}
	if rest == "" {
		return '\t', true
	}
	return rest[0], true
}

// isComment tells whether a line begins with a comment mark.
func isComment(text []byte) bool {
	t := scan.TrimLeft(text)
	return len(t) > 0 && (t[0] == '#' || bytes.HasPrefix(t, []byte("//")) || bytes.HasPrefix(t, []byte("$$")))
}

func uncomment(text []byte) []byte { return bytes.TrimLeft(text, "#/$;% \t") }

// unitOf reads what follows a number in a cell.
func unitOf(cell []byte) string {
	for i := range cell {
		if u := strings.TrimSpace(string(cell[i:])); u != "" && !scan.IsDigit(u[0]) && !strings.ContainsAny(u[:1], ".,-+'") && isUnit(u) {
			return u
		}
	}
	return ""
}

// commonUnit gives the one unit that stands behind nearly all numbers of a column.
func commonUnit(cells [][]byte) string {
	unit, with, without := "", 0, 0
	for _, c := range cells {
		if kindOf(c) != numberCell {
			continue
		}
		switch u := unitOf(c); {
		case u == "":
			without++
		case unit == "" || u == unit:
			unit = u
			with++
		default:
			return ""
		}
	}
	if with < 3*without {
		return ""
	}
	return unit
}
