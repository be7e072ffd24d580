package ingest

import (
	"bytes"
	"regexp"
	"slices"
	"strings"

	"rimelog/ingest/clock"
	"rimelog/ingest/scan"
)

// A layout is where header and data stand in a file.
type layout struct {
	grid
	first    int        // the sample line with the first data
	top      int        // the first line below the header: first, or one above it that lacks its last delimiters
	header   []int      // the sample lines of the header, from above
	rows     [][]string // their cells
	names    []string   // of the columns; "" where there is none
	labels   []string   // units from a row of their own
	index    string     // the name of the first column, where it has a row of its own
	preamble []string
	times    []int // the columns of time
}

// headerRows is how many lines a header has at most.
const headerRows = 4

// layOut finds the header above the first line of data. The time columns tell
// which line that is.
func layOut(lines []sampleLine, g grid, times []int) layout {
	l := layout{grid: g, first: -1, times: times}
	for i := range lines {
		if l.isData(i, times) {
			l.first = i
			break
		}
	}
	if l.first >= 0 {
		l.findTop()
		l.findHeader(lines)
		l.above(lines)
		l.endBody(lines)
	}
	return l
}

// endBody keeps of the body what stands above a header that names the columns in
// another order: below it, a column's cells are another's.
func (l *layout) endBody(lines []sampleLine) {
	for i := l.first + 1; i < len(lines); i++ {
		if slices.ContainsFunc(l.rows, func(row []string) bool { return reorders(l.cells[i], row) }) {
			l.body = slices.DeleteFunc(slices.Clone(l.body), func(k int) bool { return k > i })
			return
		}
	}
}

// reorders tells whether a line has the cells of a header row in another order.
func reorders(line [][]byte, row []string) bool {
	if len(row) < 3 || len(line) != len(row) || !slices.Contains(row, string(line[0])) {
		return false
	}
	cells := texts(line)
	return sameCells(cells, row) && !slices.Equal(cells, row)
}

// findTop finds lines of data above the first whole one that lack the delimiters
// behind the last column.
func (l *layout) findTop() {
	l.top = l.first
	for l.top > 0 {
		cells := l.cells[l.top-1]
		if len(cells) < l.columns || len(cells) >= l.raw {
			return
		}
		if k := kindOf(cells[l.times[0]]); k != stampCell && (k != numberCell || len(l.times) < 3) { // year, month and day are numbers
			return
		}
		l.top--
	}
}

// isData tells whether a sample line has the body's cells and a time.
func (l *layout) isData(i int, times []int) bool {
	cells := l.cells[i]
	if !l.fits(cells) {
		return false
	}
	for _, t := range times {
		if k := kindOf(cells[t]); k != stampCell && k != numberCell {
			return false
		}
	}
	return len(times) > 0
}

// fits tells whether a line has the cells of the body. More may follow if they are
// empty; a line with fewer has lost some, and nobody knows which.
func (g grid) fits(cells [][]byte) bool {
	if len(cells) < g.raw {
		return false
	}
	for _, c := range cells[g.columns:] {
		if len(c) > 0 {
			return false
		}
	}
	return true
}

// findHeader takes up to four lines of the body's shape right above the data.
func (l *layout) findHeader(lines []sampleLine) {
	var rows [][]string
	for i := l.top - 1; i >= 0 && len(rows) < headerRows; i-- {
		if scan.IsBlank(lines[i].text) || l.names == nil && l.interlude(lines, i) {
			continue
		}
		row, ok := l.headerCells(lines[i])
		if !ok || !l.takeRow(row, i) {
			break
		}
		rows = append(rows, row)
	}
	if l.names == nil && l.labels != nil { // "ts,v": names that could be units
		l.names, l.labels = l.labels, nil
	}
	if l.names == nil {
		l.names = make([]string, l.columns)
	}
	if l.names[0] == "" {
		l.names[0] = l.index
	}
	if l.labels == nil {
		l.labels = make([]string, l.columns)
	}
}

// mostInterlude is how many lines stand between the names and the data at most.
const mostInterlude = 6

// interlude tells whether a line stands between the names of the columns and the data: a
// rule, a date, a limit of each column, or a line of data that lost or gained a cell.
func (l *layout) interlude(lines []sampleLine, i int) bool {
	text := string(lines[i].text)
	if !isRule(text) && !l.isLimits(i) && !l.isRow(l.cells[i]) && !isDateLine(text) {
		return false
	}
	for k := i - 1; k >= 0 && k >= i-mostInterlude; k-- {
		if row, ok := l.headerCells(lines[k]); ok && namesOnly(row) {
			return true
		}
	}
	return false
}

// isRule tells whether a line is drawn: ----+----.
func isRule(text string) bool {
	return strings.Trim(text, "-=+|_*~ \t;,") == "" && strings.ContainsAny(text, "-=_*~")
}

// isLimits tells whether a line holds a word and a number for columns.
func (l *layout) isLimits(i int) bool {
	numbers := 0
	for k, c := range l.cells[i] {
		switch kind := kindOf(c); {
		case kind == numberCell && k > 0:
			numbers++
		case kind != emptyCell && k > 0 || kind != textCell && k == 0:
			return false
		}
	}
	return numbers > 0
}

// isDateLine tells whether a line says a date and nothing else.
func isDateLine(text string) bool {
	if !saysDate(text) {
		return false
	}
	_, dated := findStamp(text)
	return dated
}

// namesOnly tells whether every cell of a row that holds something is a name.
func namesOnly(row []string) bool {
	names := 0
	for _, c := range row {
		if c == "" {
			continue
		}
		if kindOf([]byte(c)) != textCell {
			return false
		}
		names++
	}
	return names > 1
}

// takeRow takes a line above the data as units, as processing, as names, or as
// the groups that names belong to.
func (l *layout) takeRow(row []string, i int) bool {
	switch {
	case l.names == nil && l.index == "" && isIndexRow(row):
		l.index = row[0]
	case l.names == nil && l.labels == nil && isUnitRow(row):
		l.labels = row
	case l.names == nil && isProcessRow(row):
	case l.names == nil && (isNameRow(row) || l.heads(row)):
		l.names = row
	case l.names != nil && l.labels == nil && isUnitRow(row):
		l.labels = row
	case l.names != nil && isGroupRow(row, l.names):
		l.names = joinGroups(row, l.names)
	default:
		return false
	}
	l.header = append([]int{i}, l.header...)
	l.rows = append([][]string{row}, l.rows...)
	return true
}

// headerCells cuts a line above the data into as many cells as the body has: by
// the body's delimiter, without a comment mark, by wider gaps, or by another one.
func (l *layout) headerCells(line sampleLine) ([]string, bool) {
	text := line.text
	if line.comment {
		text = bytes.TrimRight(uncomment(text), " \t")
	}
	try := []func() []string{func() []string { return cutHeader(text, l.delim) }}
	if l.delim == scan.Blanks {
		try = append(try, func() []string { return wideCells(string(text)) }, func() []string { return bracketCells(string(text)) })
	}
	for _, d := range delimiters {
		if d != l.delim && d != scan.Blanks {
			try = append(try, func() []string { return cutHeader(text, d) })
		}
	}
	dash := l.dashColumn()
	for _, f := range try {
		cells := f()
		for len(cells) > l.columns && cells[len(cells)-1] == "" {
			cells = cells[:len(cells)-1]
		}
		cells = l.withoutRemarks(cells)
		if n := len(l.times); len(cells) == l.columns-n && len(cells) > 0 && n > 0 && l.times[n-1] == n-1 && isUnitRow(cells) {
			cells = append(make([]string, n), cells...) // the time needs no unit
		}
		if len(cells) == l.columns-1 && len(cells) > 1 {
			cells = l.lackingOne(cells)
		}
		if dash > 0 {
			cells = l.lackingEnd(cells, dash)
		}
		if len(cells) == l.columns {
			return cells, true
		}
	}
	return nil, false
}

// remarkWords head a column that lines without a remark leave out, folded.
var remarkWords = scan.WordSet("comment comments note notes remark remarks bemerkung kommentar anmerkung commentaire remarque comentario observaciones commento nota opmerking observacao anmarkning")

// withoutRemarks leaves out the name of a last column that no line of the body has.
func (l *layout) withoutRemarks(cells []string) []string {
	if n := len(cells); n == l.columns+1 && remarkWords[scan.Fold(cells[n-1])] {
		return cells[:n-1]
	}
	return cells
}

// lackingOne completes a header with a name too few: it lacks the delimiter behind
// the data's last, empty cell; or one name stands above a date and a time that a gap
// parts.
func (l *layout) lackingOne(cells []string) []string {
	if l.delim != scan.Blanks && l.endsEmpty() {
		return append(cells, "")
	}
	if l.delim == scan.Blanks && len(l.times) == 2 && l.times[0] == 0 && l.times[1] == 1 {
		if t := readTitle(cells[0]); (t.has("date") || t.has("time")) && !readTitle(cells[1]).has("time") {
			return slices.Insert(cells, 1, "")
		}
	}
	return cells
}

// dashColumn is the column of the dash, or of the word, that blanks part from the times it
// stands between, as in 16:12:02 - 16:13:02; 0 where there is none.
func (l *layout) dashColumn() int {
	for d := 1; l.delim == scan.Blanks && d < l.columns-1; d++ {
		if !slices.ContainsFunc(l.body, func(i int) bool { return !joinsTimes(l.cells[i][d-1], l.cells[i][d], l.cells[i][d+1]) }) {
			return d
		}
	}
	return 0
}

// joinsTimes tells whether a cell stands between two times of day as between the beginning and
// the end of an interval.
func joinsTimes(from, dash, to []byte) bool {
	a, from1 := clock.ParseStampFrom(from, 0)
	b, to1 := clock.ParseStampFrom(to, 0)
	return from1 && to1 && a.HasTime && b.HasTime && clock.IsUntil(string(dash))
}

// lackingEnd completes a header that names no end of an interval, nor the dash before it:
// its names stand above date and time, or one above both. Names that are as many as the
// cells are words of other names then, for nobody names a dash.
func (l *layout) lackingEnd(cells []string, dash int) []string {
	switch {
	case len(cells) == l.columns-2 && dash <= len(cells):
		return slices.Insert(cells, dash, "", "")
	case len(cells) == l.columns-3 && dash == 2:
		return slices.Insert(cells, 1, "", "", "")
	}
	return nil
}

// endsEmpty tells whether the last cell of most lines is empty. Where it is not, a
// decimal comma may part the cells as well.
func (l *layout) endsEmpty() bool {
	empty := 0
	for _, i := range l.body {
		if len(l.cells[i][l.columns-1]) == 0 {
			empty++
		}
	}
	return 2*empty > len(l.body)
}

func cutHeader(text []byte, delim byte) []string {
	cells, ok := scan.Split(nil, bytes.Clone(text), delim)
	if !ok {
		cells = bytes.Split(text, []byte{delim}) // a quote within a name
	}
	names := make([]string, len(cells))
	for i, c := range cells {
		if names[i] = string(scan.Trim(c)); !ok {
			names[i] = strings.Trim(names[i], "\"")
		}
	}
	if delim == ',' {
		return joinZone(joinBrackets(names))
	}
	return names
}

// joinZone joins the zone to the name of the time, which a comma parts: "Date Time,
// GMT+11:00".
func joinZone(names []string) []string {
	if len(names) > 1 && zoneInName.MatchString(names[1]) {
		return append([]string{names[0] + ", " + names[1]}, names[2:]...)
	}
	return names
}

var zoneInName = regexp.MustCompile(`^(GMT|UTC)([+-]\d\d?(:?\d\d)?)?$`)

// joinBrackets joins names that a comma within brackets parts: "Power [W] (no. 7, north)".
func joinBrackets(names []string) []string {
	var out []string
	for i := 0; i < len(names); i++ {
		name := names[i]
		for k := i + 1; openBracket(name) && k < len(names) && k < i+4; k++ {
			if joined := strings.Join(names[i:k+1], ", "); !openBracket(joined) {
				name, i = joined, k
			}
		}
		out = append(out, name)
	}
	return out
}

func openBracket(s string) bool {
	return strings.Count(s, "(") > strings.Count(s, ")") || strings.Count(s, "[") > strings.Count(s, "]")
}

// wideCells cuts at tabs and at two blanks or more.
func wideCells(text string) []string {
	var cells []string
	for _, c := range strings.Split(strings.ReplaceAll(text, "\t", "  "), "  ") {
		if c = strings.TrimSpace(c); c != "" {
			cells = append(cells, c)
		}
	}
	return cells
}

// bracketCells cuts at blanks, but keeps "T1 (C)" together.
func bracketCells(text string) []string {
	var cells []string
	for _, w := range strings.Fields(text) {
		if n := len(cells); n > 0 && (w[0] == '(' || w[0] == '[') {
			cells[n-1] += " " + w
		} else {
			cells = append(cells, w)
		}
	}
	return cells
}

// isIndexRow tells whether a row names the first of several columns only.
func isIndexRow(row []string) bool {
	for _, c := range row[1:] {
		if c != "" {
			return false
		}
	}
	return len(row) > 2 && row[0] != "" && !isUnit(row[0])
}

func isUnitRow(row []string) bool {
	units, filled := 0, 0
	for _, c := range row {
		if c == "" || c == "-" || c == "--" || c == "[]" || c == "()" {
			continue
		}
		filled++
		if isUnit(c) || timeWords[scan.Fold(strings.Trim(c, "[]()"))] || isTimePattern(c) {
			units++
		}
	}
	return units > 0 && units == filled
}

// isTimePattern tells whether a text says how times are written, such as [YYYY-MM-DD
// hh:mm:ss]: letters of day, month, year, hour, minute and second in the languages that
// have them, and at least two marks between.
func isTimePattern(c string) bool {
	marks, letters := 0, 0
	for _, r := range strings.ToLower(strings.Trim(c, "[]() ")) {
		switch {
		case strings.ContainsRune("-./:", r):
			marks++
		case strings.ContainsRune("dmyhsjtaguf", r):
			letters++
		case r != ' ':
			return false
		}
	}
	return marks >= 2 && letters >= 6
}

// timeWords stand above time columns in a row of units.
var timeWords = scan.WordSet("ts timestamp time date datetime date/time datum zeit datum/zeit hh:mm:ss dd.mm.yyyy yyyy-mm-dd utc local tt.mm.jjjj text rn")

var processWords = scan.WordSet("avg smp tot min max std mean sample average actual inst instant mittel mittelwert moyenne media gemiddelde medel")

func isProcessRow(row []string) bool {
	filled := 0
	for _, c := range row {
		if c == "" {
			continue
		}
		filled++
		if !processWords[scan.Fold(c)] {
			return false
		}
	}
	return filled > 0
}

func isNameRow(row []string) bool {
	words, filled := 0, 0
	for _, c := range row {
		if c == "" {
			continue
		}
		filled++
		if kindOf([]byte(c)) == textCell || isUnit(c) {
			words++
		}
	}
	return words > 0 && 2*words >= filled
}

// isGroupRow tells whether a line above the names groups them: it has gaps to be
// filled to the right, or the names alone are not unique.
func isGroupRow(row, names []string) bool {
	gaps, filled, seen := 0, 0, map[string]bool{}
	twice := false
	for i, c := range row {
		if c == "" {
			gaps++
		} else if filled++; kindOf([]byte(c)) != textCell {
			return false
		}
		twice = twice || names[i] != "" && seen[names[i]]
		seen[names[i]] = true
	}
	return filled > 1 && len(row) > 2 && twice
}

// joinGroups puts each group before the names below it.
func joinGroups(groups, names []string) []string {
	out, group := make([]string, len(names)), ""
	for i, n := range names {
		if groups[i] != "" {
			group = groups[i]
		}
		out[i] = strings.TrimSpace(group + " " + n)
	}
	return out
}

// above collects the preamble, and what stands between the names and the data.
func (l *layout) above(lines []sampleLine) {
	top := l.top
	if len(l.header) > 0 {
		top = l.header[0]
	}
	for i, line := range lines[:l.top] {
		if !scan.IsBlank(line.text) && (i < top || !slices.Contains(l.header, i) && !l.isRow(l.cells[i])) {
			l.preamble = append(l.preamble, string(line.text))
		}
	}
}
