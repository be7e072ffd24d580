package pass

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math/big"
	"slices"

	"rimelog/ingest/dialect"
	"rimelog/ingest/layout"
	"rimelog/ingest/merge"
	"rimelog/ingest/naming"
	"rimelog/ingest/plan"
	"rimelog/ingest/raw"
	"rimelog/ingest/scan"
	"rimelog/ingest/timeline"
	"rimelog/ingest/understood"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

var sampleTable, extrasTable = table.Samples(), table.Extras()

// A Pass reads a file once, line by line, under one plan. Every line and every
// value is counted where it goes.
type Pass struct {
	p       *plan.Plan
	time    *timeline.Timeline
	lines   dataset.Lines
	values  dataset.Values
	out     []*output
	columns []*column          // of the plan, in its order
	named   map[string]*column // of a long table, by channel
	refuse  refusals

	fields    []field // by place in the line
	row       []cell
	split     [][]byte
	clock     [][]byte
	quick     bool // lines can be scanned without splitting
	number    int64
	first     int64 // line of the first data; the header stands before it
	headers   map[int64]bool
	pending   []pendingLine
	open      []openLine // lines that a quote holds together
	foreign   int64      // line of another header that the data below stands under
	block     *headerBlock
	order     []int // the column of each place of a line, where a header in mid-file changed it
	arranged  [][]byte
	reordered string // says that it did
	lastRow   []int  // lengths of the cells of the row before
	offsets   []understood.OffsetRun
	offset    int64   // of the last of them, in microseconds
	titles    titles  // the last line of words
	starts    []int64 // lines at which other tables begin
	blank     int64   // the last blank line
	taken     int64   // the last line of data
	label     string  // the word in the first column of the line before, where it is one
	prose     int64   // a line of text that stands behind too many others
	dated     timeline.DateLine
	newKeys   bool // lines of a long table name channels that the plan does not know
	Found     plan.Amendments
	Again     bool         // the file must be read again, under what was found
	plain     *plainReader // nil where no line can be plain
	plainly   int64        // how many were
	to        merge.Sink
	err       error // of the machine: nothing more can be read
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
	kind dialect.CellKind
	dec  scan.Decimal
	long *big.Rat // a number with more digits than a mantissa holds
	unit []byte
	text []byte // as found
}

// A pendingLine is no data; what it is depends on what follows.
type pendingLine struct {
	number int64
	text   string
	reason string // why it is not taken where data follow
	stray  bool   // it holds a time and numbers
}

// maxFooter is how many lines a footer has at most.
const maxFooter = 64

// maxPending is how many lines of text wait for what follows: a footer's and those of
// the preamble of a session behind it.
const maxPending = maxFooter + layout.PreambleLines

// New prepares to read a file of size bytes.
func New(p *plan.Plan, size int64, to merge.Sink) *Pass {
	s := &Pass{p: p, time: timeline.New(p.Time), Found: p.Found, headers: map[int64]bool{}, named: map[string]*column{}, first: 1, to: to}
	for i := range max(1, len(p.Systems)) {
		give := func(f *frame.Frame) error { return to.Put(i, f) }
		s.out = append(s.out, &output{samples: merge.Stream{Table: sampleTable, To: give}, extras: merge.Stream{Table: extrasTable, To: give}})
	}
	for _, c := range p.Columns {
		s.columns = append(s.columns, &column{Column: *c, cells: cells{out: s.out[c.System]}})
	}
	s.fields = make([]field, p.Layout.Columns)
	s.row = make([]cell, p.Layout.Columns)
	s.lastRow = make([]int, p.Layout.Columns)
	for _, c := range slices.Backward(s.columns) {
		o := s.out[c.System]
		f := &s.fields[c.Index]
		if c.Key == "" {
			c.next, f.column = f.column, c
		} else {
			c.next, s.named[c.Key] = s.named[c.Key], c
		}
		f.time = c.Kind == plan.TimeColumn
		f.skip = (c.Kind == plan.SkipColumn || c.Kind == plan.PartColumn) && c.next == nil
		f.scan = c.Kind == plan.ChannelColumn || c.Kind == plan.ExtraColumn
		if c.Kind == plan.ExtraColumn {
			o.extra = append(o.extra, c)
		}
		if c.Kind == plan.ChannelColumn || c.Kind == plan.StateColumn {
			o.columns = append(o.columns, c)
		}
		if c.Kind == plan.ChannelColumn && c.Target.Name == plan.AirColumn {
			o.air = c
		}
		if c.Kind == plan.ChannelColumn && c.Logged {
			o.logged = append(o.logged, c)
		}
	}
	s.quick = p.Bare == nil && p.Layout.Delim != scan.Blanks && p.Marks.Decimal != 0 && p.Marks.Decimal != p.Layout.Delim
	for i := range s.fields {
		s.fields[i].skip = s.fields[i].skip || !p.Strip.Holds(i)
	}
	if p.Long != nil {
		s.fields[p.Long.Value] = field{scan: true}
		s.quick = s.quick && p.Charset.Decoder == nil // names of channels are decoded
	}
	for _, f := range s.fields {
		s.quick = s.quick && (f.time || f.scan || f.skip)
	}
	for _, i := range p.Layout.Header {
		for k := range p.Head[i].More + 1 {
			s.headers[p.Head[i].Number+int64(k)] = true
		}
	}
	s.first = p.Head[p.Layout.Top].Number
	if n := p.TableAbove(); n > 0 {
		s.starts = append(s.starts, n)
	}
	s.prepare(size)
	s.plain = s.plainOf()
	return s
}

// prepare makes room for rows, and for runs where the file was found not to be in
// order of time.
func (s *Pass) prepare(size int64) {
	chunk := chunkRows(len(s.p.Columns))
	for _, o := range s.out {
		o.reserve(s.p.RowsIn(size), chunk)
		if !s.p.Found.Unordered {
			continue
		}
		for _, one := range []*merge.Stream{&o.samples, &o.extras} {
			if one.Runs, s.err = s.to.Shelf(one.Table); s.err != nil {
				return
			}
		}
	}
}

// Close frees what the pass holds.
func (s *Pass) Close() error {
	var errs []error
	for _, o := range s.out {
		errs = append(errs, o.samples.Close(), o.extras.Close())
	}
	return errors.Join(errs...)
}

// fail notes an error of giving rows on. Rows out of order are no failure: the file is
// read once more, with room for runs.
func (s *Pass) fail(err error) {
	if errors.Is(err, merge.ErrUnordered) {
		s.Found.Unordered, s.Again = true, true
	} else if err != nil && s.err == nil {
		s.err = err
	}
}

// Run reads all lines. It stops early where the file must be read again.
func (s *Pass) Run(src io.Reader, limit int) error {
	body, err := s.p.Charset.Open(src)
	if err != nil {
		return err
	}
	r := raw.NewReader(body, limit)
	for !s.Again && s.err == nil {
		s.plainLines(r)
		l, err := r.Next()
		if errors.Is(err, io.EOF) {
			s.end()
			return s.err
		}
		if err != nil {
			return fmt.Errorf("line %d: %w", r.Number+1, err)
		}
		s.number = r.Number
		s.line(l)
	}
	return s.err
}

func (s *Pass) line(l raw.Line) {
	s.lines.All++
	if len(s.open) > 0 && s.closes(l) {
		return
	}
	switch {
	case l.Cut:
		s.quarantine(l.Text, "the line is longer than the limit")
	case s.quick && l.Ended && s.number >= s.first && s.order == nil && s.block == nil && s.scan(l.Text):
		s.split = s.split[:0]
		s.commit(l)
	default:
		s.closer(l)
	}
}

// scan reads a line of plain numbers without splitting it. It reports false for
// anything else, before anything is counted.
func (s *Pass) scan(b []byte) bool {
	delim, mark := s.p.Layout.Delim, s.p.Marks.Decimal
	i, last := 0, len(s.fields)-1
	for k := range s.fields {
		c := &s.row[k]
		start := i
		if f := &s.fields[k]; f.scan {
			m, d, next, ok := scan.PlainNumber(b, i, mark, delim)
			if !ok {
				if i < len(b) && b[i] != delim {
					return false
				}
				c.kind, next = dialect.EmptyCell, i
			} else {
				c.kind, c.dec, c.long, c.unit = dialect.NumberCell, scan.Decimal{Mantissa: m, Decimals: d}, nil, nil
			}
			i = next
		} else {
			end := bytes.IndexByte(b[i:], delim)
			if end < 0 {
				end = len(b) - i
			}
			i += end
			if !scan.IsASCII(b[start:i]) { // it is decoded with care
				return false
			}
			if n := end; n > 0 && (b[start] <= ' ' || b[start] == '"' || b[start+n-1] <= ' ') {
				return false
			}
		}
		c.text = b[start:i]
		if i == len(b) {
			return k == last && s.p.Layout.Raw == len(s.fields)
		}
		i++
	}
	rest := b[i:]
	return scan.IsEmptyRow(rest, delim) && len(s.fields)+1+bytes.Count(rest, []byte{delim}) >= s.p.Layout.Raw
}

// closer reads a line with care: quotes, blanks, marks, markers; or finds that it
// is no data.
func (s *Pass) closer(l raw.Line) {
	text := l.Text
	if scan.IsBlank(text) || scan.IsEmptyRow(text, s.p.Layout.Delim) {
		s.lines.Blank++
		s.blank = s.number
		return
	}
	if scan.IsFill(text) {
		s.quarantine(text, "fill bytes where data should be, as after a power failure")
		return
	}
	if s.number < s.first {
		s.above(text)
		return
	}
	if s.p.Charset.Decoder != nil && !scan.IsASCII(text) {
		text = []byte(s.p.Charset.Text(text))
	}
	if !scan.IsASCII(text) {
		text = raw.LatinMarks(text)
	}
	if bytes.HasPrefix(text, []byte("\uFEFF")) { // files joined end to end
		text = text[len("\uFEFF"):]
	}
	if dialect.IsComment(text) || s.p.Remark != 0 && scan.TrimLeft(text)[0] == s.p.Remark {
		s.comment(text)
		return
	}
	if row, ok := s.p.Header[dialect.HeaderText(text)]; ok {
		s.headerRow(row, s.p.Layout.Rows[row])
		return
	}
	var ok bool
	if s.split, ok = scan.Split(s.split, text, s.p.Layout.Delim); !ok {
		if !s.opens(l) {
			s.quarantine(text, openReason)
		}
		return
	}
	if !s.p.Layout.Fits(s.split) {
		s.misfit(text, l)
		return
	}
	l.Text = text
	if s.block != nil {
		s.settleBlock()
	}
	placed := s.arrange(s.split)
	for k := range s.fields {
		s.row[k] = s.read(placed[k], &s.fields[k])
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
func (s *Pass) otherMarks() bool {
	mark := s.p.Marks.Thousands
	if mark != '.' && mark != ',' {
		return false
	}
	proven, exposed := false, false
	for k := range s.fields {
		switch c := &s.row[k]; {
		case !s.fields[k].scan:
		case c.kind == dialect.NumberCell:
			exposed = exposed || bytes.IndexByte(c.text, mark) >= 0 && bytes.IndexByte(c.text, s.p.Marks.Decimal) < 0
		case c.kind == dialect.TextCell && dialect.NumberLike(c.text):
			var e scan.MarkEvidence
			e.Observe(c.text)
			proven = proven || mark == '.' && e.Point > 0 || mark == ',' && e.Comma > 0
		}
	}
	return proven && exposed
}

// read reads one cell with care.
func (s *Pass) read(text []byte, f *field) cell {
	c := cell{kind: dialect.TextCell, text: text}
	if f.time || f.skip {
		return c
	}
	if len(text) == 0 {
		c.kind = dialect.EmptyCell
		return c
	}
	if m, d, next, ok := scan.PlainNumber(text, 0, s.p.Marks.Decimal, 0); ok && next == len(text) && s.p.Marks.Decimal != 0 {
		c.kind, c.dec = dialect.NumberCell, scan.Decimal{Mantissa: m, Decimals: d}
		return c
	}
	if s.readNumber(&c) {
		return c
	}
	if _, missing := scan.Marker(text); missing {
		c.kind = dialect.MarkerCell
	}
	return c
}

// readNumber reads a number under the file's marks; a thousands mark that the
// sample did not show is taken where it parts whole groups.
func (s *Pass) readNumber(c *cell) bool {
	m := s.p.Marks
	for _, thousands := range [...]byte{m.Thousands, ' ', '\''} {
		m.Thousands = thousands
		d, long, unit, ok := scan.Number(c.text, m)
		if ok && (len(unit) == 0 || naming.IsUnit(string(unit))) {
			c.kind, c.dec, c.long, c.unit = dialect.NumberCell, d, long, unit
			return true
		}
	}
	return false
}

// above counts a line before the first data.
func (s *Pass) above(text []byte) {
	switch {
	case s.headers[s.number]:
		s.lines.Header++
	case s.p.Layout.IsRow(s.cellsOf(text)):
		s.quarantine(text, "data above the names of other columns")
	default:
		s.lines.Preamble++
	}
}

// comment counts a line in mid-file that is a comment, or the header once more.
func (s *Pass) comment(text []byte) {
	if s.headerLine(text) {
		return
	}
	if cells := s.cellsOf(text); s.p.Layout.Fits(cells) && s.p.Layout.IsRow(cells) {
		s.quarantine(text, "data behind a comment mark")
		return
	}
	if !s.noteDate(text) {
		s.lines.Preamble++
	}
}

// misfit counts a line that has not as many cells as the body.
func (s *Pass) misfit(text []byte, l raw.Line) {
	if s.noteDate(text) {
		return
	}
	s.noteTitles()
	if !s.startsWithTime() && s.headerCut(text) {
		return
	}
	if len(s.split) > 0 && dialect.KindOf(s.split[0]) == dialect.TextCell && !s.startsWithTime() && l.Ended {
		s.later(text, textReason)
		return
	}
	if !l.Ended && dialect.KindOf(s.split[0]) == dialect.TextCell && !scan.IsDigit(text[0]) {
		s.later(text, textReason)
		return
	}
	s.settlePending(false)
	s.noteTable(len(s.split))
	reason := fmt.Sprintf("%d cells instead of %d", len(s.split), s.p.Layout.Raw)
	if !l.Ended {
		reason = "the file ends within this line"
	}
	s.quarantine(text, reason)
}

// startsWithTime tells whether the cells of a misfit begin with a time.
func (s *Pass) startsWithTime() bool {
	if s.p.Bare != nil {
		return len(s.split) > 1 && dialect.IsData(s.split)
	}
	t := s.p.Time.Columns[0]
	return t < len(s.split) && (dialect.KindOf(s.split[t]) == dialect.StampCell || dialect.KindOf(s.split[t]) == dialect.NumberCell)
}

const noTimeReason = "no time that can be read"

const textReason = "text between lines of data"

// later keeps a line of text until what follows tells what it is. More than a footer
// and a preamble hold are neither.
func (s *Pass) later(text []byte, reason string) {
	if len(s.pending) == maxPending {
		s.settlePending(false)
		s.prose = s.number
	}
	if s.prose > s.taken {
		s.quarantine(text, reason)
		return
	}
	s.pending = append(s.pending, pendingLine{s.number, raw.Show(text), reason, strayData(s.split)})
}

// settlePending counts the lines of text since the last data: the preamble and
// footer of a session where a header follows, otherwise nobody knows what.
func (s *Pass) settlePending(header bool) {
	for _, l := range s.pending {
		if header {
			s.lines.Preamble++
			continue
		}
		s.lines.Quarantined++
		s.refuse.line(l.number, l.text, l.reason)
	}
	s.pending = s.pending[:0]
}

// quarantine counts a line that is not taken.
func (s *Pass) quarantine(text []byte, reason string) {
	s.lines.Quarantined++
	s.refuse.line(s.number, raw.Show(text), reason)
}

// commit takes a line whose cells are read: its time first, then its values.
func (s *Pass) commit(l raw.Line) {
	s.clock = s.clock[:0]
	for _, c := range s.p.Time.Columns {
		s.clock = append(s.clock, scan.Trim(s.row[c].text))
	}
	if s.p.Bare != nil {
		s.commitBare(l)
		return
	}
	if s.foreign > 0 && s.tellsTime() {
		s.settlePending(false)
		s.quarantine(l.Text, fmt.Sprintf("it stands below another header, in line %d", s.foreign))
		s.noteTable(len(s.split))
		return
	}
	if s.outside() {
		s.settlePending(false)
		s.lines.Data++
		s.taken = s.number
		return
	}
	s.settleDate()
	utc, v, reason := s.time.At(s.clock)
	if s.time.Restart {
		s.Found.Orders, s.Again = s.time.Plan.Order, true
		return
	}
	switch {
	case v == timeline.NoStamp:
		s.noData(l)
		return
	case s.p.Time.Question != "":
		utc, v = 0, timeline.Timed // every value is refused, and says why
	}
	s.settlePending(false)
	if v == timeline.Untimed && s.p.Strip.Set() {
		s.refuseLine(reason)
		s.lines.Data++
		return
	}
	if v == timeline.Untimed {
		s.quarantine(l.Text, reason)
		return
	}
	if word, ok := s.summarises(); ok {
		s.quarantine(l.Text, fmt.Sprintf("a summary of other lines (%s), no reading", word))
		return
	}
	s.block = nil
	s.noteOrder()
	s.lines.Data++
	s.taken = s.number
	if s.time.Offset != s.offset || len(s.offsets) == 0 {
		s.noteOffset(utc, s.number)
	}
	if s.p.Window.Set() && !s.p.Window.Holds(utc) {
		return // another reading takes it
	}
	s.take(utc, l.Ended)
}

// tellsTime tells whether the first cell of time holds what can be one.
func (s *Pass) tellsTime() bool {
	k := dialect.KindOf(s.clock[0])
	return k == dialect.StampCell || k == dialect.NumberCell || k == dialect.EmptyCell && len(s.clock) > 1
}

// noData counts a line of the body's shape without a time.
func (s *Pass) noData(l raw.Line) {
	if s.noteDate(l.Text) {
		return
	}
	s.noteTitles()
	if s.headerCut(l.Text) {
		return
	}
	if s.p.Bare == nil && s.lacksTime() {
		s.settlePending(false)
		if s.p.Strip.Set() {
			s.refuseLine(noTimeReason)
			s.lines.Data++
			return
		}
		s.quarantine(l.Text, noTimeReason)
		return
	}
	if dialect.IsData(s.arrange(s.split)) {
		s.later(l.Text, "a line without a time between lines of data")
		return
	}
	s.later(l.Text, textReason)
}

// lacksTime tells whether a line of the body's shape is one of data whose time
// cannot be read: its time has digits, or is empty before numbers only. A summary
// begins with words.
func (s *Pass) lacksTime() bool {
	empty, digits := true, 0
	for _, c := range s.p.Time.Columns {
		text := s.row[c].text
		empty = empty && len(text) == 0
		for _, b := range text {
			if scan.IsDigit(b) {
				digits++
			}
		}
	}
	if first := s.row[s.p.Time.Columns[0]].text; len(first) > 0 && !startsLikeText(first) {
		return true
	}
	numbers, texts := 0, 0
	for k := range s.fields {
		switch s.row[k].kind {
		case dialect.NumberCell:
			numbers++
		case dialect.TextCell:
			if len(s.row[k].text) > 0 {
				texts++
			}
		}
	}
	return numbers > 0 && (digits >= 4 || empty && texts == 0)
}

func startsLikeText(b []byte) bool {
	return scan.IsLetter(b[0]) || b[0] >= 0x80 || b[0] == '-' || b[0] == '*' || b[0] == '='
}
