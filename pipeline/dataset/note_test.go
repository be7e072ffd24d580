package dataset

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/parquet-go/parquet-go"
)

// Notes are found again whatever their length, staged, published, and described from the
// staged bytes alone; the footer, which every reader of rows goes through, holds none that are
// very long together, and the ledger no long one.
func TestNotesOfAnyLength(t *testing.T) {
	for _, tc := range []struct {
		name                    string
		length, ledger, atFront int // of each note; how many stand in the ledger and in the footer
	}{
		{"short", longNote - 1, 3, 3},
		{"long", longNote, 0, 3},
		{"long together", longTogether/3 - 1, 0, 3},
		{"very long together", longTogether/3 + 1, 0, 0},
	} {
		t.Run(tc.name, func(t *testing.T) {
			d, st, folder := workspace(t)
			all := map[string]string{}
			for i, key := range []string{"rimelog.a", "rimelog.b", "rimelog.c"} {
				all[key] = strings.Repeat(string(rune('x'+i)), tc.length)
			}
			fp, path := fpOf(tc.name), pathOf("S-1", 3)
			f, err := d.StageFrame(ctxb, fp, join, path, month(t, 3, 10, 1), all)
			if err != nil {
				t.Fatal(err)
			}
			if again, ok, err := New(st).Staged(ctxb, fp, join, path); err != nil || !ok || !again.same(f) {
				t.Errorf("described from its bytes it is %+v, not %+v: %v", again, f, err)
			}
			if len(f.Notes) != tc.ledger || len(f.Notes)+len(f.Long) != len(all) {
				t.Errorf("the ledger gets %d notes, and %d names", len(f.Notes), len(f.Long))
			}
			for name, want := range all {
				if got, _, err := New(st).Note(ctxb, f, name); got != want || err != nil {
					t.Errorf("staged, %s: %d bytes, %v", name, len(got), err)
				}
			}
			g, err := d.Conclude(ctxb, Generation{Unit: SystemUnit("S-1"), Files: []File{f}})
			if err != nil {
				t.Fatal(err)
			}
			for name, want := range all {
				if got, ok, err := d.Note(ctxb, g.Files[0], name); got != want || !ok || err != nil {
					t.Errorf("%s: %d bytes, %t, %v", name, len(got), ok, err)
				}
			}
			text, err := os.ReadFile(filepath.Join(folder, "dataset", path))
			if err != nil {
				t.Fatal(err)
			}
			file, err := parquet.OpenFile(bytes.NewReader(text), int64(len(text)))
			if err != nil {
				t.Fatal(err)
			}
			front := 0
			for name := range all {
				if _, ok := file.Lookup(name); ok {
					front++
				}
			}
			if front != tc.atFront {
				t.Errorf("%d notes stand in the footer, want %d", front, tc.atFront)
			}
			if v, err := New(st).Verify(ctxb, false); err != nil || !v.OK() {
				t.Errorf("verify: %+v, %v", v.Problems, err)
			}
		})
	}
}
