package corpustest

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"testing"
)

// mostSpoiled is how many values one spoiled byte may make untrue: those of its own
// line, and of the line that it joins or cuts off.
const mostSpoiled = 16

// spoil changes one byte in the last two thirds of a file, where its rows stand: to
// a printable byte, to a line end or to none at all.
func spoil(f File, rng *rand.Rand) File {
	b := bytes.Clone(f.Bytes)
	at := len(b)/3 + rng.IntN(len(b)-len(b)/3)
	switch rng.IntN(8) {
	case 0:
		b = append(b[:at], b[at+1:]...)
	case 1:
		b[at] = '\n'
	case 2:
		b[at] = byte(rng.IntN(256))
	default:
		b[at] = "0123456789;,.-: \tABC"[rng.IntN(20)]
	}
	f.Bytes, f.Lines = b, -1
	return f
}

// A byte that went wrong on the way spoils the values of its own line at most:
// never those of others, and nothing vanishes.
func TestASpoiledByteSpoilsOnlyItsLine(t *testing.T) {
	const seed, files = 7, 120
	recipes, _, _ := Recipes(seed, files)
	for i, r := range recipes {
		rng := rand.New(rand.NewPCG(seed, uint64(i)))
		whole := Make(uint64(i), r)
		if whole.packed() || r.is("length", "long") || !r.is("layout", "wide") {
			continue
		}
		before, err := Score(context.Background(), whole)
		if err != nil {
			t.Fatal(err)
		}
		f := spoil(whole, rng)
		v, err := Score(context.Background(), f)
		if err != nil {
			t.Fatalf("file %d (%s): %v", i, r, err)
		}
		if before.Outcome == Right && v.False > mostSpoiled {
			t.Errorf("file %d (%s): one byte makes %d values untrue: %v\n%s", i, r, v.False, v.Faults, difference(whole.Bytes, f.Bytes))
		}
	}
}

// difference shows where two files part.
func difference(a, b []byte) string {
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			from, to := max(0, i-60), i+40
			return fmt.Sprintf("%q\nbecame\n%q", a[from:min(to, len(a))], b[from:min(to, len(b))])
		}
	}
	return "only their lengths differ"
}

// FuzzSpoiledFile reads files of the corpus with a stretch of bytes replaced: no
// panic, no hang, and both accounting laws hold.
func FuzzSpoiledFile(f *testing.F) {
	for i := range uint64(60) {
		f.Add(i, uint(i*37), []byte("\x00\xFF;,\n\"")[:i%7])
	}
	f.Fuzz(func(t *testing.T, n uint64, at uint, with []byte) {
		recipes, _, _ := Recipes(n%64, 1)
		recipes[0].plain("container", "length")
		file := Make(n, recipes[0])
		i := int(at) % len(file.Bytes)
		file.Bytes = append(append(bytes.Clone(file.Bytes[:i]), with...), file.Bytes[min(len(file.Bytes), i+len(with)):]...)
		file.Lines = -1
		v, err := Score(context.Background(), file)
		if err != nil {
			t.Fatal(err)
		}
		if err := v.Reading.Lines.Check(); err != nil {
			t.Error(err)
		}
		if err := v.Reading.Values.Check(); err != nil {
			t.Error(err)
		}
	})
}
