package ingest

import (
	"math/rand/v2"
	"testing"
)

// What is left out as too short for a date or a time is what the careful way refuses too:
// a law, over drawn cells of the bytes that such cells have.
func TestShortNumbersAreNoStamps(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 7))
	short := 0
	for range 200_000 {
		cell := make([]byte, random.IntN(9))
		for i := range cell {
			cell[i] = "0123456789.,-/ :"[random.IntN(16)]
			if random.IntN(3) > 0 {
				cell[i] = "0123456789"[random.IntN(10)]
			}
		}
		if !shortNumber(cell) {
			continue
		}
		short++
		if s, ok := parseStampFrom(cell, 0); ok {
			t.Fatalf("%q is left out, and holds %+v", cell, s)
		}
	}
	if short < 10_000 {
		t.Errorf("only %d of the cells drawn are short numbers", short)
	}
}
