package raw

import (
	"bytes"
	"errors"
	"io"
	"math/rand/v2"
	"testing"
)

// TestLinesAreCountedByTheirEnds compares the count of ends, in pieces of any length,
// with the lines that a lineReader cuts.
func TestLinesAreCountedByTheirEnds(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 2))
	for range 3000 {
		b := make([]byte, rng.IntN(40))
		for i := range b {
			b[i] = "a;\r\n"[rng.IntN(4)]
		}
		var c EndCounter
		for rest := b; len(rest) > 0; {
			n := 1 + rng.IntN(len(rest))
			if _, err := c.Write(rest[:n]); err != nil {
				t.Fatal(err)
			}
			rest = rest[n:]
		}
		r := NewReader(bytes.NewReader(b), 1<<10)
		for {
			if _, err := r.Next(); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Fatal(err)
			}
		}
		if c.Lines() != r.Number {
			t.Fatalf("%q: %d lines by their ends, %d are cut", b, c.Lines(), r.Number)
		}
	}
}
