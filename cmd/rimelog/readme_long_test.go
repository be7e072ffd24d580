//go:build long

package main

import (
	"os"
	"strings"
	"testing"
)

// The README shows what `make demo` prints: its lines come in that order, with
// "..." where some are left out.
func (d demoRun) readmeShowsTheDemo(t *testing.T) {
	out := strings.ReplaceAll(d.printed, d.workspace, "demo")
	printed := out
	for _, line := range demoBlock(t) {
		if line == "..." {
			continue
		}
		_, rest, found := strings.Cut(printed, line+"\n")
		if !found {
			t.Fatalf("the demo does not print, at its place:\n%s\nbut:\n%s", line, out)
		}
		printed = rest
	}
}

// demoBlock is the output below "$ make demo" in the README, without the command
// that make echoes.
func demoBlock(t *testing.T) []string {
	t.Helper()
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, block, ok := strings.Cut(string(readme), "$ make demo\n")
	block, _, end := strings.Cut(block, "\n```")
	if !ok || !end {
		t.Fatal("the README has no block that begins with $ make demo")
	}
	return strings.Split(block, "\n")[1:]
}
