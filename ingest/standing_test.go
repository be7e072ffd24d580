package ingest

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rimelog/ingest/limits"
	"rimelog/ingest/logtest"
	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/local"
	"rimelog/pipeline/register"
	"rimelog/pipeline/store"
)

// partOf is the one part below the dataset of an upload.
func (w *workspace) partOf(path string) string {
	w.t.Helper()
	g, err := w.data.Newest(context.Background(), dataset.SystemUnit("CR-01"))
	if err != nil {
		w.t.Fatal(err)
	}
	for _, p := range g.Parts {
		if p.Path == path {
			parts, _ := filepath.Glob(filepath.Join(w.folder, "dataset", "parts", p.Upload[:32]+"*.parquet"))
			if len(parts) != 1 {
				w.t.Fatalf("%s has %d parts", path, len(parts))
			}
			return parts[0]
		}
	}
	w.t.Fatalf("no generation rests on %s", path)
	return ""
}

// A part that went is not asked for night by night; verify misses it, and its repair and the
// run after it bring it back.
func TestAPartThatWentIsFoundByVerify(t *testing.T) {
	w := newWorkspace(t)
	w.write("uploads/CR-01/a.csv", log(logtest.Noon, 60, 0))
	w.write("uploads/CR-01/b.csv", log(logtest.Noon.AddDate(0, 1, 0), 60, 0))
	w.run()
	before := w.bytes()
	ctx := context.Background()
	part := w.partOf("CR-01/a.csv")
	if err := os.Remove(part); err != nil {
		t.Fatal(err)
	}
	for _, repair := range []bool{false, true} {
		v, err := w.data.Verify(ctx, repair)
		if err != nil || len(v.Problems) != 1 || !strings.HasSuffix(part, filepath.FromSlash(v.Problems[0].File)) {
			t.Fatalf("verify: %v, %+v", err, v.Problems)
		}
		if told := strings.Contains(v.Problems[0].Remedy, "verify -repair"); told == repair {
			t.Errorf("repair %v: remedy %q", repair, v.Problems[0].Remedy)
		}
	}
	if tally := w.run(); tally.Done["read"] != 1 || tally.Done["join"] != 0 {
		t.Errorf("after the repair: %v", tally.Done)
	}
	if !equalMaps(before, w.bytes()) {
		t.Error("what came back has other bytes")
	}
}

// Who joins a month whose part went reads its upload again.
func TestAPartThatWentIsReadAgainWhereItIsNeeded(t *testing.T) {
	straight := newWorkspace(t)
	w := newWorkspace(t)
	for _, w := range []*workspace{straight, w} {
		w.write("uploads/CR-01/a.csv", log(logtest.Noon, 60, 0))
		w.run()
		w.write("uploads/CR-01/b.csv", log(logtest.Noon.AddDate(0, 0, 1), 60, 0))
	}
	if err := os.Remove(w.partOf("CR-01/a.csv")); err != nil {
		t.Fatal(err)
	}
	w.run()
	straight.run()
	if !equalMaps(straight.bytes(), w.bytes()) {
		t.Error("a month joined without one of its parts has other bytes")
	}
}

// Uploads that stand are withdrawn by the night after they were forgotten.
func TestAnUploadThatStandsIsForgotten(t *testing.T) {
	w := newWorkspace(t)
	w.write("uploads/CR-01/a.csv", log(logtest.Noon, 60, 0))
	w.run()
	w.run()
	if _, err := w.stage.Forget(context.Background(), "CR-01/a.csv"); err != nil {
		t.Fatal(err)
	}
	w.run()
	if n := w.samples("CR-01", "2025-03").Rows(); n != 0 {
		t.Errorf("%d rows of a withdrawn upload", n)
	}
}

// A file that lies at two paths is read under the answers of both; once it lies at one, under
// that one's alone.
func TestACopyThatVanishesTakesItsClaimAlong(t *testing.T) {
	w, straight := newWorkspace(t), newWorkspace(t)
	w.write("uploads/CR-01/a.csv", log(logtest.Noon, 60, 0))
	w.write("uploads/CR-02/a.csv", log(logtest.Noon, 60, 0))
	w.run()
	w.remove("uploads/CR-02/a.csv")
	if tally := w.run(); tally.Done["read"] != 1 {
		t.Errorf("after the copy vanished: %v", tally.Done)
	}
	straight.write("uploads/CR-01/a.csv", log(logtest.Noon, 60, 0))
	straight.run()
	for name, text := range straight.bytes() {
		if w.bytes()[name] != text {
			t.Errorf("%s has other bytes than where no copy ever lay", name)
		}
	}
}

// A register that was edited, and set back after a run on it was cut off, is read as it is:
// some generations were committed on the edited one.
func TestABasisThatComesBackIsNotTrusted(t *testing.T) {
	w := newWorkspace(t)
	w.write("uploads/CR-01/a.csv", log(logtest.Noon, 60, 0))
	w.write("uploads/CR-02/a.csv", log(logtest.Noon, 30, 0))
	w.run()
	before := w.bytes()
	w.write("register/systems.csv", strings.ReplaceAll(systemsCSV, "Europe/Berlin", "Europe/Lisbon"))
	w.runUntilCommitted()
	w.write("register/systems.csv", systemsCSV)
	w.run()
	for name, text := range before {
		if w.bytes()[name] != text {
			t.Errorf("%s has other bytes than before the edit", name)
		}
	}
}

// runUntilCommitted is a run that is cut off behind the commit of the first system.
func (w *workspace) runUntilCommitted() {
	w.t.Helper()
	ctx := context.Background()
	dir, err := store.OpenDir(w.folder)
	if err != nil {
		w.t.Fatal(err)
	}
	reg, err := register.Load(ctx, os.DirFS(filepath.Join(w.folder, "register")))
	if err != nil {
		w.t.Fatal(err)
	}
	cut := cutStore{dir}
	_, err = pipeline.Run(ctx, NewStage(dataset.New(cut), cut, reg, limits.Options{}).Rounds(), local.Runner{Workers: 1}, pipeline.Hooks{})
	if err == nil {
		w.t.Fatal("nothing was cut off")
	}
}

// A cutStore fails where the second system is committed.
type cutStore struct{ *store.Dir }

func (c cutStore) PutIfAbsent(ctx context.Context, name string, write func(io.Writer) error) error {
	if strings.HasPrefix(name, "dataset/ledger/systems/CR-02/") {
		return os.ErrPermission
	}
	return c.Dir.PutIfAbsent(ctx, name, write)
}
