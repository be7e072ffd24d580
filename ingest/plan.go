package ingest

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"

	"rimelog/pipeline/register"
	"rimelog/thermo/units"
)

// A plan is how a file is going to be read: everything decided on the body of its
// sample, the register's answers and what earlier passes found out.
type plan struct {
	charset  charset
	lineEnd  string
	layout   layout
	titles   []title
	preamble preamble
	marks    marks
	marksWhy string
	seen     markEvidence
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

	header map[string]bool // texts of header lines, as they may be repeated
	head   []sampleLine
}

// amendments are what a pass over the whole file found that the sample did not
// show. The file is read again with them, at most once for each.
type amendments struct {
	orders  orderEvidence
	decimal byte           // the mark that some cell proves to be the decimal one
	gauge   map[int]string // columns whose negative values prove gauge pressures
	zone    *zoneDoubt
	keys    []longKey // channels of a long table that the sample did not name
	refuse  string    // no line can be told in UTC, and why
	passes  int
}

// newPlan decides how to read a file.
func newPlan(s sample, a Answers, found amendments, o Options) (*plan, error) {
	p := &plan{charset: s.charset, lineEnd: s.lineEnd, systems: a.Systems, found: found}
	g := bestGrid(s.lines)
	if len(g.body) == 0 {
		return nil, &unreadable{"no line holds a time and values", "check that this is a logger's file, and export it again as CSV"}
	}
	if g.columns > o.columnLimit() {
		return nil, &unreadable{fmt.Sprintf("it has %d columns, more than the limit of %d", g.columns, o.columnLimit()), "raise the option ingest.column_limit"}
	}
	g.dropEmpty()
	_, times, _ := findTime(g, nil)
	if len(times) == 0 {
		return nil, errNoTime
	}
	p.layout = layOut(s.lines, g, times)
	if p.layout.first < 0 || p.layout.first >= s.head {
		return nil, errNoTime
	}
	p.head = s.lines[:s.head]
	p.titles = make([]title, g.columns)
	for i := range p.titles {
		p.titles[i] = readTitle(p.layout.names[i])
		if l := p.layout.labels[i]; p.titles[i].label == "" && isUnit(l) {
			p.titles[i].label = l
		}
	}
	if err := p.checkHeader(s.lines); err != nil {
		return nil, err
	}
	p.preamble = readPreamble(p.layout.preamble)
	p.rememberHeader(s.lines)
	if err := p.planTime(s, a); err != nil {
		return nil, err
	}
	p.keyLimit = o.columnLimit()
	p.planLong()
	p.planColumns(a)
	p.planMarks(a)
	return p, nil
}

var errNoTime = &unreadable{"no column tells the time", "export the file with date and time in every line"}

// dropEmpty leaves off columns at the end that are empty in every line: a
// delimiter stands behind the last cell.
func (g *grid) dropEmpty() {
	for g.columns > 2 {
		for _, i := range g.body {
			if len(g.cells[i][g.columns-1]) > 0 {
				return
			}
		}
		g.columns--
	}
}

// checkHeader refuses a body that has more cells than the header has names: the
// decimal comma also parts the cells, and nobody can tell which is which.
func (p *plan) checkHeader(lines []sampleLine) error {
	l := p.layout
	if len(l.header) > 0 || l.first == 0 || l.delim == blanks {
		return nil
	}
	for i := l.first - 1; i >= 0 && i >= l.first-3; i-- {
		if isBlank(lines[i].text) || lines[i].comment {
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
	p.header = map[string]bool{}
	for _, i := range p.layout.header {
		p.header[headerText(lines[i].text)] = true
	}
}

func headerText(text []byte) string { return string(trim(text)) }

// planTime settles how lines are told in UTC, as far as the sample can.
func (p *plan) planTime(s sample, a Answers) error {
	t := &p.time
	t.kind, t.columns, t.why = findTime(p.layout.grid, p.titles)
	if t.kind == noTime {
		return errNoTime
	}
	t.order = p.found.orders
	t.hints = append(p.preamble.hints(), a.Days...)
	answer := a.time()
	p.planOrder(answer)
	p.planZone(answer, a)
	switch t.kind {
	case epochTime:
		t.perUnit = perEpoch(lookAtColumn(p.layout.grid, t.columns[0]).first.float())
		t.zone = fixedZone(0, "time since 1970 is counted in UTC")
		p.open, p.notes = nil, nil
	case elapsedTime:
		p.planStart(answer, a)
	case dayTime:
		p.planDay(answer, a)
	}
	if p.found.refuse != "" && t.question == "" {
		t.question = p.found.refuse
		t.remedy = p.timeLine("day first")
	}
	if t.question != "" {
		p.ask(t.question, t.remedy)
	}
	return nil
}

func (p *plan) ask(question, registerLine string) {
	p.addQuestion(Question{question, registerLine, true})
}

func (p *plan) addQuestion(q Question) {
	if !slices.Contains(p.open, q) {
		p.open = append(p.open, q)
	}
}

// timeLine is a row of channels.csv for the time column.
func (p *plan) timeLine(unit string) string {
	c := register.Channel{System: p.systemID(), Column: p.columnName(p.time.columns[0]), Channel: "time", Unit: unit}
	return channelLine(c)
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

// planOrder rules out orders by the register and by the cells of the sample.
func (p *plan) planOrder(answer timeAnswer) {
	t := &p.time
	if t.kind != stampTime {
		return
	}
	if answer.hasOrder {
		t.order = orderEvidence{}
		t.order.only(answer.order, fmt.Sprintf("channels.csv line %d says %s", answer.line, answer.order))
		t.fixed = true
		return
	}
	g := p.layout.grid
	weigh := t.order // the sample has gaps: only what it rules out counts
	for _, i := range g.body {
		if s, ok := parseStamp(g.cells[i][t.columns[0]]); ok && s.hasDate && plausible(s) {
			weigh.observe(s, 0, 0)
		}
	}
	t.order.out, t.order.why = weigh.out, weigh.why
}

// planZone finds the zone of the logger's clock: the register's row for the time
// column, an offset in the header or the preamble, then the zone of the site.
func (p *plan) planZone(answer timeAnswer, a Answers) {
	t := &p.time
	site := zoneRule{}
	if len(a.Systems) > 0 && a.Systems[0].Zone != nil {
		z := a.Systems[0].Zone
		site = zoneRule{loc: z, name: z.String(), why: "the register's zone of " + a.Systems[0].ID}
	}
	t.offsets = p.everyOffset()
	switch {
	case answer.hasZone:
		t.zone = answer.zone
	case p.headerZone(&t.zone):
	case p.preambleZone(site, &t.zone):
	case site.loc != nil:
		t.zone = site
	case t.offsets:
		t.zone = fixedZone(0, "every stamp carries its offset from UTC")
	default:
		t.zone = fixedZone(0, "not known: the clock is taken as UTC")
		t.zone.unknown = true
		p.addQuestion(Question{"the zone of the logger's clock is not known; its times are taken as UTC", p.timeLine("Europe/Berlin"), false})
		p.notes = append(p.notes, Note{
			Note:   fmt.Sprintf("zone of %s not known: the times of its loggers are taken as UTC", p.systemID()),
			Remedy: "write the zone into the system's row, such as Europe/Berlin", Place: "register/systems.csv",
		})
	}
	if d := p.found.zone; d != nil && !t.zone.fixed {
		if d.fold {
			t.zone.noFold = true
		} else {
			t.zone = fixedZone(int(d.offset/second), d.why)
		}
	}
}

// everyOffset tells whether each stamp of the sample says how far it is from UTC.
func (p *plan) everyOffset() bool {
	g, t := p.layout.grid, p.time
	if t.kind != stampTime {
		return false
	}
	for _, i := range g.body {
		cell := joinCells(g.cells[i], t.columns)
		if s, ok := parseStamp(cell); ok && s.hasTime && !s.hasShift {
			return false
		}
	}
	return true
}

func joinCells(cells [][]byte, columns []int) []byte {
	var b []byte
	for k, c := range columns {
		if k > 0 {
			b = append(b, ' ')
		}
		b = append(b, cells[c]...)
	}
	return b
}

// headerZone reads a zone in the time column's header: "Date Time, GMT-05:00".
func (p *plan) headerZone(z *zoneRule) bool {
	for _, c := range p.time.columns {
		name := p.layout.names[c]
		for _, word := range []string{"UTC", "GMT"} {
			if i := strings.Index(name, word); i >= 0 {
				if r, ok := readZone(strings.Trim(name[i:], " )]"), "the header "+name); ok {
					*z = r
					return true
				}
			}
		}
	}
	return false
}

// preambleZone reads a zone in the preamble. An abbreviation counts only where
// the site's own zone uses it, and then that zone is meant.
func (p *plan) preambleZone(site zoneRule, z *zoneRule) bool {
	text := p.preamble.zone
	if text == "" {
		return false
	}
	if r, ok := readZone(text, "the preamble says "+text); ok {
		*z = r
		return true
	}
	if site.loc == nil {
		return false
	}
	if w := strings.Trim(text, "() "); usesAbbreviation(site.loc, w) {
		*z = site
		z.why = fmt.Sprintf("the preamble says %s, which is a time of %s", w, site.name)
		return true
	}
	return false
}

func usesAbbreviation(loc *time.Location, word string) bool {
	for month := range 12 {
		if n, _ := time.Date(2024, time.Month(month+1), 15, 12, 0, 0, 0, loc).Zone(); n == word {
			return true
		}
	}
	return false
}

// planStart finds what elapsed time counts from.
func (p *plan) planStart(answer timeAnswer, a Answers) {
	t := &p.time
	label := p.titles[t.columns[0]].label
	u, err := units.Parse(label)
	if err != nil || u.Quantity != units.Duration {
		u, _ = units.Parse("s")
		if l := lookAtColumn(p.layout.grid, t.columns[0]); l.times == 0 && t.question == "" {
			t.question = fmt.Sprintf("the unit of elapsed time in column %q is not known", p.columnName(t.columns[0]))
			t.remedy = p.timeLine("start 2026-05-25 12:05:54")
		}
	}
	t.unit = u
	start, ok := p.preamble.start()
	if answer.hasStart {
		start, ok = preambleStamp{stamp: answer.start, line: fmt.Sprintf("channels.csv line %d", answer.line)}, true
	}
	if !ok {
		t.question = "the file counts elapsed time, and nothing says from when"
		t.remedy = p.timeLine("start 2026-05-25 12:05:54")
		return
	}
	p.startAt(start)
}

// startAt tells the start in UTC.
func (p *plan) startAt(start preambleStamp) {
	t := &p.time
	one := newTimeline(timePlan{kind: stampTime, zone: t.zone, hints: t.hints})
	if days, ok := soleDay(start.stamp); ok {
		one.plan.order.only(orderOf(start.stamp, days), "")
		one.order = orderOf(start.stamp, days)
	} else {
		t.question = fmt.Sprintf("the date in %q can be read in two ways", start.line)
		t.remedy = p.timeLine("start 2026-05-25 12:05:54")
		return
	}
	s := start.stamp
	micros, _ := s.timeOfDay()
	days, _ := s.days(one.order)
	local := days*day + micros
	switch {
	case s.hasShift:
		t.start, t.question = local-int64(s.offset)*second, ""
	case s.zone != "" && !t.zone.unknown:
		utc, reason := one.zone.named(local, s.zone)
		if reason != "" {
			t.question, t.remedy = fmt.Sprintf("the start in %q: %s", start.line, reason), p.timeLine("UTC+01:00 start 2026-05-25 12:05:54")
			return
		}
		t.start = utc
		t.zone.why += fmt.Sprintf("; %s is its time on that day", s.zone)
	default:
		utc, reason := one.zone.utc(local)
		if reason != "" {
			t.question, t.remedy = reason, p.timeLine("UTC+01:00")
			return
		}
		t.start = utc
	}
	t.why += fmt.Sprintf(", counted from %q", start.line)
}

func orderOf(s stamp, days int64) order {
	for o := range orders {
		if d, ok := s.days(order(o)); ok && d == days {
			return order(o)
		}
	}
	return 0
}

// planDay finds the date of a file that holds times of day only.
func (p *plan) planDay(answer timeAnswer, a Answers) {
	t := &p.time
	days := slices.Compact(slices.Sorted(slices.Values(t.hints)))
	if answer.hasStart {
		if d, ok := soleDay(answer.start); ok {
			days = []int64{d}
		}
	}
	if start, ok := p.preamble.start(); ok && len(days) == 1 && !answer.hasStart && p.countsFromZero(start.stamp) {
		t.kind = elapsedTime
		p.planStart(answer, a)
		return
	}
	if len(days) != 1 {
		t.question = "the file holds times of day only, and nothing says of which date"
		t.remedy = p.timeLine("start 2026-05-25")
		return
	}
	t.start = days[0]
	t.why += "; the date stands in the preamble or the file's name"
}

// countsFromZero tells whether the first time is near zero while the start in the
// preamble is not: then the column counts from the start.
func (p *plan) countsFromZero(start stamp) bool {
	s, ok := parseStamp(p.layout.cells[p.layout.first][p.time.columns[0]])
	if !ok {
		return false
	}
	first, _ := s.timeOfDay()
	at, _ := start.timeOfDay()
	return first < minute && at > 5*minute
}

// planMarks settles decimal and thousands marks on the body of the sample.
func (p *plan) planMarks(a Answers) {
	e := &p.seen
	g := p.layout.grid
	quotedComma := false
	for _, c := range p.columns {
		if c.kind == timeColumn || c.kind == partColumn || c.kind == skipColumn {
			continue
		}
		witness := c.bounded()
		for _, i := range p.rowsOf(c.key) {
			cell := g.cells[i][c.index]
			if !slices.ContainsFunc(cell, isMark) || kindOf(cell) != numberCell {
				continue
			}
			e.observe(cell)
			quotedComma = quotedComma || slices.Contains(cell, ',')
			if witness {
				p.observeBounded(c, cell)
			}
		}
	}
	m := &p.marks
	mark, line := a.decimalMark()
	switch {
	case mark != 0:
		m.decimal, p.marksWhy = mark, fmt.Sprintf("channels.csv line %d", line)
	case p.found.decimal != 0:
		m.decimal, p.marksWhy = p.found.decimal, "a cell beyond the sample can be read in no other way"
	case e.point > 0 && e.point >= 10*e.comma:
		m.decimal, p.marksWhy = '.', fmt.Sprintf("%s can be read in no other way", e.example)
	case e.comma > 0 && e.comma >= 10*e.point:
		m.decimal, p.marksWhy = ',', fmt.Sprintf("%s can be read in no other way", e.example)
	case e.point+e.comma > 0:
		p.marksWhy = "some numbers prove a decimal point, others a decimal comma"
		p.askMarks("numbers are written with both marks")
	case e.pointWhole > 0:
		m.decimal, p.marksWhy = ',', "points part thousands"
	case e.commaWhole > 0:
		m.decimal, p.marksWhy = '.', "commas part thousands"
	case p.layout.delim == ',' && !quotedComma:
		m.decimal, p.marksWhy = '.', "commas part the cells"
	case e.pointOpen+e.commaOpen > 0:
		p.marksWhy = "every number can be read with either mark"
		p.askMarks("1.200 or 1,200 can be one or one thousand")
	default:
		m.decimal, p.marksWhy = '.', "no number of the sample has a mark"
	}
	m.thousands = thousandsOf(m.decimal, *e)
}

// thousandsOf is the mark that parts thousands: the other one than the decimal
// mark, unless blanks or apostrophes were seen.
func thousandsOf(decimal byte, e markEvidence) byte {
	switch {
	case e.blank > 0:
		return ' '
	case e.apostrophe > 0:
		return '\''
	case decimal == '.':
		return ','
	case decimal == ',':
		return '.'
	}
	return 0
}

// isMark tells whether a byte can be a decimal or thousands mark, or part of one.
func isMark(c byte) bool { return c == '.' || c == ',' || c == ' ' || c == '\'' || c >= 0x80 }

// bounded tells whether no value of the column reaches a thousand: a temperature
// in degrees, or a pressure in bar or more.
func (c *column) bounded() bool {
	switch c.unit.Quantity {
	case units.Temperature:
		return c.unit.Label != "K"
	case units.Pressure:
		return c.unit.Factor().Cmp(big.NewRat(50, 1)) >= 0
	}
	return false
}

// observeBounded takes physics as a witness: a temperature of a thousand degrees
// or a pressure of a thousand bar is none, so the mark in 21.500 is the decimal one.
func (p *plan) observeBounded(c *column, cell []byte) {
	var one markEvidence
	one.observe(cell)
	p.seen.point += one.pointOpen
	p.seen.comma += one.commaOpen
	if one.pointOpen+one.commaOpen > 0 && p.seen.example == "" {
		p.seen.example = fmt.Sprintf("%s %s", cell, c.unit.Label)
	}
}

func (p *plan) askMarks(what string) {
	for _, c := range p.columns {
		if c.kind == channelColumn || c.kind == extraColumn {
			row := register.Channel{System: p.systemID(), Column: p.columnName(c.index), Channel: c.registerName(), Unit: strings.TrimSpace(c.title.label + " decimal comma")}
			p.ask("which mark is the decimal one: "+what, channelLine(row))
			return
		}
	}
}

// rowsIn is about how many lines of data a file of size bytes holds.
func (p *plan) rowsIn(size int64) int {
	length := int64(0)
	for _, i := range p.layout.body {
		length += p.layout.lengths[i]
	}
	return int(size * int64(len(p.layout.body)) / max(length, 1))
}
