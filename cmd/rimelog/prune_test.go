package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rimelog/pipeline/store"
)

// A pruned dataset is whole, reads the same, and a rerun finds nothing to do.
func TestPruneRemovesOnlyWhatNothingNeeds(t *testing.T) {
	folder := newFleet(t, allUploads()...)
	mustRun(t, folder)
	reread(t, folder)
	stray := filepath.Join(folder, "dataset", "staged", strings.Repeat("0", 32)+".parquet")
	put(t, folder, map[string]string{"dataset/staged/" + filepath.Base(stray): "left by a killed run"})
	want := tables(t, folder)

	ws := opened(t, folder)
	would, err := ws.data.Prune(t.Context(), 2, true)
	if err != nil || would.Staged != 1 {
		t.Fatalf("would remove %+v, %v; want the one staged result", would, err)
	}
	did, err := ws.data.Prune(t.Context(), 2, false)
	if err != nil || did != would || did.Parts == 0 || did.Generations == 0 {
		t.Fatalf("removed %+v, %v; would have %+v: want parts of old readings and old generations too", did, err, would)
	}
	if _, err := os.Stat(stray); err == nil {
		t.Error("the killed run's result is still there")
	}
	sameResults(t, "pruned", tables(t, folder), want)
	verified(t, "pruned", folder)
	if tally := mustRun(t, folder); len(tally.Done) > 0 {
		t.Errorf("a run after it does %v", tally.Done)
	}
	if again, err := ws.data.Prune(t.Context(), 2, false); err != nil || again.Staged+again.Parts+again.Generations > 0 {
		t.Errorf("a second prune removes %+v, %v", again, err)
	}
}

// reread corrects a system's clock three times, so that it has generations and parts
// that nothing needs any more.
func reread(t *testing.T, folder string) {
	t.Helper()
	for _, zone := range []string{"Europe/London", "UTC", "Europe/Lisbon"} {
		put(t, folder, map[string]string{"register/systems.csv": "system;site;refrigerant;zone\nCold-1;Kiosk;R134a;" + zone + "\nCold-2;Kiosk;R290;Europe/Berlin\n"})
		mustRun(t, folder)
	}
}

// tables hashes what readers of tables and pages see.
func tables(t *testing.T, folder string) map[string]string {
	t.Helper()
	return hashes(t, folder, func(name string) bool {
		return strings.HasPrefix(name, "dataset/") && !strings.HasPrefix(name, "dataset/ledger/") && !strings.HasPrefix(name, "dataset/parts/") &&
			!strings.HasPrefix(name, "dataset/staged/") || strings.HasPrefix(name, "report/")
	})
}

// A prune that is killed at any call leaves a dataset that is whole.
func TestKilledPruneIsRunAgain(t *testing.T) {
	made := newFleet(t, allUploads()[:4]...)
	mustRun(t, made)
	reread(t, made)
	for call := 1; ; call += 11 {
		folder := filepath.Join(t.TempDir(), "copy")
		if err := os.CopyFS(folder, os.DirFS(made)); err != nil {
			t.Fatal(err)
		}
		dir, err := store.OpenDir(folder)
		if err != nil {
			t.Fatal(err)
		}
		ws, err := openStore(t.Context(), folder, store.NewFaulty(dir, store.Fault{Call: call, Moment: store.After, Kill: true}))
		if err != nil {
			t.Fatal(err)
		}
		_, err = ws.data.Prune(t.Context(), 2, false)
		verified(t, "killed prune", folder)
		if err == nil {
			return
		}
	}
}
