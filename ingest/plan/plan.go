package plan

import (
	"fmt"
	"slices"
	"strings"

	"rimelog/ingest/answers"
	"rimelog/ingest/clock"
	"rimelog/ingest/dialect"
	"rimelog/ingest/layout"
	"rimelog/ingest/limits"
	"rimelog/ingest/naming"
	"rimelog/ingest/raw"
	"rimelog/ingest/scan"
	"rimelog/ingest/timeline"
	"rimelog/ingest/understood"
)

// A Plan is how a file is going to be read: everything decided on the body of its
// sample, the register's answers and what earlier passes found out.
type Plan struct {
	Charset  raw.Charset
	LineEnd  string
	Window   answers.Window
	Strip    dialect.Strip
	proven   byte // the decimal mark that another table of the file proves
	Remark   byte // a mark that lines of comment begin with in this file alone
	Layout   layout.Layout
	looks    timeline.Looks // at the columns of the layout
	titles   []naming.Title
	Preamble layout.Preamble
	Marks    scan.Marks
	MarksWhy string
	Seen     scan.MarkEvidence
	Time     timeline.Plan
	Columns  []*Column // by place in the line, in that order; a place may have several
	Long     *longLayout
	keys     []LongKey // of a long table
	key      string    // the one under way
	KeyLimit int
	Systems  []answers.System
	Found    Amendments
	Open     []understood.Question
	Notes    []understood.Note
	Bare     *raw.Unreadable // why no line can be told in time: a table without a clock

	Header map[string]int // texts of header lines, as they may be repeated, with their row
	Head   []dialect.Line
}

// Amendments are what a pass over the whole file found that the sample did not
// show. The file is read again with them, at most once for each.
type Amendments struct {
	Orders  clock.OrderEvidence
	Decimal byte           // the mark that some cell proves to be the decimal one
	Gauge   map[int]string // columns whose negative values prove gauge pressures
	Zone    *clock.ZoneDoubt
	Keys    []LongKey // channels of a long table that the sample did not name
	Refuse  string    // no line can be told in UTC, and why
	Remedy  string    // the unit cell of the register's row that settles it
	// unordered says that the lines are not in order of time.
	Unordered bool
	Passes    int
}

// New decides how to read a file.
func New(s dialect.Sample, a answers.Answers, found Amendments, o limits.Options) (*Plan, error) {
	p := &Plan{Charset: s.Charset, LineEnd: s.LineEnd, Remark: s.Remark, proven: s.Proven, Window: a.Window, Strip: a.Strip, Systems: a.Systems, Found: found}
	g := dialect.Best(s.Lines)
	if len(g.Body) == 0 {
		if g = layout.TextGrid(s.Lines); len(g.Body) == 0 {
			return nil, &raw.Unreadable{Problem: "no line holds a time and values", Remedy: "check that this is a logger's file, and export it again as CSV"}
		}
	}
	g.Strip = a.Strip
	if g.Columns > o.Columns() {
		return nil, &raw.Unreadable{Problem: fmt.Sprintf("it has %d columns, more than the limit of %d", g.Columns, o.Columns()), Remedy: "raise the option ingest.column_limit"}
	}
	g.DropEmpty()
	l := layout.Layout{First: -1}
	if _, times, _, _ := timeline.Find(&p.looks, g, nil); len(times) > 0 {
		l = layout.Find(s.Lines, g, times)
	}
	if l.First < 0 || l.First >= s.Head {
		p.Bare, l = errNoTime, layout.FindBare(s.Lines, g)
	}
	if err := p.settleLayout(s, l); err != nil {
		return nil, err
	}
	if p.Bare != nil { // only the names may tell
		if err := p.layOutByNames(s, g); err != nil {
			return nil, err
		}
	}
	if p.Bare == nil && !p.planTime(a) {
		p.Bare = errNoTime
		if err := p.settleLayout(s, layout.FindBare(s.Lines, g)); err != nil {
			return nil, err
		}
	}
	if p.Bare == nil && p.dayMatrix() {
		return nil, &raw.Unreadable{Problem: "each line holds the values of a whole day, in columns named by its times", Remedy: "export it with a line for each time"}
	}
	p.KeyLimit = o.Columns()
	p.planLong()
	p.planColumns(a)
	p.planMarks(a)
	p.refuseUntold()
	return p, nil
}

// layOutByNames lays the sample out by columns of time that only their names tell.
func (p *Plan) layOutByNames(s dialect.Sample, g dialect.Grid) error {
	_, times, _, _ := timeline.Find(&p.looks, p.Layout.Grid, p.titles)
	if len(times) == 0 {
		return nil
	}
	l := layout.Find(s.Lines, g, times)
	if l.First < 0 || l.First >= s.Head {
		return nil
	}
	p.Bare = nil
	return p.settleLayout(s, l)
}

// refuseUntold refuses every value where no line can be told in time: its lines are
// data all the same, and their columns are understood.
func (p *Plan) refuseUntold() {
	why := p.Time.Question
	if p.Bare != nil {
		why = p.Bare.Problem
	}
	if why == "" {
		return
	}
	for _, c := range p.Columns {
		if c.Kind != TimeColumn && c.Kind != PartColumn {
			c.Refuse = why
		}
	}
}

// settleLayout takes the layout of the sample: names, units and what stands above.
func (p *Plan) settleLayout(s dialect.Sample, l layout.Layout) error {
	if l.First < 0 || l.First >= s.Head {
		return errNoTime
	}
	p.Layout, p.Head = l, s.Lines[:s.Head]
	p.titles = make([]naming.Title, l.Columns)
	for i := range p.titles {
		p.titles[i] = naming.Read(l.Names[i])
		if label := l.Labels[i]; p.titles[i].Label == "" && naming.IsUnit(label) {
			p.titles[i].Label = label
		}
	}
	p.Preamble = layout.ReadPreamble(l.Preamble)
	p.Preamble.Inherit(layout.ReadPreamble(s.Above))
	p.rememberHeader(s.Lines)
	return p.checkHeader(s.Lines)
}

// checkHeader refuses a body that has more cells than the header has names: the
// decimal comma also parts the cells, and nobody can tell which is which.
func (p *Plan) checkHeader(lines []dialect.Line) error {
	l := p.Layout
	if len(l.Header) > 0 || l.Top == 0 || l.Delim == scan.Blanks {
		return nil
	}
	for i := l.Top - 1; i >= 0 && i >= l.Top-3; i-- {
		if scan.IsBlank(lines[i].Text) || lines[i].Comment {
			continue
		}
		row := layout.CutHeader(lines[i].Text, l.Delim)
		for len(row) > 0 && row[len(row)-1] == "" {
			row = row[:len(row)-1]
		}
		if len(row) > 1 && layout.IsNameRow(row) && !strings.Contains(row[0]+row[1], "=") && len(row) < l.Columns && l.Delim == ',' && 2*len(row) >= l.Columns {
			return &raw.Unreadable{
				Problem: fmt.Sprintf("line %d names %d columns but the lines below have %d cells: a decimal comma also parts the cells", lines[i].Number, len(row), l.Columns),
				Remedy:  "export it with semicolons, with quotes, or with a decimal point",
			}
		}
	}
	return nil
}

// rememberHeader keeps the header's texts, to know them again in mid-file.
func (p *Plan) rememberHeader(lines []dialect.Line) {
	p.Header = map[string]int{}
	for row, i := range p.Layout.Header {
		p.Header[dialect.HeaderText(lines[i].Text)] = row
	}
}

func (p *Plan) ask(question, registerLine string) {
	p.addQuestion(understood.Question{Question: question, RegisterLine: registerLine, Waits: true})
}

func (p *Plan) addQuestion(q understood.Question) {
	if !slices.Contains(p.Open, q) {
		p.Open = append(p.Open, q)
	}
}

func (p *Plan) systemID() string {
	if len(p.Systems) > 0 {
		return p.Systems[0].ID
	}
	return "SYSTEM"
}

// ColumnName is how the register names a column.
func (p *Plan) ColumnName(i int) string {
	if n := p.Layout.Names[i]; n != "" {
		return n
	}
	return fmt.Sprintf("#%d", i+1)
}

// RowsIn is about how many lines of data a file of size bytes holds.
func (p *Plan) RowsIn(size int64) int {
	length := int64(0)
	for _, i := range p.Layout.Body {
		length += p.Layout.Lengths[i]
	}
	return int(size * int64(len(p.Layout.Body)) / max(length, 1))
}

// errNoTime says that a table has no clock: its lines are counted as data and its
// columns are understood, but no value can be taken.
var errNoTime = &raw.Unreadable{Problem: "no column tells the time", Remedy: "export the file with date and time in every line"}
