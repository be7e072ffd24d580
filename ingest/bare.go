package ingest

import (
	"slices"

	"rimelog/ingest/scan"
)

// errNoTime says that a table has no clock: its lines are counted as data and its
// columns are understood, but no value can be taken.
var errNoTime = &unreadable{"no column tells the time", "export the file with date and time in every line"}

// textGrid cuts a table whose lines hold more words than numbers: by the delimiter
// that gives most lines one count of cells.
func textGrid(lines []sampleLine) grid {
	var best grid
	for _, d := range delimiters {
		if g := cutTexts(lines, d); d != scan.Blanks && g.score > best.score {
			best = g
		}
	}
	return best
}

// cutTexts tries one delimiter. At least half of the lines must share a count of
// cells: prose does not.
func cutTexts(lines []sampleLine, delim byte) grid {
	g := cut(lines, delim)
	counts, filled := map[int]int{}, 0
	for i, l := range lines {
		if !scan.IsBlank(l.text) && !l.comment {
			filled++
			counts[len(g.cells[i])]++
		}
	}
	g.columns, g.body, g.score = 0, nil, 0
	for n, k := range counts {
		if score := float64(k) * float64(n-1) / float64(n); n > 1 && k > 1 && 2*k >= filled && score > g.score {
			g.columns, g.score = n, score
		}
	}
	g.raw = g.columns
	for i := range lines {
		if len(g.cells[i]) == g.columns && g.columns > 0 && !lines[i].comment {
			g.body = append(g.body, i)
		}
	}
	return g
}

// layOutBare finds the header of a table without a clock: above the first line of
// the body, or that line itself where it holds words above numbers, or names only.
func layOutBare(lines []sampleLine, g grid) layout {
	l := layout{grid: g, first: -1}
	if len(g.body) == 0 {
		return l
	}
	l.first = g.body[0]
	if row := texts(g.cells[l.first][:g.columns]); len(g.body) > 1 && (l.heads(row) || isTitles(row)) {
		l.first = g.body[1]
	}
	l.top = l.first
	l.findHeader(lines)
	l.above(lines)
	return l
}

func texts(cells [][]byte) []string {
	row := make([]string, len(cells))
	for i, c := range cells {
		row[i] = string(c)
	}
	return row
}

// isTitles tells whether a row can name columns: words only, each once.
func isTitles(row []string) bool {
	for i, c := range row {
		if kindOf([]byte(c)) != textCell || slices.Contains(row[:i], c) {
			return false
		}
	}
	return true
}

// heads tells whether a row names columns though many of its names are numbers: each
// cell is filled, and one holds words where the body holds numbers or times.
func (l *layout) heads(row []string) bool {
	for _, c := range row {
		if c == "" {
			return false
		}
	}
	for i, c := range row {
		if kindOf([]byte(c)) == textCell && !isUnit(c) && l.typedBelow(i, c) {
			return true
		}
	}
	return false
}

// typedBelow tells whether nearly all cells of a column hold numbers or times, its
// name apart.
func (l *layout) typedBelow(col int, name string) bool {
	typed, all := 0, 0
	for _, i := range l.body {
		if string(l.cells[i][col]) == name {
			continue
		}
		switch kindOf(l.cells[i][col]) {
		case numberCell, stampCell:
			typed++
			all++
		case textCell:
			all++
		}
	}
	return typed > 0 && 10*typed >= 9*all
}

// commitBare takes a line of a table without a clock: its values are counted, and
// refused.
func (s *pass) commitBare(l line) {
	if s.headerLine(l.text) {
		return
	}
	s.settlePending(false)
	s.block = nil
	s.noteOrder()
	s.lines.Data++
	s.take(0, l.ended)
}
