package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// Every command block of the README runs, in its order and in one folder, and prints
// what the README shows; "..." stands for what it leaves out. Of the targets of make only
// their names are checked here: what `make demo` prints is compared by the long tests.
func TestReadmeCommandsRun(t *testing.T) {
	root, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	scratch := t.TempDir()
	for _, c := range readmeCommands(t, root) {
		folder, command := scratch, c.command
		switch {
		case strings.HasPrefix(command, "make "):
			folder, command, c.shown = root, "make -n "+command[len("make "):], []string{"..."}
		case strings.HasPrefix(command, "go build"):
			folder, command = root, strings.Replace(command, "bin/rimelog", filepath.Join(scratch, "bin", "rimelog"), 1)
		}
		cmd := exec.Command("bash", "-c", command)
		cmd.Dir, cmd.Env = folder, append(os.Environ(), "RIMELOG_SOURCE="+root, "LC_ALL=C.UTF-8")
		var errOut strings.Builder
		cmd.Stderr = &errOut
		out, err := cmd.Output()
		if err != nil {
			t.Fatalf("$ %s\n%v\n%s", c.command, err, errOut.String())
		}
		if !shows(strings.Split(strings.TrimRight(string(out), "\n"), "\n"), c.shown) {
			t.Errorf("$ %s\nprints\n%s\nbut the README shows\n%s", c.command, out, strings.Join(c.shown, "\n"))
		}
	}
}

// A readmeCommand is a command of the README with the output shown below it.
type readmeCommand struct {
	command string
	shown   []string
}

// readmeCommands are the lines that begin with "$ " in blocks marked console, with their
// continuations, which begin with "> ".
func readmeCommands(t *testing.T, root string) (all []readmeCommand) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(root, "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	for _, block := range strings.Split(string(text), "```console\n")[1:] {
		block, _, _ = strings.Cut(block, "```")
		for line := range strings.Lines(block) {
			line = strings.TrimRight(line, "\n")
			if command, ok := strings.CutPrefix(line, "$ "); ok {
				all = append(all, readmeCommand{command: command})
				continue
			}
			last := &all[len(all)-1]
			if more, ok := strings.CutPrefix(line, "> "); ok {
				last.command += "\n" + more
			} else {
				last.shown = append(last.shown, line)
			}
		}
	}
	if len(all) < 10 {
		t.Fatalf("the README has only %d commands", len(all))
	}
	return all
}

// shows tells whether lines are those shown, where a line of "..." stands for any number
// of lines and "..." at the end of a line for the rest of it.
func shows(printed, shown []string) bool {
	if len(shown) == 0 {
		return true
	}
	if shown[0] == "..." {
		for i := range len(printed) + 1 {
			if shows(printed[i:], shown[1:]) || len(shown) == 1 {
				return true
			}
		}
		return false
	}
	if len(printed) == 0 {
		return false
	}
	if start, cut := strings.CutSuffix(shown[0], "..."); shown[0] != printed[0] && !(cut && strings.HasPrefix(printed[0], start)) {
		return false
	}
	return len(shown) > 1 && shows(printed[1:], shown[1:]) || len(shown) == 1 && len(printed) == 1
}
