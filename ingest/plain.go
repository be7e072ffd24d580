package ingest

import (
	"encoding/binary"
	"math/bits"
)

// Most lines of most files are a time on the day of the line before and plain
// numbers. A plainReader takes runs of them straight from the bytes that were read,
// without cutting lines or cells; every digit, mark and line end is looked at all the
// same. The first byte that is anything else hands the line to the careful way.
type plainReader struct {
	fields      []plainField
	delim, mark byte
	out         *output
	clock       *timeline
	numbers     []extraNumber // of the extras of a line
	text        []byte        // the last line
	last        int           // length of its last cell
}

// A plainField is what stands at one place of a plain line.
type plainField struct {
	kind   plainKind
	column *column
	steps  [10]linear // of a channel, by count of decimals
	lo, hi int64      // between these it takes them
	ints   []int32    // the column's rows, one of the two
	longs  []int64
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

// A linear is a conversion that comes out even: steps = mantissa × mul + add.
type linear struct {
	mul, add int64
	even     bool
}

type extraNumber struct {
	column *column
	value  decimal
}

// plainOf prepares for plain lines; nil where the file can have none.
func (s *pass) plainOf() *plainReader {
	p := s.p
	if !s.quick || p.long != nil || p.time.kind != stampTime || p.time.question != "" || len(s.out) != 1 || s.out[0].logged != nil || p.layout.raw != len(s.fields) {
		return nil
	}
	r := &plainReader{delim: p.layout.delim, mark: p.marks.decimal, out: s.out[0], clock: s.time}
	for k, f := range s.fields {
		pf := plainField{column: f.column}
		switch c := f.column; {
		case f.time && len(p.time.columns) == 1:
			pf.kind = plainTime
		case f.time && len(p.time.columns) == 2 && p.time.columns[0] == k && p.time.columns[1] == k+1:
			pf.kind = plainTime
		case f.time && len(p.time.columns) == 2 && p.time.columns[1] == k && p.time.columns[0] == k-1:
			pf.kind = plainClock
		case f.skip || c == nil || c.next != nil || c.refuse != "" || c.inCells:
			return nil
		case c.kind == channelColumn:
			pf.kind, pf.steps, pf.lo, pf.hi = plainChannel, c.linear(), c.lo, c.hi
		case c.kind == stateColumn:
			pf.kind = plainState
		case c.kind == extraColumn:
			pf.kind = plainExtra
		default:
			return nil
		}
		r.fields = append(r.fields, pf)
	}
	return r
}

// linear gives a column's conversions that come out even.
func (c *column) linear() (steps [10]linear) {
	for d := range c.convert {
		if c.can[d] {
			l := &steps[d]
			l.mul, l.add, l.even = c.convert[d].Even()
		}
	}
	return steps
}

// plainLines takes lines as long as they are plain and whole.
func (s *pass) plainLines(r *lineReader) {
	p := s.plain
	if p == nil || r.number+1 < s.first || s.order != nil || s.block != nil || s.foreign > 0 || len(s.pending) > 0 || len(s.time.prefix) == 0 {
		return
	}
	o := p.out
	for i := range p.fields {
		if f := &p.fields[i]; f.kind == plainChannel || f.kind == plainState {
			f.ints, f.longs = f.column.ints, f.column.longs
		}
	}
	from, number := len(o.times), r.number
	for len(o.times) < o.room && s.err == nil && !s.again {
		size, local := p.line(r.buf[r.start:r.end], r.limit)
		if size == 0 {
			break
		}
		r.start += size
		r.number++
		utc, v, reason := s.time.toUTC(local)
		if v != timed {
			s.number = r.number
			s.lines.All++
			number++
			s.quarantine(p.text, reason)
			continue
		}
		o.times = append(o.times, utc)
		if s.time.offset != s.offset {
			s.noteOffset(utc, r.number)
		}
		for _, n := range p.numbers {
			s.fail(o.addExtra(n.column, utc, n.value.float(), ""))
		}
	}
	if r.number == number && from == len(o.times) {
		return
	}
	s.settlePlain(from, r.number-number)
	s.number = r.number
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
func (s *pass) settlePlain(from int, lines int64) {
	s.lines.All += lines
	s.lines.Data += lines
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
	var micros, hours int64
	p.numbers = p.numbers[:0]
	for k := range p.fields {
		f := &p.fields[k]
		if i+9 > len(b) {
			return 0, 0
		}
		start = i
		switch f.kind {
		case plainTime:
			n := len(p.clock.prefix)
			if i+n+9 > len(b) || !p.sameDay(b[i:i+n]) {
				return 0, 0
			}
			var ok bool
			if micros, hours, ok = clockTime(b[i+n : i+n+8]); !ok {
				return 0, 0
			}
			i += n + 8
		case plainClock:
			continue // read with the date
		case plainState:
			v := b[i] - '0'
			if v > 1 {
				return 0, 0
			}
			f.longs[row] = int64(v)
			i++
		default:
			m, d, next := plainScan(b, i, p.mark)
			if next == 0 {
				return 0, 0
			}
			i = next
			if f.kind == plainExtra {
				p.numbers = append(p.numbers, extraNumber{f.column, decimal{m, d}})
				break
			}
			steps := &f.steps[d]
			v := m*steps.mul + steps.add
			if !steps.even || v < f.lo || v > f.hi {
				return 0, 0
			}
			if f.ints != nil {
				f.ints[row] = int32(v)
			} else {
				f.longs[row] = v
			}
		}
		if k < len(p.fields)-1 {
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
	p.clock.follow(micros, hours)
	return i + end, p.clock.days*day + micros
}

// sameDay tells whether a cell begins as the one of the line before does. A date in a
// cell of its own is parted from the time by the delimiter.
func (p *plainReader) sameDay(b []byte) bool {
	last := len(b) - 1
	if len(p.clock.plan.columns) == 1 {
		return string(b) == string(p.clock.prefix)
	}
	return string(b[:last]) == string(p.clock.prefix[:last]) && b[last] == p.delim
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

// clockTime reads hh:mm:ss.
func clockTime(c []byte) (micros, hours int64, ok bool) {
	_ = c[7]
	h, ok1 := twoDigits(c[0], c[1])
	m, ok2 := twoDigits(c[3], c[4])
	s, ok3 := twoDigits(c[6], c[7])
	if !ok1 || !ok2 || !ok3 || c[2] != ':' || c[5] != ':' || h > 23 || m > 59 || s > 59 {
		return 0, 0, false
	}
	return (h*3600 + m*60 + s) * second, h, true
}

const (
	eachByte = 0x0101010101010101
	highBits = 0x80 * eachByte
)

// plainScan reads a number of at most seven bytes behind its sign, such as 14.25, eight
// bytes at once. It gives 0 for next where there is none or it is longer. Eight bytes
// must follow behind the sign.
func plainScan(b []byte, i int, mark byte) (m int64, decimals, next int) {
	neg := b[i] == '-'
	if neg {
		if i++; i+8 > len(b) {
			return 0, 0, 0
		}
	}
	w := binary.LittleEndian.Uint64(b[i:]) ^ 0x30*eachByte // digits are 0 to 9 now
	other := (w&^highBits + 0x76*eachByte | w) & highBits  // a high bit for every byte above 9
	n := bits.TrailingZeros64(other) >> 3
	if n == 0 || n == 8 {
		return 0, 0, 0
	}
	next = i + n
	if b[next] == mark {
		other &= other - 1
		end := bits.TrailingZeros64(other) >> 3
		if decimals = end - n - 1; decimals == 0 || end == 8 {
			return 0, 0, 0
		}
		next = i + end
		whole := uint64(1)<<(8*n) - 1
		w = w&whole | w>>8&^whole // the mark taken out
		n = end - 1
	}
	w <<= 64 - 8*n // leading zeros; the first digit is the lowest byte
	w = w * (1 + 10<<8) >> 8 & (0xff * 0x0001000100010001)
	w = w * (1 + 100<<16) >> 16 & (0xffff * 0x0000000100000001)
	m = int64(w * (1 + 10000<<32) >> 32)
	if neg {
		m = -m
	}
	return m, decimals, next
}
