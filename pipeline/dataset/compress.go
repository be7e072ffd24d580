package dataset

import (
	"github.com/klauspost/compress/zstd"

	"rimelog/pipeline/table"
)

// newCodec compresses at the fastest level, with entropy coding where nothing
// repeats. The default level takes twice the time for files 6 % smaller, fixed point
// being small from its encoding already. One frame never needs to look back further
// than its page.
func newCodec() *zstd.Encoder {
	z, err := zstd.NewWriter(nil, zstd.WithEncoderLevel(zstd.SpeedFastest), zstd.WithAllLitEntropyCompression(true),
		zstd.WithEncoderCRC(false), zstd.WithWindowSize(1<<18), zstd.WithLowerEncoderMem(true))
	if err != nil {
		panic("dataset: " + err.Error()) // only options that do not go together come here
	}
	return z
}

// longPage is how many bytes the data of a page has at least for it to be worth the while
// to leave repeats alone.
const longPage = 4096

// compress compresses the data of a page of so many values; it is good until the next
// page. Long pages of logged numbers are where the time goes. Their bytes are few kinds,
// as [deltaPacker] makes them, and seldom repeat for long: on logged temperatures their
// frequency alone gives pages a tenth longer than a search for repeats does, and on
// pressures none longer, in a third of the time. Where most numbers are as the one before,
// repeats are all there is.
func (c *columnWriter) compress(values int, data []byte) []byte {
	r := c.room
	if c.column.Kind == table.Fixed32 && len(data) >= max(longPage, values/2) {
		r.packed = appendLiterals(r.packed[:0], data, &r.huff)
	} else {
		r.packed = c.codec.EncodeAll(data, r.packed[:0])
	}
	return r.packed
}
