// Package readtest reads files for tests, and holds every reading to both accounting laws: each
// line, and each value, is counted once and only once.
package readtest

import (
	"context"
	"testing"

	"rimelog/ingest/answers"
	"rimelog/ingest/limits"
	"rimelog/ingest/pass"
	"rimelog/ingest/raw"
	"rimelog/ingest/read"
)

// File reads a file under what the user said, and fails the test where a law does not hold.
func File(t *testing.T, src raw.Source, a answers.Answers) pass.Reading {
	t.Helper()
	r, err := read.File(context.Background(), src, "test", a, limits.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := r.Lines.Check(); err != nil {
		t.Error(err)
	}
	if err := r.Values.Check(); err != nil {
		t.Error(err)
	}
	return r
}
