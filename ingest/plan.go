package ingest

import (
	"fmt"
	"slices"
	"strings"

	"rimelog/ingest/clock"
	"rimelog/ingest/scan"
)

// A plan is how a file is going to be read: everything decided on the body of its
// sample, the register's answers and what earlier passes found out.
type plan struct {
	charset  charset
	lineEnd  string
	window   window
	strip    strip
	proven   byte // the decimal mark that another table of the file proves
	remark   byte // a mark that lines of comment begin with in this file alone
	layout   layout
	titles   []title
	preamble preamble
	marks    scan.Marks
	marksWhy string
	seen     scan.MarkEvidence
	time     timePlan
	columns  []*column // by place in the line, in that order; a place may have several
	long     *longLayout
	keys     []longKey // of a long table
	key      string    // the one under way
	keyLimit int
	systems  []SystemAnswers
	found    amendments
	open     []Question
	notes    []Note
	bare     *unreadable // why no line can be told in time: a table without a clock

	header map[string]int // texts of header lines, as they may be repeated, with their row
	head   []sampleLine
}

// amendments are what a pass over the whole file found that the sample did not
// show. The file is read again with them, at most once for each.
type amendments struct {
	orders  clock.OrderEvidence
	decimal byte           // the mark that some cell proves to be the decimal one
	gauge   map[int]string // columns whose negative values prove gauge pressures
	zone    *clock.ZoneDoubt
	keys    []longKey // channels of a long table that the sample did not name
	refuse  string    // no line can be told in UTC, and why
	remedy  string    // the unit cell of the register's row that settles it
	// unordered says that the lines are not in order of time.
	unordered bool
	passes    int
}

// newPlan decides how to read a file.
func newPlan(s sample, a Answers, found amendments, o Options) (*plan, error) {
	p := &plan{charset: s.charset, lineEnd: s.lineEnd, remark: s.remark, proven: s.proven, window: a.window, strip: a.strip, systems: a.Systems, found: found}
	g := bestGrid(s.lines)
	if len(g.body) == 0 {
		if g = textGrid(s.lines); len(g.body) == 0 {
			return nil, &unreadable{"no line holds a time and values", "check that this is a logger's file, and export it again as CSV"}
		}
	}
	g.strip = a.strip
	if g.columns > o.columnLimit() {
		return nil, &unreadable{fmt.Sprintf("it has %d columns, more than the limit of %d", g.columns, o.columnLimit()), "raise the option ingest.column_limit"}
	}
	g.dropEmpty()
	l := layout{first: -1}
	if _, times, _, _ := findTime(g, nil); len(times) > 0 {
		l = layOut(s.lines, g, times)
	}
	if l.first < 0 || l.first >= s.head {
		p.bare, l = errNoTime, layOutBare(s.lines, g)
	}
	if err := p.settleLayout(s, l); err != nil {
		return nil, err
	}
	if p.bare != nil { // only the names may tell
		if err := p.layOutByNames(s, g); err != nil {
			return nil, err
		}
	}
	if p.bare == nil && !p.planTime(a) {
		p.bare = errNoTime
		if err := p.settleLayout(s, layOutBare(s.lines, g)); err != nil {
			return nil, err
		}
	}
	if p.bare == nil && p.dayMatrix() {
		return nil, &unreadable{"each line holds the values of a whole day, in columns named by its times", "export it with a line for each time"}
	}
	p.keyLimit = o.columnLimit()
	p.planLong()
	p.planColumns(a)
	p.planMarks(a)
	p.refuseUntold()
	return p, nil
}

// layOutByNames lays the sample out by columns of time that only their names tell.
func (p *plan) layOutByNames(s sample, g grid) error {
	_, times, _, _ := findTime(p.layout.grid, p.titles)
	if len(times) == 0 {
		return nil
	}
	l := layOut(s.lines, g, times)
	if l.first < 0 || l.first >= s.head {
		return nil
	}
	p.bare = nil
	return p.settleLayout(s, l)
}

// refuseUntold refuses every value where no line can be told in time: its lines are
// data all the same, and their columns are understood.
func (p *plan) refuseUntold() {
	why := p.time.question
	if p.bare != nil {
		why = p.bare.problem
	}
	if why == "" {
		return
	}
	for _, c := range p.columns {
		if c.kind != timeColumn && c.kind != partColumn {
			c.refuse = why
		}
	}
}

// settleLayout takes the layout of the sample: names, units and what stands above.
func (p *plan) settleLayout(s sample, l layout) error {
	if l.first < 0 || l.first >= s.head {
		return errNoTime
	}
	p.layout, p.head = l, s.lines[:s.head]
	p.titles = make([]title, l.columns)
	for i := range p.titles {
		p.titles[i] = readTitle(l.names[i])
		if label := l.labels[i]; p.titles[i].label == "" && isUnit(label) {
			p.titles[i].label = label
		}
	}
	p.preamble = readPreamble(l.preamble)
	p.preamble.inherit(readPreamble(s.above))
	p.rememberHeader(s.lines)
	return p.checkHeader(s.lines)
}

// dropEmpty leaves off columns at the end that are empty in every line and have no
// name: a delimiter stands behind the last cell.
func (g *grid) dropEmpty() {
	for g.columns > 2 && !g.namedAbove(g.columns-1) {
		for _, i := range g.body {
			if len(g.cells[i][g.columns-1]) > 0 {
				return
			}
		}
		g.columns--
	}
}

// namedAbove tells whether a line of the body's shape above it has a word in a column,
// and in all before.
func (g *grid) namedAbove(col int) bool {
	for _, cells := range g.cells[:g.body[0]] {
		if len(cells) >= g.raw && !slices.ContainsFunc(cells[:col+1], func(c []byte) bool { return kindOf(c) != textCell }) {
			return true
		}
	}
	return false
}

// checkHeader refuses a body that has more cells than the header has names: the
// decimal comma also parts the cells, and nobody can tell which is which.
func (p *plan) checkHeader(lines []sampleLine) error {
	l := p.layout
	if len(l.header) > 0 || l.top == 0 || l.delim == scan.Blanks {
		return nil
	}
	for i := l.top - 1; i >= 0 && i >= l.top-3; i-- {
		if scan.IsBlank(lines[i].text) || lines[i].comment {
			continue
		}
		row := cutHeader(lines[i].text, l.delim)
		for len(row) > 0 && row[len(row)-1] == "" {
			row = row[:len(row)-1]
		}
		if len(row) > 1 && isNameRow(row) && !strings.Contains(row[0]+row[1], "=") && len(row) < l.columns && l.delim == ',' && 2*len(row) >= l.columns {
			return &unreadable{
				fmt.Sprintf("line %d names %d columns but the lines below have %d cells: a decimal comma also parts the cells", lines[i].number, len(row), l.columns),
				"export it with semicolons, with quotes, or with a decimal point",
			}
		}
	}
	return nil
}

// rememberHeader keeps the header's texts, to know them again in mid-file.
func (p *plan) rememberHeader(lines []sampleLine) {
	p.header = map[string]int{}
	for row, i := range p.layout.header {
		p.header[headerText(lines[i].text)] = row
	}
}

func headerText(text []byte) string { return string(scan.Trim(text)) }

func (p *plan) ask(question, registerLine string) {
	p.addQuestion(Question{question, registerLine, true})
}

func (p *plan) addQuestion(q Question) {
	if !slices.Contains(p.open, q) {
		p.open = append(p.open, q)
	}
}

func (p *plan) systemID() string {
	if len(p.systems) > 0 {
		return p.systems[0].ID
	}
	return "SYSTEM"
}

// columnName is how the register names a column.
func (p *plan) columnName(i int) string {
	if n := p.layout.names[i]; n != "" {
		return n
	}
	return fmt.Sprintf("#%d", i+1)
}

// rowsIn is about how many lines of data a file of size bytes holds.
func (p *plan) rowsIn(size int64) int {
	length := int64(0)
	for _, i := range p.layout.body {
		length += p.layout.lengths[i]
	}
	return int(size * int64(len(p.layout.body)) / max(length, 1))
}
