package pass

import (
	"encoding/binary"
	"io"
	"testing"

	"rimelog/ingest/logtest"
	"rimelog/ingest/scan"
	"rimelog/ingest/timeline"
)

// TestStretchesAreFound counts how many lines of a steady log are read by column.
func TestStretchesAreFound(t *testing.T) {
	for name, file := range map[string][]byte{
		"comma": logtest.SlowProcess(20_000, false), "semicolon": logtest.SlowProcess(20_000, true), "offsets": logtest.WithOffsets(logtest.SlowProcess(20_000, false)),
	} {
		one, src := passOver(t, file, logtest.Nowhere{})
		if err := one.Run(io.NewSectionReader(src, 0, src.Size), 1<<20); err != nil {
			t.Fatal(err)
		}
		if n := one.plain.stretch.read; n < 15_000 {
			t.Errorf("%s: %d lines of 20000 were read by column", name, n)
		}
	}
}

// TestShapeKnowsItsNumbersOnly changes each byte of a number and of what stands behind
// it: only another digit in a digit's place is of the same shape.
func TestShapeKnowsItsNumbersOnly(t *testing.T) {
	for _, text := range []string{"  12.34;", "   -5.6\n", " 123456,", "      7\r"} {
		b := []byte(text)
		begin := 0
		for b[begin] == ' ' {
			begin++
		}
		mark := byte('.')
		f := plainField{}
		padded := append([]byte("        "), b...)
		if _, end := f.scan(padded, 8+begin, mark); end != 15 {
			t.Fatalf("%q: scanned to %d", text, end)
		}
		h := f.shape.withNext()
		for i := begin; i < 8; i++ {
			for c := range 256 {
				changed := []byte(text)
				changed[i] = byte(c)
				x := (binary.LittleEndian.Uint64(changed) ^ h.pattern) & h.care
				alike := h.tells(x)&timeline.HighBits == 0
				want := byte(c) == b[i] || scan.IsDigit(byte(c)) && scan.IsDigit(b[i])
				if alike != want {
					t.Fatalf("%q is of the shape of %q: %v", changed, text, alike)
				}
			}
		}
	}
}
