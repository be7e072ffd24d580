package dataset

import (
	"bytes"
	"math/rand/v2"
	"testing"

	"github.com/klauspost/compress/huff0"
	"github.com/klauspost/compress/zstd"
)

// TestLiteralsAreZstandard lets a decoder of RFC 8878 read frames of literals: of bytes
// that code well, not at all, and of one kind only; around the sizes of a block.
func TestLiteralsAreZstandard(t *testing.T) {
	d, err := zstd.NewReader(nil)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	var huff huff0.Scratch
	rng := rand.New(rand.NewPCG(3, 1))
	for _, kinds := range []int{1, 2, 12, 256} {
		for _, size := range []int{1, 6, 255, 256, 1023, 1024, 16_384, literalBlock - 1, literalBlock, literalBlock + 1, 2*literalBlock + 77} {
			want := make([]byte, size)
			for i := range want {
				want[i] = byte(rng.IntN(kinds) * rng.IntN(2))
			}
			frame := appendLiterals([]byte("before"), want, &huff)
			got, err := d.DecodeAll(frame[len("before"):], nil)
			if err != nil || !bytes.Equal(got, want) {
				t.Errorf("%d bytes of %d kinds: read as %d bytes, %v", size, kinds, len(got), err)
			}
			if kinds == 12 && size > literalBlock && 2*len(frame) > size {
				t.Errorf("%d bytes of few kinds take %d", size, len(frame))
			}
		}
	}
}
