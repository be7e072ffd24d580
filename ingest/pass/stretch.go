package pass

import (
	"encoding/binary"

	"rimelog/ingest/clock"
	"rimelog/ingest/raw"
	"rimelog/ingest/timeline"
)

// A stretch is of plain lines that are alike byte by byte: each number has the shape of
// the one above it, so that lines are equally long and a number stands at the same place
// of each. Such lines are read column by column, without a decision on the way: whatever
// is not as it was above leaves a bit behind, and one look at the end tells. A stretch
// with such a bit is read line by line.
type stretch struct {
	from   int // the first field behind the time; 0 where lines cannot be read by column
	wait   int // lines to read before another stretch is tried
	size   int // of a line with its end
	read   int // lines that were read by column
	locals [longStretch]int64
}

// longStretch is how many lines a stretch has at most: their bytes should lie near.
const longStretch = 64

// shortStretch is how many it has at least to be worth the while.
const shortStretch = 8

// stretchFrom gives the first field behind the time where all from there on are channels;
// 0 where lines cannot be read by column.
func (p *plainReader) stretchFrom() int {
	from := 0
	for k, f := range p.fields {
		switch {
		case f.kind == plainTime && k == 0, f.kind == plainClock && k == 1:
			from = k + 1
		case f.kind != plainChannel || from == 0:
			return 0
		}
	}
	return from % len(p.fields)
}

// stretchAt reads the stretch of lines at the beginning of b: their numbers into the rows
// behind the last, their local times. It gives how many lines it has: none where they are
// not alike, or not worth the while.
func (p *plainReader) stretchAt(b []byte, limit int) int {
	t := &p.stretch
	switch {
	case t.from == 0:
		return 0
	case t.wait > 0:
		t.wait--
		return 0
	}
	t.size = p.length()
	lines := min(len(b)/t.size, p.out.room-len(p.out.times), longStretch)
	if lines < shortStretch || t.size > limit {
		return 0
	}
	if b = b[:lines*t.size]; !p.numbersAlike(b, lines) {
		t.wait = longStretch
		return 0
	}
	lines = p.timesOf(b, lines)
	t.read += lines
	return lines
}

// numbersAlike reads the numbers of lines into the rows behind the last; false where the
// lines are not alike.
func (p *plainReader) numbersAlike(b []byte, lines int) bool {
	row, size := len(p.out.times), p.stretch.size
	at := p.clock.Above.Size() + 1
	for k := p.stretch.from; k < len(p.fields); k++ {
		f := &p.fields[k]
		at += f.shape.size
		alike := false
		if f.ints != nil {
			alike = readColumn(f, b[at-7:], size, f.ints[row:row+lines])
		} else {
			alike = readColumn(f, b[at-7:], size, f.longs[row:row+lines])
		}
		if !alike {
			return false
		}
		at++
	}
	return at == size || allAre(b[at:], size, '\n') // behind a CR
}

// widestNumber is how many bytes the numbers of a stretch have at most.
const widestNumber = 7

// length is that of a line with its end, as long as the shapes stay; that of no line
// where one is not known, or too long for a stretch.
func (p *plainReader) length() int {
	n := p.clock.Above.Size() + 1
	for k := p.stretch.from; k < len(p.fields); k++ {
		size := p.fields[k].shape.size
		if size > widestNumber {
			return unknownSize
		}
		n += size + 1
	}
	if p.fields[len(p.fields)-1].shape.after == '\r' {
		n++
	}
	return n
}

// readColumn reads the number of a field in lines of a size into rows. The first number
// ends with the seventh byte of b, and the eighth stands behind it. It reports false where
// one is not of the field's shape, or none that the channel can have; what is in the rows
// is then of no account.
func readColumn[V int32 | int64](f *plainField, b []byte, size int, rows []V) bool {
	var words [longStretch]uint64
	at := 0
	for i := range words[:len(rows)] {
		words[i] = binary.LittleEndian.Uint64(b[at:])
		at += size
	}
	return numbersOf(f.shape.withNext(), f.lo, int64(f.span), words[:len(rows)], rows)
}

// numbersOf reads numbers of a shape out of words.
func numbersOf[V int32 | int64](h shape, lo, span int64, words []uint64, rows []V) bool {
	add := h.add - lo
	var wrong, outside uint64 // have a high bit where a byte or a value is not as it should be
	for i, w := range words[:len(rows)] {
		x := (w ^ h.pattern) & h.care
		wrong |= (x + h.room) | x
		above := h.value(x<<8)*h.mul + add
		outside |= uint64(above | (span - above))
		rows[i] = V(above + lo)
	}
	return (wrong|outside>>63<<63)&timeline.HighBits == 0
}

// withNext is the shape of a number of at most seven bytes with the byte behind it, which
// is no digit: those of the number stand a byte further down.
func (h shape) withNext() shape {
	h.pattern = h.pattern>>8 | uint64(h.after)<<56
	h.care, h.room = h.care>>8|0xff<<56, h.room>>8|0x7f<<56
	return h
}

// allAre tells whether a byte stands first in b and in every line of a size behind it.
func allAre(b []byte, size int, c byte) bool {
	for ; len(b) > 0; b = b[min(size, len(b)):] {
		if b[0] != c {
			return false
		}
	}
	return true
}

// timesOf reads the local times of lines, as long as they are on the day of the line
// before the first, and none falls back. It gives how many are.
func (p *plainReader) timesOf(b []byte, lines int) int {
	stamp, size, midnight := p.clock.Above.Size(), p.stretch.size, p.clock.Days*clock.Day
	before := int64(0)
	for i := range lines {
		line := b[i*size : (i+1)*size]
		micros, _, ok := p.timeAt(line[:stamp])
		if !ok || line[stamp] != p.delim || micros < before {
			return i
		}
		p.stretch.locals[i], before = midnight+micros, micros
	}
	return lines
}

// stretchLines takes the stretch of lines that stands next, at once; false where there is
// none, or where the clocks may change within it.
func (s *Pass) stretchLines(r *raw.Reader) bool {
	p := s.plain
	n := p.stretchAt(r.Ahead(), r.Limit)
	if n == 0 {
		return false
	}
	locals := p.stretch.locals[:n]
	offset, steady := s.time.Steady(locals[0], locals[n-1])
	if !steady {
		return false
	}
	s.time.FollowAll(locals)
	for _, local := range locals {
		p.out.times = append(p.out.times, local-offset)
	}
	if offset != s.offset {
		s.noteOffset(locals[0]-offset, r.Number+1)
	}
	p.last = p.fields[len(p.fields)-1].shape.size
	r.Skip(n*p.stretch.size, int64(n))
	return true
}
