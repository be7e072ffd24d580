package pass

import (
	"math"

	"rimelog/ingest/clock"
	"rimelog/ingest/plan"
	"rimelog/ingest/raw"
	"rimelog/ingest/scan"
	"rimelog/ingest/timeline"
)

// Most lines of most files are a time on the day of the line before and plain
// numbers. A plainReader takes runs of them straight from the bytes that were read,
// without cutting lines or cells; every digit, mark and line end is looked at all the
// same. The first byte that is anything else hands the line to the careful way.
type plainReader struct {
	fields      []plainField
	delim, mark byte
	out         *output
	clock       *timeline.Timeline
	numbers     []extraNumber // of the extras of a line
	stretch     stretch       // of lines that are read by column
	text        []byte        // the last line
	last        int           // length of its last cell
}

// A plainField is what stands at one place of a plain line.
type plainField struct {
	shape  shape   // of its number in the line before
	lo     int64   // the least that a channel can be
	span   uint64  // and how much more at most
	ints   []int32 // the column's rows, one of the two
	longs  []int64
	kind   plainKind
	behind [2]byte // what ends it, one of the two
	column *column
	steps  [8]linear // of a channel, by count of decimals
}

type plainKind uint8

// The kinds of field.
const (
	plainTime  plainKind = iota
	plainClock           // the time of day behind a date in a cell of its own
	plainChannel
	plainState
	plainExtra
)

// A linear is a conversion that comes out even: steps = mantissa × mul + add. One that
// does not gives steps that no column can hold.
type linear struct{ mul, add int64 }

type extraNumber struct {
	column *column
	value  scan.Decimal
}

// plainOf prepares for plain lines; nil where the file can have none.
func (s *Pass) plainOf() *plainReader {
	p := s.p
	readable := p.Layout.Delim != scan.Blanks && p.Marks.Decimal != 0 && p.Marks.Decimal != p.Layout.Delim && p.Layout.Raw == len(s.fields)
	if !readable || p.Bare != nil || p.Window.Set() || p.Long != nil || p.Time.Kind != timeline.StampTime || p.Time.Question != "" || len(s.out) != 1 || s.out[0].logged != nil {
		return nil
	}
	r := &plainReader{delim: p.Layout.Delim, mark: p.Marks.Decimal, out: s.out[0], clock: s.time}
	for k, f := range s.fields {
		pf := plainField{column: f.column, behind: [2]byte{r.delim, r.delim}, shape: shape{size: unknownSize}}
		if k == len(s.fields)-1 {
			pf.behind = [2]byte{'\n', '\r'}
		}
		switch c := f.column; {
		case f.time && len(p.Time.Columns) == 1:
			pf.kind = plainTime
		case f.time && len(p.Time.Columns) == 2 && p.Time.Columns[0] == k && p.Time.Columns[1] == k+1:
			pf.kind = plainTime
		case f.time && len(p.Time.Columns) == 2 && p.Time.Columns[1] == k && p.Time.Columns[0] == k-1:
			pf.kind = plainClock
		case f.skip || c == nil || c.next != nil || c.Refuse != "" || c.InCells:
			return nil
		case c.Kind == plan.ChannelColumn:
			pf.kind, pf.steps, pf.lo, pf.span = plainChannel, c.linear(), c.Lo, uint64(c.Hi-c.Lo)
		case c.Kind == plan.StateColumn:
			pf.kind = plainState
		case c.Kind == plan.ExtraColumn:
			pf.kind = plainExtra
		default:
			return nil
		}
		r.fields = append(r.fields, pf)
	}
	r.stretch.from = r.stretchFrom()
	return r
}

// linear gives a column's conversions that come out even.
func (c *column) linear() (steps [8]linear) {
	for d := range steps {
		even := false
		if c.Can[d] {
			steps[d].mul, steps[d].add, even = c.Convert[d].Even()
		}
		if !even {
			steps[d] = linear{0, math.MaxInt64}
		}
	}
	return steps
}

// plainLines takes lines as long as they are plain and whole.
func (s *Pass) plainLines(r *raw.Reader) {
	p := s.plain
	if p == nil || r.Number+1 < s.first || s.order != nil || s.block != nil || s.foreign > 0 || len(s.pending) > 0 || len(s.open) > 0 || len(s.time.Above.Prefix) == 0 {
		return
	}
	o := p.out
	for i := range p.fields {
		if f := &p.fields[i]; f.kind == plainChannel || f.kind == plainState {
			f.ints, f.longs = f.column.ints, f.column.longs
		}
	}
	from, number := len(o.times), r.Number
	for len(o.times) < o.room && s.err == nil && !s.Again {
		if s.stretchLines(r) {
			continue
		}
		size, local := p.line(r.Ahead(), r.Limit)
		if size == 0 {
			break
		}
		r.Skip(size, 1)
		utc, v, reason := s.time.AsAbove(local)
		if v != timeline.Timed {
			s.number = r.Number
			s.lines.All++
			number++
			s.quarantine(p.text, reason)
			continue
		}
		o.times = append(o.times, utc)
		if s.time.Offset != s.offset {
			s.noteOffset(utc, r.Number)
		}
		for _, n := range p.numbers {
			s.fail(o.addExtra(n.column, utc, n.value.Float(), ""))
		}
	}
	if r.Number == number && from == len(o.times) {
		return
	}
	s.settlePlain(from, r.Number-number)
	s.number = r.Number
	s.lastRow[len(s.fields)-1] = p.last
}

// allValid is what the validity of plain rows is copied from.
var allValid = func() (v [4096]bool) {
	for i := range v {
		v[i] = true
	}
	return v
}()

// settlePlain counts a run of plain lines: each holds a value of every column.
func (s *Pass) settlePlain(from int, lines int64) {
	s.lines.All += lines
	s.lines.Data += lines
	s.plainly += lines
	if lines > 0 {
		s.taken = s.number + lines
	}
	channels := 0
	for i := range s.plain.fields {
		f := &s.plain.fields[i]
		switch f.kind {
		case plainTime, plainClock:
			continue
		case plainChannel, plainState:
			channels++
			rows := f.column.valid[from:len(s.plain.out.times)]
			for len(rows) > 0 {
				rows = rows[copy(rows, allValid[:]):]
			}
			f.column.filled += int(lines)
		}
		f.column.read += lines
		f.column.kept += lines
	}
	if o := s.plain.out; channels == 0 { // extras only: the rows of samples are empty
		o.times = o.times[:from]
	}
}

// line reads one line from the beginning of b into the row behind the last, and gives
// its size with its end, and its local time. It gives 0 for a line that is not plain,
// or not whole.
func (p *plainReader) line(b []byte, limit int) (size int, local int64) {
	i, start, row := 0, 0, len(p.out.times)
	p.numbers = p.numbers[:0]
	var micros, hours int64
	fields, last := p.fields, len(p.fields)-1
	for k := range fields {
		f := &fields[k]
		start = i
		switch f.kind {
		case plainTime:
			size := p.clock.Above.Size()
			if i+size+1 > len(b) {
				return 0, 0
			}
			var ok bool
			if micros, hours, ok = p.timeAt(b[i : i+size]); !ok {
				return 0, 0
			}
			i += size
		case plainClock:
			continue // read with the date
		case plainState:
			if i+1 >= len(b) || b[i]-'0' > 1 {
				return 0, 0
			}
			f.longs[row] = int64(b[i] - '0')
			i++
		default:
			end := i + f.shape.size
			x := f.shape.digits(b, end)
			alike := x <= allDigits && (b[end] == f.behind[0] || b[end] == f.behind[1])
			m := int64(0)
			if alike {
				m, i = f.shape.value(x), end
			} else if m, i = f.scan(b, i, p.mark); i == start {
				return 0, 0
			}
			if f.kind == plainExtra {
				if f.shape.negative {
					m = -m
				}
				p.numbers = append(p.numbers, extraNumber{f.column, scan.Decimal{Mantissa: m, Decimals: f.shape.decimals}})
			} else if !f.store(row, m*f.shape.mul+f.shape.add) {
				return 0, 0
			}
			if alike && k < last { // the delimiter was seen
				i++
				continue
			}
		}
		if k < last {
			if i >= len(b) || b[i] != p.delim {
				return 0, 0
			}
			i++
		}
	}
	end := lineEndAt(b, i)
	if end == 0 || i > limit {
		return 0, 0
	}
	p.text, p.last = b[:i], i-start
	p.clock.Follow(micros, hours)
	return i + end, p.clock.Days*clock.Day + micros
}

// store sets a channel's value in a row; false for one that the quantity cannot have.
func (f *plainField) store(row int, v int64) bool {
	if uint64(v-f.lo) > f.span {
		return false
	}
	if f.ints != nil {
		f.ints[row] = int32(v)
	} else {
		f.longs[row] = v
	}
	return true
}

// lineEndAt is the size of the line end at a place, 0 for none or a doubtful one.
func lineEndAt(b []byte, i int) int {
	switch {
	case i < len(b) && b[i] == '\n':
		return 1
	case i+1 < len(b) && b[i] == '\r' && b[i+1] == '\n':
		return 2
	}
	return 0
}

// timeAt reads the time of day of a stamp on the day of the line before, and of its offset.
func (p *plainReader) timeAt(b []byte) (micros, hours int64, ok bool) {
	a := &p.clock.Above
	n := len(a.Prefix)
	if !p.sameDay(b[:n]) || string(b[n+timeline.ClockSize:]) != string(a.Suffix) {
		return 0, 0, false
	}
	return timeline.ClockTime(b[n : n+timeline.ClockSize])
}

// sameDay tells whether a cell begins as the one of the line before does. A date in a
// cell of its own is parted from the time by the delimiter.
func (p *plainReader) sameDay(b []byte) bool {
	last, prefix := len(b)-1, p.clock.Above.Prefix
	if len(p.clock.Plan.Columns) == 1 {
		return string(b) == string(prefix)
	}
	return string(b[:last]) == string(prefix[:last]) && b[last] == p.delim
}
