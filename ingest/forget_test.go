package ingest

import (
	"context"
	"errors"
	"testing"

	"rimelog/ingest/logtest"
)

func TestAForgottenUploadLeavesTheDataset(t *testing.T) {
	w := newWorkspace(t)
	w.write("uploads/CR-01/a.csv", log(logtest.Noon, 60, 0))
	w.write("uploads/CR-01/b.csv", log(logtest.Noon.AddDate(0, 0, 1), 20, 0))
	w.write("uploads/CR-01/c.csv", log(logtest.Noon.AddDate(0, 0, 2), 5, 0))
	w.run()
	w.remove("uploads/CR-01/c.csv")
	w.run()
	ctx := context.Background()
	for _, path := range []string{"CR-01/a.csv", "CR-01/c.csv"} { // one that is there, one that is archived
		if _, err := w.stage.Forget(ctx, path); err != nil {
			t.Fatal(err)
		}
	}
	w.run()
	if n := w.samples("CR-01", "2025-03").Rows(); n != 20 {
		t.Errorf("%d rows, want the 20 of the file that is left", n)
	}
	uploads, problems := w.account()
	states := map[string]int{}
	for _, u := range uploads {
		states[u.Status]++
	}
	if states["withdrawn"] != 2 || states["read"] != 1 || len(problems) != 0 {
		t.Errorf("%v, %+v", states, problems)
	}
	if again := w.run(); len(again.Done) != 0 {
		t.Errorf("a rerun did %v", again.Done)
	}
	var unknown *UnknownUploadError
	if _, err := w.stage.Forget(ctx, "CR-01/nothing.csv"); !errors.As(err, &unknown) {
		t.Errorf("error %v", err)
	}
}
