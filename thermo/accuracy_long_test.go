//go:build long

package thermo_test

import (
	"path/filepath"
	"strings"
	"testing"
)

// TestReferenceFastAll builds the fast path of every refrigerant and compares it
// with its file in testdata/reference.
func TestReferenceFastAll(t *testing.T) {
	files, err := filepath.Glob("../testdata/reference/*.csv")
	if err != nil || len(files) < 190 {
		t.Fatalf("%d reference files, %v; want about 194", len(files), err)
	}
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".csv")
		t.Run(name, func(t *testing.T) { fastCheck(t, name) })
	}
}
