package dataset

import (
	"encoding/binary"
	"slices"

	"github.com/klauspost/compress/huff0"
)

// literalBlock is the most that a block of a Zstandard frame holds.
const literalBlock = 1 << 17

// The kinds of block, RFC 8878 section 3.1.1.2.2, and of its literals, 3.1.1.3.1.1.
const (
	rawBlock           = 0
	compressedBlock    = 2
	compressedLiterals = 2
	wideSizes          = 3 // four streams, their sizes in 18 bits each
)

// appendLiterals appends data as a Zstandard frame (RFC 8878) of literals alone: bytes
// are told in few bits where they are frequent, and nobody looks for repeats.
func appendLiterals(dst, data []byte, huff *huff0.Scratch) []byte {
	dst = binary.LittleEndian.AppendUint32(dst, 0xFD2FB528) // 3.1.1: the frame's magic number
	dst = append(dst, 2<<6|1<<5)                            // one segment, its size in four bytes
	dst = binary.LittleEndian.AppendUint32(dst, uint32(len(data)))
	huff.Reuse = huff0.ReusePolicyNone
	for {
		n := min(len(data), literalBlock)
		dst = appendLiteralBlock(dst, data[:n], n == len(data), huff)
		if data = data[n:]; len(data) == 0 {
			return dst
		}
	}
}

// appendLiteralBlock appends a block: as it is where entropy coding does not help.
func appendLiteralBlock(dst, data []byte, last bool, huff *huff0.Scratch) []byte {
	const literalsHeader, noSequences = 5, 1
	coded, _, err := huff0.Compress4X(data, huff)
	if err != nil || literalsHeader+len(coded)+noSequences >= len(data) { // no shorter, or one byte only
		return append(appendBlockHeader(dst, rawBlock, len(data), last), data...)
	}
	dst = appendBlockHeader(dst, compressedBlock, literalsHeader+len(coded)+noSequences, last)
	sizes := uint64(compressedLiterals | wideSizes<<2 | len(data)<<4 | len(coded)<<22)
	dst = slices.Grow(dst, literalsHeader+len(coded)+noSequences)
	dst = append(binary.LittleEndian.AppendUint32(dst, uint32(sizes)), byte(sizes>>32))
	return append(append(dst, coded...), 0)
}

func appendBlockHeader(dst []byte, kind, size int, last bool) []byte {
	h := uint32(kind<<1 | size<<3)
	if last {
		h |= 1
	}
	return append(dst, byte(h), byte(h>>8), byte(h>>16))
}
