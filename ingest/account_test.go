package ingest

import "testing"

func TestLinesAreCountedInWords(t *testing.T) {
	for n, want := range map[int64]string{1: "1 line not taken", 2: "2 lines not taken", 12: "12 lines not taken"} {
		if got := notTaken(n); got != want {
			t.Errorf("%d: %q, want %q", n, got, want)
		}
	}
}
