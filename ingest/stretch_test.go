package ingest

import (
	"encoding/binary"
	"io"
	"testing"
	"time"

	"rimelog/ingest/clock"
	"rimelog/ingest/scan"
)

// TestStretchesAreFound counts how many lines of a steady log are read by column.
func TestStretchesAreFound(t *testing.T) {
	for name, file := range map[string][]byte{
		"comma": slowProcess(20_000, false), "semicolon": slowProcess(20_000, true), "offsets": withOffsets(slowProcess(20_000, false)),
	} {
		src := sourceOf(file)
		s, err := takeSample(src, Options{})
		if err != nil {
			t.Fatal(err)
		}
		p, err := newPlan(s, Answers{Systems: []SystemAnswers{site}}, amendments{}, Options{})
		if err != nil {
			t.Fatal(err)
		}
		pass := newPass(p, src.Size, nowhere{})
		if err := pass.run(io.NewSectionReader(src, 0, src.Size), 1<<20); err != nil {
			t.Fatal(err)
		}
		if n := pass.plain.stretch.read; n < 15_000 {
			t.Errorf("%s: %d lines of 20000 were read by column", name, n)
		}
	}
}

// TestClockTimeReadsEachSecond compares with the standard library over a day, and looks
// at what is no time of day.
func TestClockTimeReadsEachSecond(t *testing.T) {
	for s := range int64(86_400) {
		text := time.Unix(s, 0).UTC().Format(time.TimeOnly)
		if micros, hours, ok := clockTime([]byte(text)); !ok || micros != s*clock.Second || hours != s/3600 {
			t.Fatalf("%s is read as %d, %d, %v", text, micros, hours, ok)
		}
	}
	for _, text := range []string{"24:00:00", "00:60:00", "00:00:60", "99:99:99", "1 :00:00", "00-00:00", "00:00.00", "::::::::", "00:0a:00", "00:00:0/", "\xff0:00:00", "00:00:\x80\x80"} {
		if _, _, ok := clockTime([]byte(text)); ok {
			t.Errorf("%q is read as a time", text)
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
				alike := h.tells(x)&highBits == 0
				want := byte(c) == b[i] || scan.IsDigit(byte(c)) && scan.IsDigit(b[i])
				if alike != want {
					t.Fatalf("%q is of the shape of %q: %v", changed, text, alike)
				}
			}
		}
	}
}
