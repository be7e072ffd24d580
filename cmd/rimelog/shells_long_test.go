//go:build long

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// The other shells take their scripts, and fish completes with its own; mandoc finds
// no error in the manual.
func TestShellsAndManualReaders(t *testing.T) {
	folder := t.TempDir()
	for name, text := range map[string]string{"z": zshCompletion(), "f": fishCompletion(), "rimelog.1": manPage()} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		command []string
		want    string
	}{
		{[]string{"zsh", "-fc", "autoload -U compinit; compinit -D; source ./z; whence -w _rimelog"}, "_rimelog: function"},
		{[]string{"fish", "-c", `source f; complete -C "rimelog export -cu"`}, "-customer"},
		{[]string{"fish", "-c", `source f; complete -C "rimelog exp"`}, "export"},
		{[]string{"mandoc", "-T", "lint", "-W", "error", "rimelog.1"}, ""},
	} {
		cmd := exec.Command(c.command[0], c.command[1:]...)
		cmd.Dir = folder
		out, err := cmd.CombinedOutput()
		if err != nil || !strings.Contains(string(out), c.want) {
			t.Errorf("%v: %v, want %q (`make tools` installs what is missing)\n%s", c.command, err, c.want, out)
		}
	}
}

// The service manager itself reads the units, with the program and the user it finds here.
func TestServiceManagerTakesTheUnits(t *testing.T) {
	folder := t.TempDir()
	for _, name := range []string{"rimelog.service", "rimelog.timer"} {
		b, err := kit.ReadFile("kit/" + name)
		if err != nil {
			t.Fatal(err)
		}
		text := strings.NewReplacer("/usr/local/bin/rimelog", "/bin/true", "User=rimelog", "User=root", "man:rimelog(1)", "man:true(1)").Replace(string(b))
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	cmd := exec.Command("systemd-analyze", "verify", "--man=no", filepath.Join(folder, "rimelog.service"), filepath.Join(folder, "rimelog.timer"))
	out, err := cmd.CombinedOutput()
	if err != nil || strings.Contains(string(out), folder) {
		t.Errorf("%v (`make tools` installs systemd-analyze)\n%s", err, out)
	}
}
