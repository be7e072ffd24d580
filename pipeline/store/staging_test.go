package store

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"syscall"
	"testing"
)

// beside opens the folder of a store as another process does.
func beside(t testing.TB, d *Dir) *Dir {
	t.Helper()
	other, err := OpenDir(d.root)
	if err != nil {
		t.Fatal(err)
	}
	return other
}

func stageAll(t testing.TB, d *Dir, names ...string) error {
	t.Helper()
	var err error
	for _, name := range names {
		stage := d.Stage
		if strings.HasPrefix(name, "record") {
			stage = d.StageRecord
		}
		err = errors.Join(err, stage(t.Context(), name, Bytes([]byte(name))))
	}
	return err
}

// What is staged is the process's own until it is settled, then everybody's.
func TestStagedIsOursUntilSettled(t *testing.T) {
	d := openDir(t)
	if err := stageAll(t, d, "n/a", "records/a"); err != nil {
		t.Fatal(err)
	}
	if err := stageAll(t, d, "n/a"); !errors.Is(err, ErrExists) {
		t.Errorf("staged twice: %v", err)
	}
	if b, err := ReadAll(t.Context(), d, "n/a"); err != nil || string(b) != "n/a" {
		t.Errorf("read %q, %v", b, err)
	}
	if info, err := d.Stat(t.Context(), "n/a"); err != nil || info.Size != 3 {
		t.Errorf("stat %+v, %v", info, err)
	}
	if _, err := beside(t, d).Stat(t.Context(), "n/a"); !errors.Is(err, fs.ErrNotExist) || names(t, d, "n") != nil {
		t.Errorf("another sees it: %v", err)
	}
	if err := d.Settle(t.Context()); err != nil {
		t.Fatal(err)
	}
	if b, err := ReadAll(t.Context(), beside(t, d), "n/a"); err != nil || string(b) != "n/a" || temps(t, d) != nil {
		t.Errorf("settled: %q, %v, left %v", b, err, temps(t, d))
	}
}

// Other calls on what waits find it there.
func TestCallsOnWhatWaits(t *testing.T) {
	d := openDir(t)
	if err := stageAll(t, d, "n/a", "n/b"); err != nil {
		t.Fatal(err)
	}
	if err := d.PutIfAbsent(t.Context(), "n/a", Bytes(nil)); !errors.Is(err, ErrExists) {
		t.Errorf("put: %v", err)
	}
	if err := d.Move(t.Context(), "n/a", "n/c"); err != nil {
		t.Error(err)
	}
	if err := stageAll(t, d, "n/d"); err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(d.Remove(t.Context(), "n/d"), d.Settle(t.Context())); err != nil {
		t.Error(err)
	}
	if got := names(t, d, "n"); !slices.Equal(got, []string{"n/b", "n/c"}) {
		t.Errorf("holds %v", got)
	}
}

// Bytes are durable before any name, and results with their names before their records.
func TestSettleKeepsTheOrder(t *testing.T) {
	d := openDir(t)
	var steps []string
	d.fault = func(step string) error {
		steps = append(steps, step)
		return nil
	}
	if err := errors.Join(stageAll(t, d, "n/a", "records/a", "n/b"), d.Settle(t.Context())); err != nil {
		t.Fatal(err)
	}
	got := strings.Join(steps, ", ")
	want := "mkdir, create, write, mkdir, create, write, create, write, sync, sync, sync, " +
		"name, name, sync folder, sync folder, name, sync folder" // the root and n; records
	if got != want {
		t.Errorf("steps\n%s, want\n%s", got, want)
	}
	steps = nil
	if err := d.Settle(t.Context()); err != nil || steps != nil {
		t.Errorf("settled again: %v, %v", steps, err)
	}
}

// Whichever step fails, no record is there without what it speaks of, also of what is staged
// after the failure.
func TestNoRecordWithoutItsResult(t *testing.T) {
	for n := 1; ; n++ {
		d, steps := openDir(t), 0
		d.staging.most = 3
		d.fault = func(step string) error {
			if steps++; steps == n {
				return fmt.Errorf("%s: %w", step, syscall.ENOSPC)
			}
			return nil
		}
		var err error
		before := errors.New("no job before")
		for i := range 6 { // more than may wait: some are named on the way
			result := stageAll(t, d, fmt.Sprint("n/", i))
			err = errors.Join(err, result)
			if before == nil { // a job goes on beside the one that failed
				err = errors.Join(err, stageAll(t, d, fmt.Sprint("records/", i-1)))
			}
			before = result
		}
		err = errors.Join(err, d.Settle(t.Context()))
		if steps < n {
			if err != nil {
				t.Fatalf("without a fault: %v", err)
			}
			return
		}
		if !errors.Is(err, syscall.ENOSPC) {
			t.Fatalf("step %d: %v", n, err)
		}
		speaksOfWhatIsThere(t, d, n)
	}
}

func speaksOfWhatIsThere(t *testing.T, d *Dir, step int) {
	t.Helper()
	there := names(t, d, "n")
	for _, record := range names(t, d, "records") {
		if !slices.Contains(there, strings.Replace(record, "records", "n", 1)) {
			t.Fatalf("step %d: %s is there without its result", step, record)
		}
	}
	if left := temps(t, d); left != nil {
		t.Fatalf("step %d: left %v", step, left)
	}
}

// Few enough wait that a killed process loses little.
func TestManyAreNamedOnTheWay(t *testing.T) {
	d := openDir(t)
	for i := range mostWaiting + 1 {
		if err := stageAll(t, d, fmt.Sprint("n/", i)); err != nil {
			t.Fatal(err)
		}
	}
	if err := d.Stage(t.Context(), "large", Bytes(make([]byte, mostWaitingBytes))); err != nil {
		t.Fatal(err)
	}
	d.staging.await()
	if got := len(names(t, d, "n")); got != mostWaiting+1 || temps(t, d) != nil {
		t.Errorf("%d names, left %v", got, temps(t, d))
	}
}

// Of two who stage the same, both go on; of two who stage something else, one.
func TestTwoStageOneName(t *testing.T) {
	for _, same := range []bool{true, false} {
		d := openDir(t)
		other := beside(t, d)
		theirs := "n/a"
		if !same {
			theirs = "else"
		}
		if err := errors.Join(stageAll(t, d, "n/a"), other.Stage(t.Context(), "n/a", Bytes([]byte(theirs)))); err != nil {
			t.Fatal(err)
		}
		if err := other.Settle(t.Context()); err != nil {
			t.Fatal(err)
		}
		err := d.Settle(t.Context())
		if same && err != nil || !same && !errors.Is(err, ErrExists) {
			t.Errorf("same %v: %v", same, err)
		}
		if b, err := ReadAll(t.Context(), d, "n/a"); err != nil || string(b) != theirs || temps(t, d) != nil {
			t.Errorf("same %v: %q, %v, left %v", same, b, err, temps(t, d))
		}
	}
}

// A killed process loses what it did not settle, and leaves what is swept.
func TestKilledWhileStaging(t *testing.T) {
	d := openDir(t)
	f := NewFaulty(d, Fault{Call: 2, Moment: Before, Kill: true})
	if err := f.Stage(t.Context(), "n/a", Bytes([]byte("bytes"))); err != nil {
		t.Fatal(err)
	}
	if err := f.Settle(t.Context()); !errors.Is(err, ErrKilled) {
		t.Fatal(err)
	}
	if _, err := d.Stat(t.Context(), "n/a"); !errors.Is(err, fs.ErrNotExist) || len(temps(t, d)) != 1 {
		t.Errorf("after the kill: %v, %v", err, temps(t, d))
	}
	if err := d.Sweep(t.Context(), "n"); err != nil || temps(t, d) != nil {
		t.Errorf("swept: %v, %v", err, temps(t, d))
	}
}
