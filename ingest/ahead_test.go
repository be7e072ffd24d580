package ingest

import (
	"context"
	"errors"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"rimelog/ingest/limits"
	"rimelog/ingest/logtest"
	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/local"
	"rimelog/pipeline/register"
	"rimelog/pipeline/store"
	"rimelog/pipeline/table"
)

// logsToReadAhead are files whose lines come in order, do not, and stand in two tables
// with refusals.
func logsToReadAhead() map[string]string {
	early, late := log(logtest.Noon, 60, 0), log(logtest.Noon.AddDate(0, 1, 0), 60, 5)
	_, body, _ := strings.Cut(early, "\n")
	return map[string]string{
		"in order":  early,
		"unordered": late + body,
		"stacked":   early + "\n" + strings.Replace(late, "Suction", "Discharge", 1) + "13:61;x;y\n",
	}
}

// ahead runs the stage on a store, reading every new file while it is hashed.
func (w *workspace) ahead(st store.Store) (pipeline.Tally, error) {
	w.t.Helper()
	ctx := context.Background()
	reg, err := register.Load(ctx, os.DirFS(filepath.Join(w.folder, "register")))
	if err != nil {
		w.t.Fatal(err)
	}
	w.data = dataset.New(st)
	if err := w.data.Recover(ctx); err != nil {
		return pipeline.Tally{}, err
	}
	w.stage = NewStage(w.data, st, reg, limits.Options{})
	w.stage.leastAhead = 0
	return pipeline.Run(ctx, w.stage.Rounds(), local.Runner{Workers: 2}, pipeline.Hooks{})
}

func (w *workspace) dir() store.Store {
	w.t.Helper()
	st, err := store.OpenDir(w.folder)
	if err != nil {
		w.t.Fatal(err)
	}
	return st
}

func (w *workspace) staged() (names []string) {
	w.t.Helper()
	infos, err := w.dir().List(context.Background(), "dataset/staged")
	if err != nil {
		w.t.Fatal(err)
	}
	for _, i := range infos {
		names = append(names, i.Name)
	}
	return names
}

// twoProcessors makes sure that hashing one file leaves one idle.
func twoProcessors(t *testing.T) {
	before := runtime.GOMAXPROCS(max(2, runtime.GOMAXPROCS(0)))
	t.Cleanup(func() { runtime.GOMAXPROCS(before) })
}

// TestWhatIsReadAheadIsWhatTheJobReads compares all bytes of the dataset.
func TestWhatIsReadAheadIsWhatTheJobReads(t *testing.T) {
	twoProcessors(t)
	for name, text := range logsToReadAhead() {
		t.Run(name, func(t *testing.T) {
			plain, w := newWorkspace(t), newWorkspace(t)
			for _, one := range []*workspace{plain, w} {
				one.write("uploads/CR-01/a.csv", text)
			}
			plain.run()
			tally, err := w.ahead(w.dir())
			if err != nil {
				t.Fatal(err)
			}
			w.verify()
			if tally.Done["look"] != 1 || tally.Done["read"] != 1 {
				t.Errorf("jobs done: %v", tally.Done)
			}
			if !maps.Equal(plain.bytes(), w.bytes()) {
				t.Errorf("the bytes differ: %v and %v", slices.Sorted(maps.Keys(plain.bytes())), slices.Sorted(maps.Keys(w.bytes())))
			}
			if left := w.staged(); left != nil {
				t.Errorf("%v wait", left)
			}
		})
	}
}

// TestKilledWhileReadingAhead kills the run at every store call; the next one makes what
// a run makes that nobody kills.
func TestKilledWhileReadingAhead(t *testing.T) {
	twoProcessors(t)
	text := logsToReadAhead()["in order"]
	want := newWorkspace(t)
	want.write("uploads/CR-01/a.csv", text)
	want.run()
	for call := 1; ; call++ {
		w := newWorkspace(t)
		w.write("uploads/CR-01/a.csv", text)
		st := store.NewFaulty(w.dir(), store.Fault{Call: call, Moment: store.Moment(call % 3), Kill: true})
		_, err := w.ahead(st)
		if err == nil && st.Calls() < call {
			return
		}
		if err != nil && !errors.Is(err, store.ErrKilled) {
			t.Fatalf("killed at call %d: %v", call, err)
		}
		if _, err := w.ahead(w.dir()); err != nil {
			t.Fatal(err)
		}
		w.verify()
		if !maps.Equal(want.bytes(), w.bytes()) {
			t.Fatalf("killed at call %d: the bytes differ", call)
		}
	}
}

// TestAFileThatGrowsWhileItIsReadAhead leaves it for the next run.
func TestAFileThatGrowsWhileItIsReadAhead(t *testing.T) {
	twoProcessors(t)
	w := newWorkspace(t)
	w.write("uploads/CR-01/a.csv", log(logtest.Noon, 60, 0))
	st := store.NewFaulty(w.dir(), store.Fault{})
	st.Watch = func(op, name string) {
		if op == "replace" && strings.HasPrefix(name, "dataset/staged/") {
			w.write("uploads/CR-01/a.csv", log(logtest.Noon, 80, 0))
		}
	}
	if _, err := w.ahead(st); err != nil {
		t.Fatal(err)
	}
	if uploads, _ := w.account(); slices.ContainsFunc(uploads, func(u table.Upload) bool { return u.Status == statusRead }) {
		t.Errorf("it was read: %+v", uploads)
	}
	if left := w.staged(); left != nil {
		t.Errorf("%v wait", left)
	}
	if _, err := w.ahead(w.dir()); err != nil {
		t.Fatal(err)
	}
	if n := w.samples("CR-01", "2025-03").Rows(); n != 80 {
		t.Errorf("%d rows after the next run, want 80", n)
	}
}

// TestWhatIsKnownIsNotKeptTwice reads a file under another path and one whose hash was
// forgotten: nothing of them waits afterwards.
func TestWhatIsKnownIsNotKeptTwice(t *testing.T) {
	twoProcessors(t)
	w := newWorkspace(t)
	w.write("uploads/CR-01/a.csv", log(logtest.Noon, 60, 0))
	for _, change := range []func(){
		func() {},
		func() { w.remove(hashCache) },
		func() { w.write("uploads/CR-01/b.csv", log(logtest.Noon, 60, 0)) },
	} {
		change()
		if _, err := w.ahead(w.dir()); err != nil {
			t.Fatal(err)
		}
		w.verify()
		if left := w.staged(); left != nil {
			t.Errorf("%v wait", left)
		}
		if n := w.samples("CR-01", "2025-03").Rows(); n != 60 {
			t.Errorf("%d rows", n)
		}
	}
}
