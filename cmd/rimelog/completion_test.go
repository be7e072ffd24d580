package main

import (
	"os/exec"
	"strings"
	"testing"
)

// bash itself completes what a user has typed so far.
func TestBashCompletes(t *testing.T) {
	for _, c := range []struct{ typed, want string }{
		{"exp", "explain export"},
		{"verify -rep", "-repair"},
		{"help opt", "options"},
		{"completion f", "fish"},
	} {
		words := append([]string{"rimelog"}, strings.Split(c.typed, " ")...)
		script := bashCompletion() + "\nCOMP_WORDS=(\"$@\"); COMP_CWORD=$(($# - 1)); _rimelog; echo ${COMPREPLY[@]}"
		out, err := exec.Command("bash", append([]string{"-c", script, "bash"}, words...)...).CombinedOutput()
		if got := strings.TrimSpace(string(out)); err != nil || got != c.want {
			t.Errorf("after %q bash offers %q, %v; want %q", c.typed, got, err, c.want)
		}
	}
}

// Every command's help has an example or tells its operands, and every flag says what it
// does.
func TestHelpTeaches(t *testing.T) {
	for _, c := range commands() {
		if len(c.long) < 40 || c.short == "" {
			t.Errorf("%s: %q teaches nothing", c.name, c.long)
		}
		for _, f := range c.flags() {
			if len(f.Usage) < 8 {
				t.Errorf("%s -%s: %q says nothing", c.name, f.Name, f.Usage)
			}
		}
	}
}
