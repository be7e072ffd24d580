package ingest

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"rimelog/ingest/logtest"
	"rimelog/pipeline"
)

// golden holds the start of the SHA-256 of what each step makes of the same small
// workspace. When a hash changes, the step makes other bytes: raise its version and
// write the new hash beside it.
var golden = map[string]string{
	"look/10": "17ebc1e3dc77012b",
	"read/15": "58c2685a23c09e21",
	"join/3":  "a6022cbe0a164788",
}

func TestStepsMakeTheBytesOfTheirVersion(t *testing.T) {
	w := newWorkspace(t)
	w.write("register/systems.csv", "system;zone;altitude_m\nCR-01;UTC;0\nCR-02;UTC;540\n") // other zones' rules depend on the machine
	w.write("uploads/CR-01/a.csv", log(logtest.Noon, 60, 0))
	w.write("uploads/CR-01/b.csv", log(logtest.Noon.AddDate(0, 0, 1), 40, 3)+"Mean;1;2;3\n")
	w.write("uploads/CR-02/long.csv", logtest.LongFile(30, ","))
	w.write("uploads/CR-02/bench.txt", strings.Replace(logtest.BenchLog(30, "%+03d"), " BST", "", 1))
	w.write("uploads/inbox/x.csv", "Time;Power\n2025-03-04 12:00:00;1\n")
	w.run()
	look, read, join := versioned(StepLook), versioned(StepRead), versioned(StepJoin)
	made := map[string]*strings.Builder{look: {}, read: {}, join: {}}
	for _, name := range w.names() {
		text, err := os.ReadFile(filepath.Join(w.folder, "dataset", name))
		if err != nil {
			t.Fatal(err)
		}
		step := join
		switch {
		case strings.HasSuffix(name, "facts.json"):
			step = look
		case strings.HasPrefix(name, "ledger/uploads/"), strings.HasPrefix(name, "parts/"):
			step = read
		case strings.HasPrefix(name, "ledger/"):
			continue
		}
		made[step].WriteString(name + "\n" + string(text))
	}
	for step, b := range made {
		sum := sha256.Sum256([]byte(b.String()))
		if got := hex.EncodeToString(sum[:8]); got != golden[step] {
			t.Errorf("%s makes other bytes: hash %s, was %s; raise the step's version", step, got, golden[step])
		}
	}
}

func versioned(s pipeline.Step) string { return fmt.Sprintf("%s/%d", s.Name, s.Version) }

// names lists the files of the dataset, sorted.
func (w *workspace) names() []string {
	var names []string
	root := filepath.Join(w.folder, "dataset")
	err := filepath.WalkDir(root, func(path string, d os.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			names = append(names, filepath.ToSlash(strings.TrimPrefix(path, root+string(filepath.Separator))))
		}
		return err
	})
	if err != nil {
		w.t.Fatal(err)
	}
	sort.Strings(names)
	return names
}
