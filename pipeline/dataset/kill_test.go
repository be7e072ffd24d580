package dataset

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"

	"rimelog/pipeline"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/store"
	"rimelog/pipeline/table"
)

// These tests are the laws of the dataset on a small fleet, over nights on which
// months arrive, change and stay as they are.

// A fleetNight is what a run finds: for each system and month, the value that
// the uploads say.
type fleetNight map[string]map[int]int32

// nights are one system's two; long tests take the three of two systems.
var (
	nights = []fleetNight{
		{"a": {3: 10}},
		{"a": {3: 20, 4: 10}}, // March changes, April arrives
	}
	longNights = []fleetNight{
		{"a": {3: 10, 4: 10}, "b": {3: 10}},
		{"a": {3: 10, 4: 20}, "b": {3: 10}},               // April changes
		{"a": {3: 10, 4: 20, 5: 30}, "b": {3: 30, 4: 30}}, // May arrives; b is read anew
	}
)

// run does one night as commands do, which settle whatever failed.
func (n fleetNight) run(ctx context.Context, t testing.TB, d *Dataset) error {
	err := n.stages(ctx, t, d)
	return errors.Join(err, d.Settle(ctx))
}

// stages does one night as the stages do: recover, read, join what changed,
// commit and publish each system, then the fleet and the report.
func (n fleetNight) stages(ctx context.Context, t testing.TB, d *Dataset) error {
	if err := d.Recover(ctx); err != nil {
		return err
	}
	var uploads []table.Upload
	for _, system := range slices.Sorted(maps.Keys(n)) {
		e, err := n.read(ctx, t, d, system)
		if err != nil {
			return err
		}
		u := table.Upload{Upload: e.Upload, Reading: e.Reading, Systems: system}
		SetAccounts(&u, e.Lines, e.Values)
		uploads = append(uploads, u)
		if err := n.join(ctx, t, d, system, e); err != nil {
			return err
		}
	}
	f, err := frame.FromRows(table.Uploads(), uploads)
	if err != nil {
		return err
	}
	fp := fpOf(fmt.Sprint("uploads", n))
	if err := stageOne(ctx, d, FleetUnit, join, table.Uploads().Path("", ""), fp, func(path string) (File, error) {
		return d.StageFrame(ctx, fp, join, path, f, nil)
	}); err != nil {
		return err
	}
	return stageOne(ctx, d, ReportUnit, page, "index.html", fp, func(path string) (File, error) {
		return d.StageBytes(ctx, fp, page, path, []byte(fmt.Sprint(n)))
	})
}

// read is the look and read steps of the one upload of a system.
func (n fleetNight) read(ctx context.Context, t testing.TB, d *Dataset, system string) (Entry, error) {
	upload, reading := string(fpOf("upload "+system)), string(fpOf(fmt.Sprint("reading", system, n[system])))
	if err := d.PutFacts(ctx, upload, join, map[string]string{"delimiter": ";"}); err != nil {
		return Entry{}, err
	}
	if done, err := d.ReadingDone(ctx, "S", upload, reading); err != nil || done {
		e, _, err2 := d.Entry(ctx, upload, reading)
		return e, errors.Join(err, err2)
	}
	var months []*frame.Frame
	for m := 3; m <= 5; m++ {
		if value, ok := n[system][m]; ok {
			months = append(months, month(t, m, 20, value))
		}
	}
	all, err := frame.Concat(months...)
	if err != nil {
		return Entry{}, err
	}
	rows := int64(all.Rows())
	e := Entry{
		Upload: upload, Reading: reading, Systems: []string{system},
		Lines: Lines{All: rows + 1, Data: rows, Header: 1}, Values: Values{Read: rows, Stored: rows},
	}
	return d.PutReading(ctx, join, e, Rows{System: system, Samples: all})
}

// join makes the months of a system from its part, and commits the system.
func (n fleetNight) join(ctx context.Context, t testing.TB, d *Dataset, system string, e Entry) error {
	g, err := d.Newest(ctx, SystemUnit(system))
	if err != nil {
		return err
	}
	g.Parts = []Part{{e.Upload, e.Reading, system + ".csv"}}
	for _, name := range e.Parts[0].Months {
		path := table.Samples().Path(system, name)
		m, err := ParseMonth(name)
		if err != nil {
			return err
		}
		fp := fpOf(fmt.Sprint("join", system, name, n[system][int(name[6]-'0')]))
		f, done, err := d.Result(ctx, g, fp, join, path)
		if err != nil {
			return err
		}
		if done {
			g = g.With(f)
			continue
		}
		part, err := d.ReadPart(ctx, e.Parts[0])
		if err != nil {
			return err
		}
		f, err = d.StageFrame(ctx, fp, join, path, part.Between("time", m.From, m.To), nil)
		if err != nil {
			return err
		}
		g = g.With(f)
	}
	return commitAndPublish(ctx, d, g)
}

func stageOne(ctx context.Context, d *Dataset, unit string, step pipeline.Step, path string, fp pipeline.Fingerprint, stage func(string) (File, error)) error {
	g, err := d.Newest(ctx, unit)
	if err != nil {
		return err
	}
	f, done, err := d.Result(ctx, g, fp, step, path)
	if err == nil && !done {
		f, err = stage(path)
	}
	if err != nil {
		return err
	}
	return commitAndPublish(ctx, d, g.With(f))
}

func commitAndPublish(ctx context.Context, d *Dataset, g Generation) error {
	g, err := d.Commit(ctx, g)
	if err != nil {
		return err
	}
	return d.Publish(ctx, g)
}

// runNights runs the nights in order on a store that may fail.
func runNights(t testing.TB, st store.Store, nights []fleetNight) error {
	for _, n := range nights {
		if err := n.run(t.Context(), t, New(st)); err != nil {
			return err
		}
	}
	return nil
}

func newDir(t testing.TB) (*store.Dir, string) {
	t.Helper()
	root := t.TempDir()
	st, err := store.OpenDir(root)
	if err != nil {
		t.Fatal(err)
	}
	return st, root
}

// TestEveryFaultHeals strikes every store call of the nights: as a full disk in
// the middle of a write, as a kill before the call's effect, and as a kill after
// it. What is there then passes verify after recovery; and when the nights are
// run again, every file has the bytes that a run without a fault gives.
func TestEveryFaultHeals(t *testing.T) {
	everyFaultHeals(t, nights, []store.Fault{
		{Moment: store.During, Err: syscall.ENOSPC},
		{Moment: store.Before, Kill: true},
		{Moment: store.After, Kill: true},
	})
}

func everyFaultHeals(t *testing.T, nights []fleetNight, faults []store.Fault) {
	st, root := newDir(t)
	counter := store.NewFaulty(st, store.Fault{})
	if err := runNights(t, counter, nights); err != nil {
		t.Fatal(err)
	}
	want := tree(t, root)
	for call := 1; call <= counter.Calls(); call++ {
		for _, f := range faults {
			f.Call = call
			t.Run(fmt.Sprintf("call=%d/moment=%d/kill=%v", call, f.Moment, f.Kill), func(t *testing.T) {
				t.Parallel()
				heal(t, nights, f, maps.Clone(want))
			})
		}
	}
}

func heal(t *testing.T, nights []fleetNight, fault store.Fault, want map[string]string) {
	st, root := newDir(t)
	err := runNights(t, store.NewFaulty(st, fault), nights)
	if err == nil && fault.Kill || err != nil && !errors.Is(err, store.ErrKilled) && !errors.Is(err, syscall.ENOSPC) {
		t.Fatalf("the fault did not reach the caller as it is: %v", err)
	}
	seenOnce(t, root)
	d := New(st)
	if err := d.Recover(t.Context()); err != nil {
		t.Fatalf("recover: %v", err)
	}
	checkVerify(t, d, "after recovery")
	if err := runNights(t, st, nights); err != nil {
		t.Fatalf("again: %v", err)
	}
	checkVerify(t, d, "in the end")
	sameResults(t, tree(t, root), want)
}

// sameResults compares what readers see and the parts. The ledger may have more
// generations: nights that were run twice change back and forth.
func sameResults(t *testing.T, got, want map[string]string) {
	t.Helper()
	for _, files := range []map[string]string{got, want} {
		for name := range files {
			if strings.HasPrefix(name, ledger+"/systems") || strings.HasPrefix(name, ledger+"/fleet") || strings.HasPrefix(name, ledger+"/report") {
				delete(files, name)
			}
		}
	}
	sameTree(t, got, want)
}

// seenOnce reads the samples as anybody would, by a glob over the folder, and
// fails where a system has a time twice or a file cannot be read.
func seenOnce(t testing.TB, root string) (rows int) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(root, "dataset", "samples", "*", "*", "*"))
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		system := filepath.Base(filepath.Dir(filepath.Dir(name)))
		for _, at := range decoded(t, b, frame.Columns(table.Samples(), "time")).Times("time") {
			key := fmt.Sprint(system, at)
			if seen[key] {
				t.Fatalf("%s is seen twice", key)
			}
			seen[key] = true
		}
	}
	return len(seen)
}

// TestReadersSeeEachRowOnce looks at the samples before and after every store
// call of three nights.
func TestReadersSeeEachRowOnce(t *testing.T) {
	st, root := newDir(t)
	watched, most, looks := store.NewFaulty(st, store.Fault{}), 0, 0
	watched.Watch = func(string, string) { most = max(most, seenOnce(t, root)); looks++ }
	if err := runNights(t, watched, longNights); err != nil {
		t.Fatal(err)
	}
	if most != 100 || looks != 2*watched.Calls() {
		t.Errorf("saw %d rows at most in %d looks, want 100", most, looks)
	}
}

// TestRerunWritesNothing runs the last night again: no store call changes anything.
func TestRerunWritesNothing(t *testing.T) {
	st, root := newDir(t)
	if err := runNights(t, st, longNights); err != nil {
		t.Fatal(err)
	}
	before := tree(t, root)
	watched := store.NewFaulty(st, store.Fault{})
	watched.Watch = func(op, name string) {
		if op == "move" || op == "remove" || op == "replace" || op == "put" && !strings.HasSuffix(name, "facts.json") {
			t.Errorf("%s %s", op, name)
		}
	}
	if err := longNights[len(longNights)-1].run(t.Context(), t, New(watched)); err != nil {
		t.Fatal(err)
	}
	sameTree(t, tree(t, root), before)
}

// TestNightsMayBeSkipped gets to the same tables when the last night finds
// everything at once.
func TestNightsMayBeSkipped(t *testing.T) {
	var trees []map[string]string
	for _, some := range [][]fleetNight{longNights, longNights[2:]} {
		st, root := newDir(t)
		for _, n := range some {
			if err := n.run(t.Context(), t, New(st)); err != nil {
				t.Fatal(err)
			}
		}
		files := tree(t, root)
		for name := range files {
			if strings.HasPrefix(name, parts+"/") || strings.HasPrefix(name, ledger+"/") {
				delete(files, name) // these keep what was
			}
		}
		trees = append(trees, files)
	}
	sameTree(t, trees[1], trees[0])
}
