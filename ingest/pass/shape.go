package pass

import (
	"encoding/binary"
	"math"

	"rimelog/ingest/scan"
	"rimelog/ingest/timeline"
)

// A shape is how a number of at most eight bytes is written: where its sign, its mark
// and its digits stand. Neighbours in a column have one shape, as a rule, and a cell of
// that shape is read without looking for its end. The bytes are those of the eight that
// end with the number.
type shape struct {
	size     int
	decimals int
	negative bool
	pattern  uint64 // '0' for digits, else what stands there
	care     uint64 // the bytes that belong to the number
	room     uint64 // what each byte may be above its pattern, in the form of digits
	whole    uint64 // the digits before the mark
	part     uint64 // those behind it
	after    byte   // what stands behind the number
	linear          // the column's conversion for so many decimals, and of the sign
}

// unknownSize is that of no number.
const unknownSize = math.MaxInt32

// allDigits is eight digits, above those of zero.
const allDigits = 9 * timeline.EachByte

// digits gives the digits of a number that ends at a place, with a byte behind it;
// something above allDigits where none of this shape does.
func (h *shape) digits(b []byte, end int) uint64 {
	if end < 8 || end >= len(b) {
		return timeline.HighBits
	}
	x := h.differs(b[end-8 : end])
	if h.tells(x)&timeline.HighBits != 0 {
		return timeline.HighBits
	}
	return x
}

// differs tells by what eight bytes differ from zeros of this shape: by their digits,
// where they are of it.
func (h *shape) differs(b []byte) uint64 {
	return (binary.LittleEndian.Uint64(b) ^ h.pattern) & h.care
}

// tells has a high bit wherever a byte is none of this shape.
func (h *shape) tells(x uint64) uint64 { return x + h.room | x }

// value is the mantissa of digits, without its sign: the first stands in the lowest byte
// that counts.
func (h *shape) value(x uint64) int64 {
	x = x&h.whole<<8 | x&h.part
	x = x * (1 + 10<<8) >> 8 & (0xff * 0x0001000100010001)
	x = x * (1 + 100<<16) >> 16 & (0xffff * 0x0000000100000001)
	return int64(x * (1 + 10000<<32) >> 32)
}

// scan reads a number of another shape than the one before, and remembers its shape. It
// gives the place behind it: i where no number of at most eight bytes stands.
func (f *plainField) scan(b []byte, i int, mark byte) (m int64, end int) {
	h := shape{negative: i < len(b) && b[i] == '-'}
	digits, point := 0, -1
	for end = i; end < len(b); end++ {
		c := b[end]
		switch {
		case scan.IsDigit(c):
			digits++
		case c == '-' && end == i:
		case c == mark && point < 0 && digits > 0:
			point = end
		default:
			if point == end-1 || digits == 0 {
				return 0, i
			}
			return f.learn(h, b, i, end, point)
		}
	}
	return 0, i
}

func (f *plainField) learn(h shape, b []byte, i, end, point int) (m int64, _ int) {
	if h.size = end - i; h.size > 8 || end < 8 {
		return 0, i
	}
	for k := i; k < end; k++ {
		at := 8 * (8 - (end - k))
		c, room := uint64('0'), uint64(0x76)
		switch {
		case !scan.IsDigit(b[k]):
			c, room = uint64(b[k]), 0x7f
		case point < 0 || k > point:
			h.part |= 0xff << at
		default:
			h.whole |= 0xff << at
		}
		h.pattern |= c << at
		h.room |= room << at
		h.care |= 0xff << at
	}
	if point >= 0 {
		h.decimals = end - 1 - point
	}
	h.after, h.linear = b[end], f.steps[h.decimals]
	if h.negative {
		h.mul = -h.mul
	}
	f.shape = h
	return f.shape.value(f.shape.digits(b, end)), end
}
