//go:build long

package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// python is the interpreter with the packages of notebooks/requirements.txt.
func python(t *testing.T) string {
	t.Helper()
	path, err := filepath.Abs("../../.cache/python/bin/python")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(path); err != nil {
		t.Fatalf("%v: `make python` sets it up", err)
	}
	return path
}

// Other programs open the dataset by the lines that `rimelog tables` prints, and see
// the same rows with the right types.
func (d demoRun) otherReadersOpenTheDataset(t *testing.T) {
	scratch := t.TempDir()
	text := filepath.Join(scratch, "tables.txt")
	if err := os.WriteFile(text, printedBy(t, "tables"), 0o644); err != nil {
		t.Fatal(err)
	}
	printedBy(t, "export", "-workspace", d.workspace, "-format", "xlsx", "-out", scratch)
	out, err := exec.Command(python(t), "testdata/readers.py", d.workspace, text, filepath.Join(scratch, "tables.xlsx")).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	t.Logf("%s", out)
}

func printedBy(t *testing.T, args ...string) []byte {
	t.Helper()
	var out, errOut bytes.Buffer
	if code := run(t.Context(), args, &out, &errOut); code != exitDone {
		t.Fatalf("rimelog %v ended with %d: %s", args, code, errOut.String())
	}
	return out.Bytes()
}
