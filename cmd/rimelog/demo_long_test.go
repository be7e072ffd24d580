//go:build long

package main

import (
	"bytes"
	"path/filepath"
	"testing"
)

// A demoRun is the demo fleet's workspace after a run, and what the run printed.
type demoRun struct{ workspace, printed string }

// TestOverTheDemoFleet makes the demo once for all that only look at it.
func TestOverTheDemoFleet(t *testing.T) {
	d := demoRun{workspace: filepath.Join(t.TempDir(), "demo")}
	var out, errOut bytes.Buffer
	if code := run(t.Context(), []string{"demo", "-workspace", d.workspace}, &out, &errOut); code != exitDone {
		t.Fatalf("exit code %d: %s", code, errOut.String())
	}
	d.printed = out.String()
	t.Run("the README shows what it prints", d.readmeShowsTheDemo)
	t.Run("other readers open the dataset", d.otherReadersOpenTheDataset)
}
