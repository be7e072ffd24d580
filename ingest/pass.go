package ingest

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math/big"
	"strings"

	"rimelog/pipeline/dataset"
	"rimelog/thermo/units"
)

// A pass reads a file once, line by line, under one plan. Every line and every
// value is counted where it goes.
type pass struct {
	p      *plan
	time   *timeline
	lines  dataset.Lines
	values dataset.Values
	out    []*output
	refuse refusals

	fields  []field // by place in the line
	row     []cell
	split   [][]byte
	clock   [][]byte
	quick   bool // lines can be scanned without splitting
	number  int64
	first   int64 // line of the first data; the header stands before it
	headers map[int64]bool
	pending []pendingLine
	foreign int64 // line of another header that the data below stands under
	lastRow []int // lengths of the cells of the row before
	newKeys bool  // lines of a long table name channels that the plan does not know
	found   amendments
	again   bool // the file must be read again, under what was found
}

// A field is what stands at one place of a line.
type field struct {
	time   bool
	skip   bool
	scan   bool // a number is expected
	column *column
}

// A cell is what one place of one line holds.
type cell struct {
	kind cellKind
	dec  decimal
	long *big.Rat // a number with more digits than a mantissa holds
	unit []byte
	text []byte // as found
}

// A pendingLine is no data; what it is depends on what follows.
type pendingLine struct {
	number int64
	text   string
}

// maxFooter is how many lines a footer has at most.
const maxFooter = 64

// newPass prepares to read a file of size bytes.
func newPass(p *plan, size int64) *pass {
	s := &pass{p: p, time: newTimeline(p.time), found: p.found, headers: map[int64]bool{}, first: 1}
	for range max(1, len(p.systems)) {
		s.out = append(s.out, &output{})
	}
	s.fields = make([]field, p.layout.columns)
	s.row = make([]cell, p.layout.columns)
	s.lastRow = make([]int, p.layout.columns)
	for i := len(p.columns) - 1; i >= 0; i-- {
		c := p.columns[i]
		c.cells = cells{}
		f := &s.fields[c.index]
		if c.key == "" {
			c.next, f.column = f.column, c
		}
		f.time = c.kind == timeColumn
		f.skip = (c.kind == skipColumn || c.kind == partColumn) && c.next == nil
		f.scan = c.kind == channelColumn || c.kind == extraColumn
		if c.kind == channelColumn || c.kind == stateColumn {
			s.out[c.system].columns = append(s.out[c.system].columns, c)
			s.out[c.system].air = s.out[c.system].air || c.logged
		}
	}
	s.quick = p.layout.delim != blanks && p.marks.decimal != 0 && p.marks.decimal != p.layout.delim
	if p.long != nil {
		s.fields[p.long.value] = field{scan: true}
	}
	for _, f := range s.fields {
		s.quick = s.quick && (f.time || f.scan || f.skip)
	}
	for _, i := range p.layout.header {
		s.headers[p.head[i].number] = true
	}
	s.first = p.head[p.layout.first].number
	for _, o := range s.out {
		o.reserve(p.rowsIn(size))
	}
	return s
}

// run reads all lines. It stops early where the file must be read again.
func (s *pass) run(src io.Reader, limit int) error {
	body, err := s.p.charset.open(src)
	if err != nil {
		return err
	}
	r := newLineReader(body, limit)
	for !s.again {
		l, err := r.next()
		if errors.Is(err, io.EOF) {
			s.end()
			return nil
		}
		if err != nil {
			return fmt.Errorf("line %d: %w", r.number+1, err)
		}
		s.number = r.number
		s.line(l)
	}
	return nil
}

func (s *pass) line(l line) {
	s.lines.All++
	switch {
	case l.cut:
		s.quarantine(l.text, "the line is longer than the limit")
	case s.quick && l.ended && s.number >= s.first && s.scan(l.text):
		s.commit(l)
	default:
		s.closer(l)
	}
}

// scan reads a line of plain numbers without splitting it. It reports false for
// anything else, before anything is counted.
func (s *pass) scan(b []byte) bool {
	delim, mark := s.p.layout.delim, s.p.marks.decimal
	i, last := 0, len(s.fields)-1
	for k := range s.fields {
		c := &s.row[k]
		start := i
		if f := &s.fields[k]; f.scan {
			m, d, next, ok := scanNumber(b, i, mark, delim)
			if !ok {
				if i < len(b) && b[i] != delim {
					return false
				}
				c.kind, next = emptyCell, i
			} else {
				c.kind, c.dec, c.long, c.unit = numberCell, decimal{m, d}, nil, nil
			}
			i = next
		} else {
			end := bytes.IndexByte(b[i:], delim)
			if end < 0 {
				end = len(b) - i
			}
			i += end
			if n := end; n > 0 && (b[start] <= ' ' || b[start] == '"' || b[start+n-1] <= ' ') {
				return false
			}
		}
		c.text = b[start:i]
		if i == len(b) {
			return k == last && s.p.layout.raw == len(s.fields)
		}
		i++
	}
	rest := b[i:]
	return isEmptyRow(rest, delim) && len(s.fields)+1+bytes.Count(rest, []byte{delim}) >= s.p.layout.raw
}

// closer reads a line with care: quotes, blanks, marks, markers; or finds that it
// is no data.
func (s *pass) closer(l line) {
	text := l.text
	if isBlank(text) || isEmptyRow(text, s.p.layout.delim) {
		s.lines.Blank++
		return
	}
	if isFill(text) {
		s.quarantine(text, "fill bytes where data should be, as after a power failure")
		return
	}
	if s.number < s.first {
		s.above(text)
		return
	}
	if s.p.charset.decoder != nil && !ascii(text) {
		text = []byte(s.p.charset.text(text))
	}
	if bytes.HasPrefix(text, []byte("\uFEFF")) { // files joined end to end
		text = text[len("\uFEFF"):]
	}
	if isComment(text) || s.p.header[headerText(text)] {
		s.comment(text)
		return
	}
	var ok bool
	if s.split, ok = split(s.split, text, s.p.layout.delim); !ok {
		s.quarantine(text, "a quote is not closed")
		return
	}
	if !s.p.layout.fits(s.split) {
		s.misfit(text, l)
		return
	}
	for k := range s.fields {
		s.row[k] = s.read(s.split[k], &s.fields[k])
	}
	if s.otherMarks() {
		s.settlePending(false)
		s.quarantine(text, "its numbers are written with another decimal mark than the file's")
		return
	}
	s.commit(l)
}

// otherMarks tells whether a line is written with the other decimal mark: one cell
// proves it, and another could be misread by it, such as 1.200 beside 4.05 in a file
// with decimal commas.
func (s *pass) otherMarks() bool {
	mark := s.p.marks.thousands
	if mark != '.' && mark != ',' {
		return false
	}
	proven, exposed := false, false
	for k := range s.fields {
		switch c := &s.row[k]; {
		case !s.fields[k].scan:
		case c.kind == numberCell:
			exposed = exposed || bytes.IndexByte(c.text, mark) >= 0 && bytes.IndexByte(c.text, s.p.marks.decimal) < 0
		case c.kind == textCell && numberLike(c.text):
			var e markEvidence
			e.observe(c.text)
			proven = proven || mark == '.' && e.point > 0 || mark == ',' && e.comma > 0
		}
	}
	return proven && exposed
}

// read reads one cell with care.
func (s *pass) read(text []byte, f *field) cell {
	c := cell{kind: textCell, text: text}
	if f.time || f.skip {
		return c
	}
	if len(text) == 0 {
		c.kind = emptyCell
		return c
	}
	if m, d, next, ok := scanNumber(text, 0, s.p.marks.decimal, 0); ok && next == len(text) && s.p.marks.decimal != 0 {
		c.kind, c.dec = numberCell, decimal{m, d}
		return c
	}
	if s.readNumber(&c) {
		return c
	}
	if _, missing := marker(text); missing {
		c.kind = markerCell
	}
	return c
}

// readNumber reads a number under the file's marks; a thousands mark that the
// sample did not show is taken where it parts whole groups.
func (s *pass) readNumber(c *cell) bool {
	m := s.p.marks
	for _, thousands := range [...]byte{m.thousands, ' ', '\''} {
		m.thousands = thousands
		d, long, unit, ok := parseNumber(c.text, m)
		if ok && (len(unit) == 0 || isUnit(string(unit))) {
			c.kind, c.dec, c.long, c.unit = numberCell, d, long, unit
			return true
		}
	}
	return false
}

// above counts a line before the first data.
func (s *pass) above(text []byte) {
	if s.headers[s.number] {
		s.lines.Header++
	} else {
		s.lines.Preamble++
	}
}

// comment counts a line in mid-file that is a comment, or the header once more.
func (s *pass) comment(text []byte) {
	if s.p.header[headerText(text)] {
		s.foreign = 0
		s.settlePending(true)
		s.lines.Header++
		return
	}
	s.lines.Preamble++
}

// misfit counts a line that has not as many cells as the body.
func (s *pass) misfit(text []byte, l line) {
	if len(s.split) > 0 && kindOf(s.split[0]) == textCell && !s.startsWithTime() && l.ended {
		s.later(text)
		return
	}
	if !l.ended && kindOf(s.split[0]) == textCell && !isDigit(text[0]) {
		s.later(text)
		return
	}
	s.settlePending(false)
	reason := fmt.Sprintf("%d cells instead of %d", len(s.split), len(s.fields))
	if !l.ended {
		reason = "the file ends within this line"
	}
	s.quarantine(text, reason)
}

// startsWithTime tells whether the cells of a misfit begin with a time.
func (s *pass) startsWithTime() bool {
	t := s.p.time.columns[0]
	return t < len(s.split) && (kindOf(s.split[t]) == stampCell || kindOf(s.split[t]) == numberCell)
}

// later keeps a line of text until what follows tells what it is.
func (s *pass) later(text []byte) {
	s.pending = append(s.pending, pendingLine{s.number, show(text)})
}

func show(text []byte) string {
	return strings.ToValidUTF8(string(text[:min(len(text), shown)]), "�")
}

// settlePending counts the lines of text since the last data: the preamble and
// footer of a session where a header follows, otherwise nobody knows what.
func (s *pass) settlePending(header bool) {
	for _, l := range s.pending {
		if header {
			s.lines.Preamble++
			continue
		}
		s.lines.Quarantined++
		s.refuse.line(l.number, l.text, "text between lines of data")
	}
	s.pending = s.pending[:0]
}

// end counts what stands behind the last data.
func (s *pass) end() {
	if len(s.pending) > maxFooter {
		s.settlePending(false)
	}
	s.lines.Footer += int64(len(s.pending))
	s.pending = nil
	s.settleTime()
}

// settleTime looks at what the whole file says of its clock.
func (s *pass) settleTime() {
	t := s.time
	s.found.orders = t.plan.order
	s.again = s.again || s.newKeys
	switch {
	case s.p.time.question != "" || s.lines.Data == 0:
	case t.halfDay && !t.half && t.maxHour <= 12:
		s.doubt("its hours run from 1 to 12 without AM or PM")
	case s.p.time.kind == stampTime && !s.p.time.fixed:
		s.settleOrder()
	}
	if d := t.zone.shift; d != nil && !s.again && s.p.found.zone == nil {
		s.found.zone, s.again = d, true
	}
}

func (s *pass) settleOrder() {
	o, why, ok := s.time.plan.order.settle(s.p.time.hints)
	switch {
	case !ok:
		s.doubt(fmt.Sprintf("the order of its dates is open: %s", s.ambiguous()))
	case o != s.time.order:
		s.found.orders.only(o, why)
		s.again = true
	default:
		s.p.time.order.why[o] = why
	}
}

// ambiguous shows what a date can mean.
func (s *pass) ambiguous() string {
	var meant []string
	e := s.time.plan.order
	for _, o := range e.left() {
		if days, ok := e.example.days(o); ok {
			meant = append(meant, dayText(days)+" when read "+o.String())
		}
	}
	if len(meant) == 0 {
		return "no order gives a date in every line"
	}
	return e.example.dateText() + " is " + strings.Join(meant, ", ")
}

// doubt sends the file through another pass in which no line is taken.
func (s *pass) doubt(reason string) {
	s.found.refuse, s.again = reason, true
}

// quarantine counts a line that is not taken.
func (s *pass) quarantine(text []byte, reason string) {
	s.lines.Quarantined++
	s.refuse.line(s.number, show(text), reason)
}

// commit takes a line whose cells are read: its time first, then its values.
func (s *pass) commit(l line) {
	s.clock = s.clock[:0]
	for _, c := range s.p.time.columns {
		s.clock = append(s.clock, trim(s.row[c].text))
	}
	utc, v, reason := s.time.at(s.clock)
	if s.time.restart {
		s.found.orders, s.again = s.time.plan.order, true
		return
	}
	switch {
	case v == noStamp:
		s.noData(l)
		return
	case v == timed && s.foreign > 0:
		v, reason = untimed, fmt.Sprintf("it stands below another header, in line %d", s.foreign)
	case s.p.time.question != "":
		v, reason = untimed, s.p.time.question
	}
	s.settlePending(false)
	if v == untimed {
		s.quarantine(l.text, reason)
		return
	}
	s.lines.Data++
	s.take(utc, l.ended)
}

// noData counts a line of the body's shape without a time.
func (s *pass) noData(l line) {
	if s.otherHeader() {
		s.foreign = s.number
	}
	if len(s.row[s.p.time.columns[0]].text) > 0 && !startsLikeText(s.row[s.p.time.columns[0]].text) {
		s.settlePending(false)
		s.quarantine(l.text, "no time that can be read")
		return
	}
	s.later(l.text)
}

func startsLikeText(b []byte) bool {
	return letter(b[0]) || b[0] >= 0x80 || b[0] == '-' || b[0] == '*' || b[0] == '='
}

// otherHeader tells whether a line names columns in another way than the header.
func (s *pass) otherHeader() bool {
	names, known := 0, 0
	for k := range s.row {
		if s.row[k].kind == numberCell {
			return false
		}
		if t := string(trim(s.row[k].text)); t != "" {
			names++
			for _, n := range s.p.layout.names {
				if n == t {
					known++
					break
				}
			}
		}
	}
	return names > 1 && known > 0
}

// take gives every value of a line to its column.
func (s *pass) take(utc int64, ended bool) {
	for _, o := range s.out {
		o.begin(utc, s.number)
	}
	if s.p.long != nil {
		s.takeLong(utc, ended)
	} else {
		s.takeWide(utc, ended)
	}
	for _, o := range s.out {
		o.end()
	}
}

func (s *pass) takeWide(utc int64, ended bool) {
	last := len(s.fields) - 1
	for k := range s.fields {
		f := &s.fields[k]
		if f.time || f.skip {
			continue
		}
		v := &s.row[k]
		cutOff := !ended && k == last && s.cutOff(v)
		for c := f.column; c != nil; c = c.next {
			if cutOff {
				s.refused(c, v, cutReason)
				c.blank()
				continue
			}
			s.value(c, v, utc)
		}
		s.lastRow[k] = len(v.text)
	}
}

const cutReason = "the file ends within or right behind this cell; it may be cut off"

// cutOff tells whether the file's last cell can have lost digits: it is shorter
// than the one above it, or has fewer decimals than its column.
func (s *pass) cutOff(v *cell) bool {
	if len(v.text) == 0 {
		return s.lastRow[len(s.fields)-1] > 0
	}
	return len(v.text) < s.lastRow[len(s.fields)-1]
}

// value gives one value to one column.
func (s *pass) value(c *column, v *cell, utc int64) {
	switch c.kind {
	case skipColumn:
		return
	case channelColumn:
		s.channel(c, v)
		return
	case stateColumn:
		s.state(c, v)
		return
	}
	s.extra(c, v, utc)
}

func (s *pass) channel(c *column, v *cell) {
	if v.kind == numberCell && c.refuse == "" && v.long == nil && len(v.unit) == 0 && !c.inCells {
		if d := v.dec.decimals; uint(d) < uint(len(c.convert)) && c.can[d] {
			if steps, ok := c.convert[d].Steps(v.dec.mantissa); ok && steps >= c.lo && steps <= c.hi {
				c.read++
				c.kept++
				c.store(steps)
				s.out[c.system].kept++
				return
			}
		}
	}
	if s.unusual(c, v) {
		s.out[c.system].kept++
		return
	}
	c.blank()
}

// unusual takes a cell that is no plain number within what its quantity can be.
func (s *pass) unusual(c *column, v *cell) bool {
	switch v.kind {
	case emptyCell, markerCell:
		reason, _ := marker(v.text)
		c.missed(reason)
		return false
	case textCell, stampCell:
		s.notNumber(c, v)
		return false
	}
	if reason, ok := sentinel(v.dec); ok && v.long == nil && (always(v.dec) || c.impossible(v.dec)) {
		c.missed(reason + " (" + string(v.text) + ")")
		return false
	}
	if c.refuse != "" {
		s.provesGauge(c, v)
		s.refused(c, v, c.refuse)
		return false
	}
	if len(v.unit) > 0 {
		if u, err := units.Parse(string(v.unit)); err != nil || u.Quantity != c.unit.Quantity || u.Factor().Cmp(c.unit.Factor()) != 0 {
			s.refused(c, v, fmt.Sprintf("its unit is not the column's, %s", c.unit.Label))
			return false
		}
	}
	if c.inCells && len(v.unit) == 0 {
		s.refused(c, v, fmt.Sprintf("it lacks the unit that the other cells have, %s", c.unit.Label))
		return false
	}
	return s.exact(c, v)
}

// exact converts any number by its exact value.
func (s *pass) exact(c *column, v *cell) bool {
	value := v.long
	if value == nil {
		value = v.dec.rat()
	}
	if c.negate {
		value = new(big.Rat).Neg(value)
	}
	value = c.unit.Exact(value)
	if c.plus != nil {
		value.Add(value, c.plus)
	}
	steps, ok := units.Round(value, c.target.Digits)
	switch {
	case !ok || steps > c.limit || steps < -c.limit:
		s.refused(c, v, "too large for its column")
	case steps < c.bottom && c.unit.Quantity == units.Pressure:
		s.refused(c, v, fmt.Sprintf("below vacuum when read as %s", c.unit.Reference))
	case steps < c.bottom:
		s.refused(c, v, "below absolute zero")
	case c.unit.Label == "K" && c.target.Unit == "°C" && steps < -150_000:
		s.refused(c, v, "too cold to be kelvin")
	default:
		c.read++
		c.kept++
		c.store(steps)
		return true
	}
	return false
}

// impossible tells whether a number is none that its column can have.
func (c *column) impossible(d decimal) bool {
	if c.unit.Quantity == units.None {
		return true
	}
	v := c.unit.Exact(d.rat())
	if c.plus != nil {
		v.Add(v, c.plus)
	}
	steps, ok := units.Round(v, c.target.Digits)
	return !ok || steps < c.lo || steps > c.hi
}

// notNumber refuses a text, unless it proves the decimal mark: then the file is
// read again under it.
func (s *pass) notNumber(c *column, v *cell) {
	if s.p.marks.decimal == 0 || s.p.seen.point+s.p.seen.comma == 0 {
		var e markEvidence
		e.observe(v.text)
		other := byte(0)
		if e.point > 0 {
			other = '.'
		} else if e.comma > 0 {
			other = ','
		}
		if _, _, unit, ok := parseNumber(v.text, marks{other, thousandsOf(other, e)}); ok && len(unit) == 0 && other != 0 && s.p.found.decimal == 0 && other != s.p.marks.decimal {
			s.found.decimal, s.again = other, true
			return
		}
	}
	s.refused(c, v, "not a number")
}

// provesGauge looks for values below zero in a pressure whose reference nobody
// knows: an absolute one has none.
func (s *pass) provesGauge(c *column, v *cell) {
	if c.unit.Quantity != units.Pressure || c.unit.Reference != units.Unmarked || v.long != nil || s.found.gauge[c.index] != "" {
		return
	}
	kpa, _ := c.unit.Exact(v.dec.rat()).Float64()
	if c.negate {
		kpa = -kpa
	}
	if kpa <= -2 && kpa >= -105 {
		found := map[int]string{c.index: fmt.Sprintf("%s %s in line %d is below zero", v.text, c.unit.Label, s.number)}
		for k, why := range s.found.gauge {
			found[k] = why
		}
		s.found.gauge, s.again = found, true
	}
}

func (s *pass) state(c *column, v *cell) {
	if v.kind == emptyCell || v.kind == markerCell {
		reason, _ := marker(v.text)
		c.missed(reason)
		c.blank()
		return
	}
	if c.refuse != "" {
		s.refused(c, v, c.refuse)
		c.blank()
		return
	}
	on, ok := states[fold(string(v.text))]
	if v.kind == numberCell && v.long == nil {
		d := v.dec
		for d.decimals > 0 && d.mantissa%10 == 0 {
			d.mantissa, d.decimals = d.mantissa/10, d.decimals-1
		}
		on, ok = d.mantissa == 1, d.decimals == 0 && (d.mantissa == 0 || d.mantissa == 1)
	}
	if !ok {
		s.refused(c, v, "neither on nor off")
		c.blank()
		return
	}
	c.read++
	c.kept++
	c.longs = append(c.longs, bit(on))
	c.valid = append(c.valid, true)
	s.out[c.system].kept++
}

func bit(on bool) int64 {
	if on {
		return 1
	}
	return 0
}

func (s *pass) extra(c *column, v *cell, utc int64) {
	o := s.out[c.system]
	switch v.kind {
	case emptyCell, markerCell:
		reason, _ := marker(v.text)
		c.missed(reason)
		return
	}
	if c.refuse != "" {
		s.refused(c, v, c.refuse)
		return
	}
	switch v.kind {
	case numberCell:
		if len(v.unit) == 0 {
			o.extra(c, utc, number(v), "")
			break
		}
		fallthrough
	default:
		if s.p.marks.decimal == 0 && numberLike(v.text) {
			s.notNumber(c, v)
			return
		}
		o.extra(c, utc, nan, strings.Clone(show(v.text)))
	}
	c.read++
	c.kept++
}

func number(v *cell) float64 {
	if v.long != nil {
		f, _ := v.long.Float64()
		return f
	}
	return v.dec.float()
}

func (s *pass) refused(c *column, v *cell, reason string) {
	c.read++
	c.rejected++
	s.refuse.cell(c, s.number, s.lines.Data, show(v.text), reason)
}

// noteDoubles says that lines of the file share their times.
func (s *pass) noteDoubles() {
	n := int64(0)
	for _, c := range s.p.columns {
		n += c.twice
	}
	if n > 0 {
		s.p.notes = append(s.p.notes, Note{
			Note:   fmt.Sprintf("%d of its values stand at a time for which a later line of the file gives one again; the later counts", n),
			Remedy: "if the logger prints minutes only, let it print seconds",
		})
	}
}

// account sums the values of all columns.
func (s *pass) account() {
	s.values = dataset.Values{}
	for _, c := range s.p.columns {
		s.values = s.values.Add(dataset.Values{Read: c.read, Stored: c.kept - c.twice, Duplicates: c.twice, Refused: c.rejected, Missing: c.absent})
	}
}
