package layout

import (
	"bytes"
	"regexp"
	"slices"
	"strings"

	"rimelog/ingest/clock"
	"rimelog/ingest/dialect"
	"rimelog/ingest/naming"
	"rimelog/ingest/scan"
)

// A Layout is where header and data stand in a file.
type Layout struct {
	dialect.Grid
	First    int        // the sample line with the first data
	Top      int        // the first line below the header: first, or one above it that lacks its last delimiters
	Header   []int      // the sample lines of the header, from above
	Rows     [][]string // their cells
	Names    []string   // of the columns; "" where there is none
	Labels   []string   // units from a row of their own
	index    string     // the name of the first column, where it has a row of its own
	Preamble []string
	times    []int // the columns of time
}

// headerRows is how many lines a header has at most.
const headerRows = 4

// Find finds the header above the first line of data. The time columns tell
// which line that is.
func Find(lines []dialect.Line, g dialect.Grid, times []int) Layout {
	l := Layout{Grid: g, First: -1, times: times}
	for i := range lines {
		if l.isData(i, times) {
			l.First = i
			break
		}
	}
	if l.First >= 0 {
		l.findTop()
		l.findHeader(lines)
		l.above(lines)
		l.endBody(lines)
	}
	return l
}

// endBody keeps of the body what stands above a header that names the columns in
// another order: below it, a column's cells are another's.
func (l *Layout) endBody(lines []dialect.Line) {
	for i := l.First + 1; i < len(lines); i++ {
		if slices.ContainsFunc(l.Rows, func(row []string) bool { return reorders(l.Cells[i], row) }) {
			l.Body = slices.DeleteFunc(slices.Clone(l.Body), func(k int) bool { return k > i })
			return
		}
	}
}

// reorders tells whether a line has the cells of a header row in another order.
func reorders(line [][]byte, row []string) bool {
	if len(row) < 3 || len(line) != len(row) || !slices.Contains(row, string(line[0])) {
		return false
	}
	cells := Texts(line)
	return SameCells(cells, row) && !slices.Equal(cells, row)
}

// findTop finds lines of data above the first whole one that lack the delimiters
// behind the last column.
func (l *Layout) findTop() {
	l.Top = l.First
	for l.Top > 0 {
		cells := l.Cells[l.Top-1]
		if len(cells) < l.Columns || len(cells) >= l.Raw {
			return
		}
		if k := dialect.KindOf(cells[l.times[0]]); k != dialect.StampCell && (k != dialect.NumberCell || len(l.times) < 3) { // year, month and day are numbers
			return
		}
		l.Top--
	}
}

// isData tells whether a sample line has the body's cells and a time.
func (l *Layout) isData(i int, times []int) bool {
	cells := l.Cells[i]
	if !l.Fits(cells) {
		return false
	}
	for _, t := range times {
		if k := dialect.KindOf(cells[t]); k != dialect.StampCell && k != dialect.NumberCell {
			return false
		}
	}
	return len(times) > 0
}

// findHeader takes up to four lines of the body's shape right above the data.
func (l *Layout) findHeader(lines []dialect.Line) {
	var rows [][]string
	for i := l.Top - 1; i >= 0 && len(rows) < headerRows; i-- {
		if scan.IsBlank(lines[i].Text) || l.Names == nil && l.interlude(lines, i) {
			continue
		}
		row, ok := l.HeaderCells(lines[i])
		if !ok || !l.takeRow(row, i) {
			break
		}
		rows = append(rows, row)
	}
	if l.Names == nil && l.Labels != nil { // "ts,v": names that could be units
		l.Names, l.Labels = l.Labels, nil
	}
	if l.Names == nil {
		l.Names = make([]string, l.Columns)
	}
	if l.Names[0] == "" {
		l.Names[0] = l.index
	}
	if l.Labels == nil {
		l.Labels = make([]string, l.Columns)
	}
}

// mostInterlude is how many lines stand between the names and the data at most.
const mostInterlude = 6

// interlude tells whether a line stands between the names of the columns and the data: a
// rule, a date, a limit of each column, or a line of data that lost or gained a cell.
func (l *Layout) interlude(lines []dialect.Line, i int) bool {
	text := string(lines[i].Text)
	if !isRule(text) && !l.isLimits(i) && !l.IsRow(l.Cells[i]) && !isDateLine(text) {
		return false
	}
	for k := i - 1; k >= 0 && k >= i-mostInterlude; k-- {
		if row, ok := l.HeaderCells(lines[k]); ok && namesOnly(row) {
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
func (l *Layout) isLimits(i int) bool {
	numbers := 0
	for k, c := range l.Cells[i] {
		switch kind := dialect.KindOf(c); {
		case kind == dialect.NumberCell && k > 0:
			numbers++
		case kind != dialect.EmptyCell && k > 0 || kind != dialect.TextCell && k == 0:
			return false
		}
	}
	return numbers > 0
}

// isDateLine tells whether a line says a date and nothing else.
func isDateLine(text string) bool {
	if !SaysDate(text) {
		return false
	}
	_, dated := clock.FindStamp(text)
	return dated
}

// namesOnly tells whether every cell of a row that holds something is a name.
func namesOnly(row []string) bool {
	names := 0
	for _, c := range row {
		if c == "" {
			continue
		}
		if dialect.KindOf([]byte(c)) != dialect.TextCell {
			return false
		}
		names++
	}
	return names > 1
}

// takeRow takes a line above the data as units, as processing, as names, or as
// the groups that names belong to.
func (l *Layout) takeRow(row []string, i int) bool {
	switch {
	case l.Names == nil && l.index == "" && isIndexRow(row):
		l.index = row[0]
	case l.Names == nil && l.Labels == nil && IsUnitRow(row):
		l.Labels = row
	case l.Names == nil && isProcessRow(row):
	case l.Names == nil && (IsNameRow(row) || l.heads(row)):
		l.Names = row
	case l.Names != nil && l.Labels == nil && IsUnitRow(row):
		l.Labels = row
	case l.Names != nil && isGroupRow(row, l.Names):
		l.Names = joinGroups(row, l.Names)
	default:
		return false
	}
	l.Header = append([]int{i}, l.Header...)
	l.Rows = append([][]string{row}, l.Rows...)
	return true
}

// HeaderCells cuts a line above the data into as many cells as the body has: by
// the body's delimiter, without a comment mark, by wider gaps, or by another one.
func (l *Layout) HeaderCells(line dialect.Line) ([]string, bool) {
	text := line.Text
	if line.Comment {
		text = bytes.TrimRight(dialect.Uncomment(text), " \t")
	}
	try := []func() []string{func() []string { return CutHeader(text, l.Delim) }}
	if l.Delim == scan.Blanks {
		try = append(try, func() []string { return WideCells(string(text)) }, func() []string { return bracketCells(string(text)) })
	}
	for _, d := range dialect.Delimiters {
		if d != l.Delim && d != scan.Blanks {
			try = append(try, func() []string { return CutHeader(text, d) })
		}
	}
	dash := l.dashColumn()
	for _, f := range try {
		cells := f()
		for len(cells) > l.Columns && cells[len(cells)-1] == "" {
			cells = cells[:len(cells)-1]
		}
		cells = l.withoutRemarks(cells)
		if n := len(l.times); len(cells) == l.Columns-n && len(cells) > 0 && n > 0 && l.times[n-1] == n-1 && IsUnitRow(cells) {
			cells = append(make([]string, n), cells...) // the time needs no unit
		}
		if len(cells) == l.Columns-1 && len(cells) > 1 {
			cells = l.lackingOne(cells)
		}
		if dash > 0 {
			cells = l.lackingEnd(cells, dash)
		}
		if len(cells) == l.Columns {
			return cells, true
		}
	}
	return nil, false
}

// remarkWords head a column that lines without a remark leave out, folded.
var remarkWords = scan.WordSet("comment comments note notes remark remarks bemerkung kommentar anmerkung commentaire remarque comentario observaciones commento nota opmerking observacao anmarkning")

// withoutRemarks leaves out the name of a last column that no line of the body has.
func (l *Layout) withoutRemarks(cells []string) []string {
	if n := len(cells); n == l.Columns+1 && remarkWords[scan.Fold(cells[n-1])] {
		return cells[:n-1]
	}
	return cells
}

// lackingOne completes a header with a name too few: it lacks the delimiter behind
// the data's last, empty cell; or one name stands above a date and a time that a gap
// parts.
func (l *Layout) lackingOne(cells []string) []string {
	if l.Delim != scan.Blanks && l.endsEmpty() {
		return append(cells, "")
	}
	if l.Delim == scan.Blanks && len(l.times) == 2 && l.times[0] == 0 && l.times[1] == 1 {
		if t := naming.Read(cells[0]); (t.Has("date") || t.Has("time")) && !naming.Read(cells[1]).Has("time") {
			return slices.Insert(cells, 1, "")
		}
	}
	return cells
}

// dashColumn is the column of the dash, or of the word, that blanks part from the times it
// stands between, as in 16:12:02 - 16:13:02; 0 where there is none.
func (l *Layout) dashColumn() int {
	for d := 1; l.Delim == scan.Blanks && d < l.Columns-1; d++ {
		if !slices.ContainsFunc(l.Body, func(i int) bool { return !joinsTimes(l.Cells[i][d-1], l.Cells[i][d], l.Cells[i][d+1]) }) {
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
func (l *Layout) lackingEnd(cells []string, dash int) []string {
	switch {
	case len(cells) == l.Columns-2 && dash <= len(cells):
		return slices.Insert(cells, dash, "", "")
	case len(cells) == l.Columns-3 && dash == 2:
		return slices.Insert(cells, 1, "", "", "")
	}
	return nil
}

// endsEmpty tells whether the last cell of most lines is empty. Where it is not, a
// decimal comma may part the cells as well.
func (l *Layout) endsEmpty() bool {
	empty := 0
	for _, i := range l.Body {
		if len(l.Cells[i][l.Columns-1]) == 0 {
			empty++
		}
	}
	return 2*empty > len(l.Body)
}

// CutHeader cuts a line of names at a delimiter.
func CutHeader(text []byte, delim byte) []string {
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

// WideCells cuts at tabs and at two blanks or more.
func WideCells(text string) []string {
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
	return len(row) > 2 && row[0] != "" && !naming.IsUnit(row[0])
}

// IsUnitRow tells whether a row holds the units of columns.
func IsUnitRow(row []string) bool {
	units, filled := 0, 0
	for _, c := range row {
		if c == "" || c == "-" || c == "--" || c == "[]" || c == "()" {
			continue
		}
		filled++
		if naming.IsUnit(c) || timeWords[scan.Fold(strings.Trim(c, "[]()"))] || isTimePattern(c) {
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

// IsNameRow tells whether a row can name columns.
func IsNameRow(row []string) bool {
	words, filled := 0, 0
	for _, c := range row {
		if c == "" {
			continue
		}
		filled++
		if dialect.KindOf([]byte(c)) == dialect.TextCell || naming.IsUnit(c) {
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
		} else if filled++; dialect.KindOf([]byte(c)) != dialect.TextCell {
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
func (l *Layout) above(lines []dialect.Line) {
	top := l.Top
	if len(l.Header) > 0 {
		top = l.Header[0]
	}
	for i, line := range lines[:l.Top] {
		if !scan.IsBlank(line.Text) && (i < top || !slices.Contains(l.Header, i) && !l.IsRow(l.Cells[i])) {
			l.Preamble = append(l.Preamble, string(line.Text))
		}
	}
}

// IsRow tells whether cells are a line of data, of this table or another: a date or a
// time stands among the first of them, behind a running number at most, and numbers
// follow. Where the clock of the table is a number, a line of numbers is one.
func (l *Layout) IsRow(cells [][]byte) bool {
	if len(cells) < 2 || !dialect.IsData(cells) {
		return false
	}
	stamps, numbers, others := 0, 0, 0
	for _, c := range cells {
		switch dialect.KindOf(c) {
		case dialect.StampCell:
			if others == 0 && numbers < 2 {
				stamps++
			}
		case dialect.NumberCell:
			numbers++
		case dialect.TextCell:
			others++
		}
	}
	first := dialect.KindOf(cells[0])
	if stamps > 0 {
		return numbers > 0 && first != dialect.TextCell && !(first == dialect.NumberCell && numbers < 2)
	}
	return numbers > 1 && others == 0 && first == dialect.NumberCell && l.countsTime()
}

// countsTime tells whether the clock of the table is a number, such as seconds.
func (l *Layout) countsTime() bool {
	return l.First >= 0 && len(l.times) > 0 && dialect.KindOf(l.Cells[l.First][l.times[0]]) == dialect.NumberCell
}

// SameCells tells whether two rows hold the same in any order.
func SameCells(a, b []string) bool {
	return slices.Equal(slices.Sorted(slices.Values(a)), slices.Sorted(slices.Values(b)))
}
