package dialect

import (
	"bytes"
	"slices"
	"strings"

	"rimelog/ingest/clock"
	"rimelog/ingest/naming"
	"rimelog/ingest/scan"
)

// Delimiters are what may part cells, the more telling first.
var Delimiters = []byte{'\t', ';', '|', ',', scan.Blanks}

// DelimiterNames are how people call them.
var DelimiterNames = map[byte]string{'\t': "tab", ';': ";", '|': "|", ',': ",", scan.Blanks: "blanks"}

// CellKind is what a cell looks like before anything is decided.
type CellKind uint8

const (
	TextCell CellKind = iota
	EmptyCell
	NumberCell
	StampCell
	MarkerCell
)

// KindOf looks at one cell.
func KindOf(cell []byte) CellKind {
	if len(cell) == 0 {
		return EmptyCell
	}
	if scan.IsPlainNumber(cell) || NumberLike(cell) {
		return NumberCell
	}
	if _, ok := clock.ParseStamp(cell); ok {
		return StampCell
	}
	if _, ok := scan.Marker(cell); ok {
		return MarkerCell
	}
	return TextCell
}

// NumberLike tells whether a cell is a number under some marks, with or without a
// unit behind it.
func NumberLike(cell []byte) bool {
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
	return len(rest) == 0 || rest[0] != ':' && rest[0] != '/' && rest[0] != '-' && naming.IsUnit(string(rest))
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

// A Line is a line of the part of a file that look reads.
type Line struct {
	Number  int64  // from 1 in the head of the file; 0 elsewhere
	Text    []byte // decoded
	Comment bool   // begins with a comment mark
	More    int    // physical lines behind it that a quote of the header spans
}

// A Grid is the sample cut into cells by one delimiter.
type Grid struct {
	Delim   byte
	Columns int        // of the body
	Raw     int        // cells of a line of the body, with empty ones behind the last column
	Cells   [][][]byte // by line; nil where quotes do not match
	Kinds   []lineKind // of the lines
	Body    []int      // the lines that look like data
	Lengths []int64    // of the lines, in bytes with a line end
	Strip   Strip      // the columns among which the time is looked for
	Score   float64
}

// Cut tries one delimiter. The score is the one of van den Burg, Nazabal and
// Sutton (2019), Data Min. Knowl. Discov. 33(6), eq. 2 to 4, on the lines that look
// like data: many lines of one shape with many cells, times the share of cells of a
// known type.
func Cut(lines []Line, delim byte) Grid {
	g := Grid{Delim: delim, Cells: make([][][]byte, len(lines)), Kinds: make([]lineKind, len(lines))}
	counts := map[int]int{}
	g.Lengths = make([]int64, len(lines))
	for i, l := range lines {
		g.Lengths[i] = int64(len(l.Text)) + 1
		if l.Comment || scan.IsBlank(l.Text) {
			continue
		}
		cells, ok := scan.Split(make([][]byte, 0, bytes.Count(l.Text, []byte{delim})+1), bytes.Clone(l.Text), delim)
		if !ok {
			continue
		}
		g.Cells[i], g.Kinds[i] = cells, kindOfLine(cells)
		if g.Kinds[i].data {
			counts[len(cells)]++
		}
	}
	best := 0
	for n, lines := range counts {
		weight := lines * max(n-1, 0)
		if weight > best || weight == best && n > g.Columns {
			best, g.Columns = weight, n
		}
	}
	g.Raw = g.Columns
	for i := range lines {
		if g.Kinds[i].data && len(g.Cells[i]) == g.Columns {
			g.Body = append(g.Body, i)
		}
	}
	if g.Columns > 1 {
		shape := float64(len(g.Body)) * float64(g.Columns-1) / float64(g.Columns)
		g.Score = shape * g.typed()
	}
	return g
}

// A lineKind is what the cells of a line look like, of one that has several.
type lineKind struct {
	data    bool // half of those that hold something are numbers, times or markers, and one at least a number or time
	Stamped bool // one is a date or time
	typed   int  // how many are of a known type, or units
}

func kindOfLine(cells [][]byte) (k lineKind) {
	if len(cells) < 2 {
		return k
	}
	empty, text, numbers := 0, 0, 0
	for _, c := range cells {
		switch kind := KindOf(c); kind {
		case NumberCell, StampCell:
			numbers++
			k.Stamped = k.Stamped || kind == StampCell
		case EmptyCell:
			empty++
		case TextCell:
			if !naming.IsUnit(string(c)) {
				text++
			}
		}
	}
	k.typed = len(cells) - text
	k.data = numbers > 0 && k.typed-empty >= text
	return k
}

// IsData tells whether a line of several cells looks like data.
func IsData(cells [][]byte) bool { return kindOfLine(cells).data }

// typed is the share of the body's cells of a known type, or units.
func (g Grid) typed() float64 {
	typed, all := 0, 0
	for _, i := range g.Body {
		typed, all = typed+g.Kinds[i].typed, all+len(g.Cells[i])
	}
	return (float64(typed) + 1e-9) / float64(max(all, 1))
}

// Best decides the delimiter on the body of the sample. A sep= line decides
// by itself where it makes a table.
func Best(lines []Line) Grid {
	var best Grid
	named, few := namedDelimiter(lines), thin(lines)
	for _, d := range Delimiters {
		g := Cut(few, d)
		if d == named && g.Columns > 1 {
			return Cut(lines, d)
		}
		if g.Score > best.Score && (d != scan.Blanks || !best.table() || best.cutsGaps()) {
			best = g
		}
	}
	if len(few) == len(lines) || best.Columns == 0 {
		return best
	}
	return Cut(lines, best.Delim)
}

// enough is how many lines tell the delimiter.
const enough = 240

// thin takes the first lines and some of all others.
func thin(lines []Line) []Line {
	if len(lines) <= enough {
		return lines
	}
	few := append([]Line{}, lines[:enough/2]...)
	rest := lines[enough/2:]
	for i := range enough / 2 {
		few = append(few, rest[i*len(rest)/(enough/2)])
	}
	return few
}

// table tells whether most cells of the body are of known types. Such a table is
// not cut further at its blanks, as dates and thousands hold some.
func (g Grid) table() bool { return g.Columns > 1 && g.typed() > 0.6 }

// cutsGaps tells whether most lines keep a gap of several blanks between numbers
// within a cell: the delimiter is a decimal comma, and the gaps part the cells.
func (g Grid) cutsGaps() bool {
	gaps, all := 0, 0
	for _, cells := range g.Cells {
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
	return len(rest) > 0 && scan.IsDigit(rest[0]) && KindOf(cell) != StampCell
}

// namedDelimiter reads a "sep=;" line.
func namedDelimiter(lines []Line) byte {
	if len(lines) > 0 {
		if d, ok := sepLine(lines[0].Text); ok {
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

// IsComment tells whether a line begins with a comment mark.
func IsComment(text []byte) bool {
	t := scan.TrimLeft(text)
	return len(t) > 0 && (t[0] == '#' || bytes.HasPrefix(t, []byte("//")) || bytes.HasPrefix(t, []byte("$$")))
}

// Uncomment is a line of comment without its marks.
func Uncomment(text []byte) []byte { return bytes.TrimLeft(text, "#/$;% \t") }

// unitOf reads what follows a number in a cell.
func unitOf(cell []byte) string {
	for i := range cell {
		if u := strings.TrimSpace(string(cell[i:])); u != "" && !scan.IsDigit(u[0]) && !strings.ContainsAny(u[:1], ".,-+'") && naming.IsUnit(u) {
			return u
		}
	}
	return ""
}

// CommonUnit gives the one unit that stands behind nearly all numbers of a column.
func CommonUnit(cells [][]byte) string {
	unit, with, without := "", 0, 0
	for _, c := range cells {
		if KindOf(c) != NumberCell {
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

// Fits tells whether a line has the cells of the body. More may follow if they are
// empty; a line with fewer has lost some, and nobody knows which.
func (g Grid) Fits(cells [][]byte) bool {
	if len(cells) < g.Raw {
		return false
	}
	for _, c := range cells[g.Columns:] {
		if len(c) > 0 {
			return false
		}
	}
	return true
}

// DropEmpty leaves off columns at the end that are empty in every line and have no
// name: a delimiter stands behind the last cell.
func (g *Grid) DropEmpty() {
	for g.Columns > 2 && !g.namedAbove(g.Columns-1) {
		for _, i := range g.Body {
			if len(g.Cells[i][g.Columns-1]) > 0 {
				return
			}
		}
		g.Columns--
	}
}

// namedAbove tells whether a line of the body's shape above it has a word in a column,
// and in all before.
func (g *Grid) namedAbove(col int) bool {
	for _, cells := range g.Cells[:g.Body[0]] {
		if len(cells) >= g.Raw && !slices.ContainsFunc(cells[:col+1], func(c []byte) bool { return KindOf(c) != TextCell }) {
			return true
		}
	}
	return false
}

// HeaderText is a line of a header as it is known again in mid-file.
func HeaderText(text []byte) string { return string(scan.Trim(text)) }
