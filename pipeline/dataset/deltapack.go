package dataset

import (
	"encoding/binary"
	"math"
	"math/bits"
	"slices"
)

// Deltas are packed by the Parquet format's DELTA_BINARY_PACKED: blocks of 128 in four
// miniblocks of 32, each in the width that it needs above the block's least. The format
// lets a writer take any width that is wide enough and any least that is low enough.
// Ours are whole bytes above a least that is the same for most blocks, so that equal
// differences are equal bytes all over a page, and an entropy coder finds few of them:
// measured on logged temperatures, 4.0 bits a number instead of 6.1.
const (
	deltaBlock     = 128
	deltaMiniblock = 32
	deltaMinis     = deltaBlock / deltaMiniblock
)

// The leasts of most blocks: differences about zero have one byte, or two of which the
// upper is nearly always the same.
const (
	leastOfOne = -1 << 7
	leastOfTwo = -1<<15 - 1<<7
)

// A deltaPacker encodes numbers whose differences fit an int32: those of DECIMAL(9).
type deltaPacker struct {
	deltas [deltaBlock]int32
}

// pack appends the encoded numbers, of which there is one at least.
func (p *deltaPacker) pack(dst []byte, v []int32) []byte {
	dst = binary.AppendUvarint(dst, deltaBlock)
	dst = binary.AppendUvarint(dst, deltaMinis)
	dst = binary.AppendUvarint(dst, uint64(len(v)))
	dst = binary.AppendVarint(dst, int64(v[0]))
	for len(v) > 1 {
		n := min(len(v)-1, deltaBlock)
		dst = p.block(dst, v[:n+1])
		v = v[n:]
	}
	return dst
}

// block appends the differences between neighbours.
func (p *deltaPacker) block(dst []byte, v []int32) []byte {
	n := len(v) - 1
	low, high := int32(math.MaxInt32), int32(math.MinInt32)
	var lows, highs [deltaMinis]int32
	for m := 0; m*deltaMiniblock < n; m++ {
		at := m * deltaMiniblock
		lows[m], highs[m] = differences((*[deltaMiniblock]int32)(p.deltas[at:]), v[at:min(at+deltaMiniblock, n)+1])
		low, high = min(low, lows[m]), max(high, highs[m])
	}
	least := leastOf(low, high)
	for i := n; i < deltaBlock; i++ { // what fills the last miniblock is not read
		p.deltas[i] = least
	}
	dst = binary.AppendVarint(dst, int64(least))
	var widths [deltaMinis]byte
	for m := 0; m*deltaMiniblock < n; m++ {
		widths[m] = byte(wholeBytes(uint32(highs[m]) - uint32(least)))
	}
	dst = append(dst, widths[:]...)
	for m := 0; m*deltaMiniblock < n; m++ {
		dst = packMiniblock(dst, (*[deltaMiniblock]int32)(p.deltas[m*deltaMiniblock:]), least, int(widths[m]))
	}
	return dst
}

// leastOf chooses what the differences of a block are told above.
func leastOf(low, high int32) int32 {
	switch {
	case low == high:
		return low
	case low >= leastOfOne && high < leastOfOne+1<<8:
		return leastOfOne
	case low >= leastOfTwo && high < leastOfTwo+1<<16:
		return leastOfTwo
	}
	return low
}

// differences sets those between neighbours of v, and gives the least and the greatest.
func differences(d *[deltaMiniblock]int32, v []int32) (low, high int32) {
	if len(v) > deltaMiniblock {
		return allDifferences(d, (*[deltaMiniblock + 1]int32)(v))
	}
	low, high = math.MaxInt32, math.MinInt32
	for i, x := range v[1:] {
		d[i] = x - v[i]
		low, high = min(low, d[i]), max(high, d[i])
	}
	return low, high
}

// allDifferences is differences of a whole miniblock: two at a time, so that no
// comparison waits for the one before.
func allDifferences(d *[deltaMiniblock]int32, v *[deltaMiniblock + 1]int32) (low, high int32) {
	low, high = math.MaxInt32, math.MinInt32
	low2, high2 := low, high
	for i := 0; i < deltaMiniblock; i += 2 {
		x, y := v[i+1]-v[i], v[i+2]-v[i+1]
		d[i], d[i+1] = x, y
		low, high = min(low, x), max(high, x)
		low2, high2 = min(low2, y), max(high2, y)
	}
	return min(low, low2), max(high, high2)
}

// wholeBytes is the width of a number in bits, rounded up to whole bytes.
func wholeBytes(x uint32) int { return (bits.Len32(x) + 7) &^ 7 }

// packMiniblock appends differences above the least in so many bits each.
func packMiniblock(dst []byte, d *[deltaMiniblock]int32, least int32, width int) []byte {
	n, size := len(dst), width*deltaMiniblock/8
	dst = slices.Grow(dst, size)[:n+size]
	switch to := dst[n:]; width {
	case 0:
	case 8:
		for i, x := range d[:len(to)] {
			to[i] = byte(x - least)
		}
	case 16:
		for i := 0; i < deltaMiniblock; i += 4 {
			at := func(k int) uint64 { return uint64(uint16(d[i+k]-least)) << (16 * k) }
			binary.LittleEndian.PutUint64(to[2*i:], at(0)|at(1)|at(2)|at(3))
		}
	default:
		for i, x := range d {
			var b [4]byte
			binary.LittleEndian.PutUint32(b[:], uint32(x-least))
			copy(to[i*width/8:], b[:width/8])
		}
	}
	return dst
}

// extremes gives the least and the greatest of numbers, of which there is one at least.
func extremes[V int32 | int64](v []V) (low, high V) {
	low, high = v[0], v[0]
	low2, high2, low3, high3, low4, high4 := low, high, low, high, low, high
	for len(v) >= 4 {
		low, high = min(low, v[0]), max(high, v[0])
		low2, high2 = min(low2, v[1]), max(high2, v[1])
		low3, high3 = min(low3, v[2]), max(high3, v[2])
		low4, high4 = min(low4, v[3]), max(high4, v[3])
		v = v[4:]
	}
	for _, x := range v {
		low, high = min(low, x), max(high, x)
	}
	return min(low, low2, low3, low4), max(high, high2, high3, high4)
}
