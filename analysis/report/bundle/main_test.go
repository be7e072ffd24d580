package main

import (
	"bytes"
	"compress/gzip"
	"io"
	"strings"
	"testing"
)

// HTML Living Standard, 4.12.1.3, says what a script inside a page may not hold.
func TestCheck(t *testing.T) {
	for _, c := range []struct{ script, want string }{
		{"let a = 1", ""},
		{"let a = '</SCRIPT>'", "could not stand inside a page"},
		{"a<!--b", "could not stand inside a page"},
		{strings.Repeat("a", maxBytes+1), "the budget is"},
	} {
		err := check([]byte(c.script))
		if (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%.20s: %v, want %q", c.script, err, c.want)
		}
	}
}

func TestCompressIsTheSameEachTime(t *testing.T) {
	text := []byte(strings.Repeat("let a = 1;", 1000))
	a, err := compress(text)
	b, err2 := compress(text)
	if err != nil || err2 != nil || !bytes.Equal(a, b) {
		t.Fatalf("compressed twice, it has two forms (%v, %v)", err, err2)
	}
	r, err := gzip.NewReader(bytes.NewReader(a))
	if err != nil {
		t.Fatal(err)
	}
	if back, err := io.ReadAll(r); err != nil || !bytes.Equal(back, text) {
		t.Errorf("it does not come back (%v)", err)
	}
}
