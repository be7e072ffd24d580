package layout

import (
	"slices"

	"rimelog/ingest/dialect"
	"rimelog/ingest/naming"
	"rimelog/ingest/scan"
)

// TextGrid cuts a table whose lines hold more words than numbers: by the delimiter
// that gives most lines one count of cells.
func TextGrid(lines []dialect.Line) dialect.Grid {
	var best dialect.Grid
	for _, d := range dialect.Delimiters {
		if g := cutTexts(lines, d); d != scan.Blanks && g.Score > best.Score {
			best = g
		}
	}
	return best
}

// cutTexts tries one delimiter. At least half of the lines must share a count of
// cells: prose does not.
func cutTexts(lines []dialect.Line, delim byte) dialect.Grid {
	g := dialect.Cut(lines, delim)
	counts, filled := map[int]int{}, 0
	for i, l := range lines {
		if !scan.IsBlank(l.Text) && !l.Comment {
			filled++
			counts[len(g.Cells[i])]++
		}
	}
	g.Columns, g.Body, g.Score = 0, nil, 0
	for n, k := range counts {
		if score := float64(k) * float64(n-1) / float64(n); n > 1 && k > 1 && 2*k >= filled && score > g.Score {
			g.Columns, g.Score = n, score
		}
	}
	g.Raw = g.Columns
	for i := range lines {
		if len(g.Cells[i]) == g.Columns && g.Columns > 0 && !lines[i].Comment {
			g.Body = append(g.Body, i)
		}
	}
	return g
}

// FindBare finds the header of a table without a clock: above the first line of
// the body, or that line itself where it holds words above numbers, or names only.
func FindBare(lines []dialect.Line, g dialect.Grid) Layout {
	l := Layout{Grid: g, First: -1}
	if len(g.Body) == 0 {
		return l
	}
	l.First = g.Body[0]
	if row := Texts(g.Cells[l.First][:g.Columns]); len(g.Body) > 1 && (l.heads(row) || isTitles(row)) {
		l.First = g.Body[1]
	}
	l.Top = l.First
	l.findHeader(lines)
	l.above(lines)
	return l
}

// Texts are cells as text.
func Texts(cells [][]byte) []string {
	row := make([]string, len(cells))
	for i, c := range cells {
		row[i] = string(c)
	}
	return row
}

// isTitles tells whether a row can name columns: words only, each once.
func isTitles(row []string) bool {
	for i, c := range row {
		if dialect.KindOf([]byte(c)) != dialect.TextCell || slices.Contains(row[:i], c) {
			return false
		}
	}
	return true
}

// heads tells whether a row names columns though many of its names are numbers: each
// cell is filled, and one holds words where the body holds numbers or times.
func (l *Layout) heads(row []string) bool {
	for _, c := range row {
		if c == "" {
			return false
		}
	}
	for i, c := range row {
		if dialect.KindOf([]byte(c)) == dialect.TextCell && !naming.IsUnit(c) && l.typedBelow(i, c) {
			return true
		}
	}
	return false
}

// typedBelow tells whether nearly all cells of a column hold numbers or times, its
// name apart.
func (l *Layout) typedBelow(col int, name string) bool {
	typed, all := 0, 0
	for _, i := range l.Body {
		if string(l.Cells[i][col]) == name {
			continue
		}
		switch dialect.KindOf(l.Cells[i][col]) {
		case dialect.NumberCell, dialect.StampCell:
			typed++
			all++
		case dialect.TextCell:
			all++
		}
	}
	return typed > 0 && 10*typed >= 9*all
}
