package pass

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math/big"
	"slices"

	"rimelog/ingest/dialect"
	"rimelog/ingest/merge"
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

// New prepares to read a file of size bytes.
func New(p *plan.Plan, size int64, to merge.Sink) *Pass {
	s := &Pass{p: p, time: timeline.New(p.Time), Found: p.Found, headers: map[int64]bool{}, named: map[string]*column{}, to: to}
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
		s.place(c)
		s.out[c.System].place(c)
	}
	s.settleFields()
	s.noteHeader()
	s.prepare(size)
	s.plain = s.plainOf()
	return s
}

// place puts a column before the others of its field, or of its key.
func (s *Pass) place(c *column) {
	f := &s.fields[c.Index]
	if c.Key == "" {
		c.next, f.column = f.column, c
	} else {
		c.next, s.named[c.Key] = s.named[c.Key], c
	}
	f.time = c.Kind == plan.TimeColumn
	f.skip = (c.Kind == plan.SkipColumn || c.Kind == plan.PartColumn) && c.next == nil
	f.scan = c.Kind == plan.ChannelColumn || c.Kind == plan.ExtraColumn
}

// place puts a column among those that an output is written from.
func (o *output) place(c *column) {
	switch c.Kind {
	case plan.ExtraColumn:
		o.extra = append(o.extra, c)
	case plan.StateColumn:
		o.columns = append(o.columns, c)
	case plan.ChannelColumn:
		o.columns = append(o.columns, c)
		if c.Target.Name == plan.AirColumn {
			o.air = c
		}
		if c.Logged {
			o.logged = append(o.logged, c)
		}
	}
}

// settleFields tells what is passed over of a line, and whether lines can be read without care.
func (s *Pass) settleFields() {
	p := s.p
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
}

// noteHeader notes on which lines the header stands, and from where on the table is read.
func (s *Pass) noteHeader() {
	for _, i := range s.p.Layout.Header {
		for k := range s.p.Head[i].More + 1 {
			s.headers[s.p.Head[i].Number+int64(k)] = true
		}
	}
	s.first = s.p.Head[s.p.Layout.Top].Number
	if n := s.p.TableAbove(); n > 0 {
		s.starts = append(s.starts, n)
	}
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
