package dataset

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"

	"rimelog/pipeline"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/frame/frametest"
	"rimelog/pipeline/store"
	"rimelog/pipeline/table"
)

var (
	ctxb = context.Background()
	join = pipeline.Step{Name: "join", Version: 1}
	page = pipeline.Step{Name: "page", Version: 1}
)

// fpOf is the fingerprint of a pretended job.
func fpOf(what string) pipeline.Fingerprint {
	h := pipeline.NewHasher(join)
	h.Add("what", what)
	return h.Sum()
}

// workspace is a dataset in a new folder.
func workspace(t testing.TB) (*Dataset, *store.Dir, string) {
	t.Helper()
	root := t.TempDir()
	st, err := store.OpenDir(root)
	if err != nil {
		t.Fatal(err)
	}
	return New(st), st, root
}

// month makes samples of a month of 2024: rows of one minute, with a value that
// tells versions apart.
func month(t testing.TB, m, rows int, value int32) *frame.Frame {
	t.Helper()
	from, err := ParseMonth(fmt.Sprintf("2024-%02d", m))
	if err != nil {
		t.Fatal(err)
	}
	b := frame.NewBuilder(table.Samples(), rows)
	times, power := b.Column("time"), b.Column("power_kw")
	for i := range rows {
		times.Int64(from.From + int64(i)*60_000_000)
		power.Int32(value)
	}
	return frametest.Build(t, b)
}

func pathOf(system string, m int) string {
	return table.Samples().Path(system, fmt.Sprintf("2024-%02d", m))
}

func stageMonth(t testing.TB, d *Dataset, system string, m int, value int32) File {
	t.Helper()
	fp := fpOf(fmt.Sprint(system, m, value))
	f, err := d.StageFrame(ctxb, fp, join, pathOf(system, m), month(t, m, 100, value), map[string]string{"rimelog.tally": fmt.Sprint(value)})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func commit(t testing.TB, d *Dataset, g Generation) Generation {
	t.Helper()
	g, err := d.Commit(ctxb, g)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func publish(t testing.TB, d *Dataset, g Generation) {
	t.Helper()
	if err := d.Publish(ctxb, g); err != nil {
		t.Fatal(err)
	}
}

func newest(t testing.TB, d *Dataset, unit string) Generation {
	t.Helper()
	g, err := d.Newest(ctxb, unit)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func checkVerify(t testing.TB, d *Dataset, when string) Verdict {
	t.Helper()
	v, err := d.Verify(ctxb, false)
	if err != nil || !v.OK() {
		t.Fatalf("%s: verify found %v, %v", when, v.Problems, err)
	}
	return v
}

// tree reads every file below a folder of the workspace, run/ left out.
func tree(t testing.TB, root string) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := filepath.WalkDir(root, func(p string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		b, err := os.ReadFile(p)
		name, _ := filepath.Rel(root, p)
		files[filepath.ToSlash(name)] = string(b)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func TestStageCommitPublish(t *testing.T) {
	d, _, root := workspace(t)
	unit := SystemUnit("depot-7")
	if g := newest(t, d, unit); g.N != 0 || g.Unit != unit {
		t.Fatalf("before the first commit: %+v", g)
	}
	march, april := stageMonth(t, d, "depot-7", 3, 1), stageMonth(t, d, "depot-7", 4, 2)
	if march.Rows != 100 || len(march.SHA256) != 64 || march.Notes["rimelog.tally"] != "1" || march.Step != "join/1" {
		t.Errorf("staged file says %+v", march)
	}
	g := commit(t, d, newest(t, d, unit).With(april, march))
	if _, err := d.ReadTable(ctxb, march.Path); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("readers see a file before it is published: %v", err)
	}
	if f, err := d.ReadFile(ctxb, march); err != nil || f.Rows() != 100 {
		t.Errorf("a staged file is not read: %v", err)
	}
	publish(t, d, g)
	publish(t, d, g) // once more changes nothing
	got, err := d.ReadTable(ctxb, march.Path, "power_kw")
	if err != nil {
		t.Fatal(err)
	}
	frametest.Equal(t, got, month(t, 3, 100, 1).Select("power_kw"))
	if f, err := d.ReadFile(ctxb, march); err != nil || f.Rows() != 100 {
		t.Errorf("a published file is not read: %v", err)
	}
	want := []string{
		"dataset/ledger/systems/depot-7/000001.json",
		"dataset/samples/system=depot-7/month=2024-03/data.parquet",
		"dataset/samples/system=depot-7/month=2024-04/data.parquet",
	}
	if got := slices.Sorted(keys(tree(t, root))); !slices.Equal(got, want) {
		t.Errorf("files %v, want %v", got, want)
	}
	if v := checkVerify(t, d, "after publication"); v.Files != 2 || v.Rows != 200 || v.Units != 1 {
		t.Errorf("verdict %+v", v)
	}
}

func keys(m map[string]string) func(func(string) bool) {
	return func(yield func(string) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

// TestLedgerText holds the ledger's form still: others read it.
func TestLedgerText(t *testing.T) {
	g := Generation{
		Unit: "systems/a", N: 2, Inputs: map[string]string{"register": "r<1", "options": "o"},
		Parts: []Part{{"u2", "r", "b.csv"}, {"u1", "r", "a.csv"}},
		Files: []File{
			{Path: "samples/z", Table: "samples", Step: "join/1", Fingerprint: "f2", SHA256: "s2"},
			{Path: "samples/a", Table: "samples", Step: "join/1", Fingerprint: "f1", SHA256: "s1", Rows: 3, Bytes: 4, Notes: map[string]string{"k": "v"}},
		},
	}
	want := `{
 "unit": "systems/a",
 "n": 2,
 "inputs": {
  "options": "o",
  "register": "r<1"
 },
 "parts": [
  {
   "upload": "u1",
   "reading": "r",
   "path": "a.csv"
  },
  {
   "upload": "u2",
   "reading": "r",
   "path": "b.csv"
  }
 ],
 "files": [
  {
   "path": "samples/a",
   "table": "samples",
   "step": "join/1",
   "fingerprint": "f1",
   "sha256": "s1",
   "rows": 3,
   "bytes": 4,
   "notes": {
    "k": "v"
   }
  },
  {
   "path": "samples/z",
   "table": "samples",
   "step": "join/1",
   "fingerprint": "f2",
   "sha256": "s2",
   "rows": 0,
   "bytes": 0
  }
 ]
}
`
	if got := string(canonical(g.Sorted())); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestNothingChangedIsNoGeneration(t *testing.T) {
	d, _, root := workspace(t)
	unit := SystemUnit("a")
	g := commit(t, d, Generation{Unit: unit}.With(stageMonth(t, d, "a", 3, 1)))
	publish(t, d, g)
	before := tree(t, root)
	again := newest(t, d, unit)
	again.Files = slices.Clone(again.Files)
	if g2 := commit(t, d, again); g2.N != 1 {
		t.Errorf("generation %d for no change", g2.N)
	}
	if after := tree(t, root); len(after) != len(before) {
		t.Errorf("files %v, want %v", slices.Sorted(keys(after)), slices.Sorted(keys(before)))
	}
}

func TestCommitOfTheSameContentIsSuccess(t *testing.T) {
	d, _, _ := workspace(t)
	g := Generation{Unit: SystemUnit("a")}.With(stageMonth(t, d, "a", 3, 1))
	first, second := commit(t, d, g), commit(t, d, g)
	if first.N != 1 || second.N != 1 {
		t.Errorf("generations %d and %d, want 1 and 1", first.N, second.N)
	}
}

func TestOvertaken(t *testing.T) {
	d, _, _ := workspace(t)
	base := Generation{Unit: SystemUnit("a")}
	mine, theirs := base.With(stageMonth(t, d, "a", 3, 1)), base.With(stageMonth(t, d, "a", 3, 2))
	publish(t, d, commit(t, d, theirs))
	if _, err := d.Commit(ctxb, mine); !errors.Is(err, ErrOvertaken) {
		t.Errorf("got %v, want overtaken", err)
	}
	old := newest(t, d, base.Unit)
	publish(t, d, commit(t, d, old.With(stageMonth(t, d, "a", 3, 3))))
	if err := d.Publish(ctxb, old); !errors.Is(err, ErrOvertaken) {
		t.Errorf("publication of an old generation: got %v, want overtaken", err)
	}
}

// TestConcurrentCommitters has several runs build different content on one
// generation: one wins, the others change nothing, and the winner's files are
// what readers see.
func TestConcurrentCommitters(t *testing.T) {
	for round := range 20 {
		d, _, _ := workspace(t)
		base := Generation{Unit: SystemUnit("a")}
		var wg sync.WaitGroup
		errs := make([]error, 4)
		for w := range errs {
			g := base.With(stageMonth(t, d, "a", 3, int32(w)), stageMonth(t, d, "a", 4, int32(w)))
			wg.Go(func() {
				var err error
				if g, err = d.Commit(ctxb, g); err == nil {
					err = d.Publish(ctxb, g)
				}
				errs[w] = err
			})
		}
		wg.Wait()
		won := 0
		for w, err := range errs {
			switch {
			case err == nil:
				won++
				got, err := d.ReadTable(ctxb, pathOf("a", 3))
				if err != nil {
					t.Fatal(err)
				}
				frametest.Equal(t, got, month(t, 3, 100, int32(w)))
			case !errors.Is(err, ErrOvertaken):
				t.Errorf("round %d: %v", round, err)
			}
		}
		if won != 1 {
			t.Fatalf("round %d: %d winners: %v", round, won, errs)
		}
		checkVerify(t, d, "after the race")
	}
}

func TestStagedIsUsedAsItIs(t *testing.T) {
	d, _, _ := workspace(t)
	first := stageMonth(t, d, "a", 3, 1)
	got, err := d.StageFrame(ctxb, first.Fingerprint, join, first.Path, month(t, 3, 5, 9), nil)
	if err != nil || got.SHA256 != first.SHA256 || got.Rows != 100 || got.Notes["rimelog.tally"] != "1" {
		t.Errorf("got %+v, %v; want the file staged first: %+v", got, err, first)
	}
	again, ok, err := d.Staged(ctxb, first.Fingerprint, join, first.Path)
	if err != nil || !ok || again.SHA256 != first.SHA256 || again.Bytes != first.Bytes || again.Table != "samples" {
		t.Errorf("staged: %+v, %v, %v", again, ok, err)
	}
	if _, ok, err := d.Staged(ctxb, fpOf("other"), join, first.Path); ok || err != nil {
		t.Errorf("staged for another job: %v, %v", ok, err)
	}
	if _, err := d.StageFrame(ctxb, "short", join, first.Path, month(t, 3, 1, 1), nil); err == nil {
		t.Error("a result was staged under no fingerprint")
	}
}

// Whoever staged a file tells of it what the bytes tell another, and no more once they
// are gone.
func TestStagedIsToldWithoutReading(t *testing.T) {
	d, st, root := workspace(t)
	made := stageMonth(t, d, "KA-07", 1, 1)
	for name, who := range map[string]*Dataset{"the same": d, "another": New(st)} {
		got, ok, err := who.Staged(ctxb, made.Fingerprint, join, made.Path)
		if err != nil || !ok || !reflect.DeepEqual(got, made) {
			t.Errorf("%s: %+v, %v, %v; staged was %+v", name, got, ok, err, made)
		}
	}
	if err := d.Settle(ctxb); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(filepath.Join(root, stagedName(made.Fingerprint, made.Path))); err != nil {
		t.Fatal(err)
	}
	if _, ok, err := d.Staged(ctxb, made.Fingerprint, join, made.Path); ok || err != nil {
		t.Errorf("a file that is gone: %v, %v", ok, err)
	}
}

func TestDone(t *testing.T) {
	d, st, _ := workspace(t)
	f, g := stageMonth(t, d, "a", 3, 1), Generation{Unit: SystemUnit("a")}
	done := func(g Generation, fp pipeline.Fingerprint) bool {
		t.Helper()
		ok, err := d.Done(ctxb, g, fp, f.Path)
		got, found, err2 := d.Result(ctxb, g, fp, join, f.Path)
		if err != nil || err2 != nil || ok != found || found && got.SHA256 != f.SHA256 {
			t.Fatalf("done %v, %v; result %+v, %v, %v", ok, err, got, found, err2)
		}
		return ok
	}
	if !done(g, f.Fingerprint) || done(g, fpOf("other")) {
		t.Error("a staged result is not done, or another is")
	}
	g = commit(t, d, g.With(f))
	publish(t, d, g)
	if !done(g, f.Fingerprint) || done(g, fpOf("other")) {
		t.Error("a published result is not done, or another is")
	}
	if err := st.Remove(ctxb, f.Name()); err != nil {
		t.Fatal(err)
	}
	if done(g, f.Fingerprint) {
		t.Error("a result that is gone is done")
	}
}

// TestLostFileIsMadeAgain removes a committed file: publication says so, and
// the job that runs again brings back the same bytes without a new generation.
func TestLostFileIsMadeAgain(t *testing.T) {
	d, st, root := workspace(t)
	g := commit(t, d, Generation{Unit: SystemUnit("a")}.With(stageMonth(t, d, "a", 3, 1), stageMonth(t, d, "a", 4, 1)))
	publish(t, d, g)
	before := tree(t, root)
	lost, _ := g.File(pathOf("a", 3))
	if err := st.Remove(ctxb, lost.Name()); err != nil {
		t.Fatal(err)
	}
	var le *LostError
	if err := d.Publish(ctxb, g); !errors.As(err, &le) || le.Path != lost.Name() {
		t.Errorf("got %v, want a lost error for %s", err, lost.Name())
	}
	if err := d.Recover(ctxb); err != nil {
		t.Errorf("recovery: %v", err)
	}
	publish(t, d, commit(t, d, newest(t, d, g.Unit).With(stageMonth(t, d, "a", 3, 1))))
	sameTree(t, tree(t, root), before)
}

func sameTree(t testing.TB, got, want map[string]string) {
	t.Helper()
	if g, w := slices.Sorted(keys(got)), slices.Sorted(keys(want)); !slices.Equal(g, w) {
		t.Fatalf("files %v, want %v", g, w)
	}
	for name := range want {
		if got[name] != want[name] {
			t.Errorf("%s has other bytes", name)
		}
	}
}

func TestReportPages(t *testing.T) {
	d, _, root := workspace(t)
	stagePage := func(path, text string) File {
		f, err := d.StageBytes(ctxb, fpOf(path+text), page, path, []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	g := commit(t, d, Generation{Unit: ReportUnit}.With(stagePage("index.html", "one"), stagePage("system/a.html", "a")))
	publish(t, d, g)
	// The second time a page is gone, one is new, and one is drawn anew.
	g.Files = []File{stagePage("index.html", "two"), stagePage("system/b.html", "b")}
	publish(t, d, commit(t, d, g))
	files := tree(t, filepath.Join(root, "report"))
	sameTree(t, files, map[string]string{"index.html": "two", "system/b.html": "b"})
	checkVerify(t, d, "with pages")
}

func TestCommitRefusesMistakes(t *testing.T) {
	d, _, _ := workspace(t)
	f := stageMonth(t, d, "a", 3, 1)
	for name, g := range map[string]Generation{
		"unknown unit":      {Unit: "sites/a", Files: []File{f}},
		"no system":         {Unit: "systems/", Files: []File{f}},
		"two files":         {Unit: "systems/a", Files: []File{f, f}},
		"table in a report": {Unit: ReportUnit, Files: []File{f}},
	} {
		if _, err := d.Commit(ctxb, g); err == nil {
			t.Errorf("%s was committed", name)
		}
	}
}

func TestUnits(t *testing.T) {
	d, _, _ := workspace(t)
	for _, unit := range []string{SystemUnit("b"), SystemUnit("a"), FleetUnit, ReportUnit} {
		commit(t, d, Generation{Unit: unit, Inputs: map[string]string{"x": "y"}})
	}
	if err := d.PutFacts(ctxb, strings.Repeat("0", 64), join, 1); err != nil {
		t.Fatal(err)
	}
	got, err := d.Units(ctxb)
	if want := []string{"fleet", "report", "systems/a", "systems/b"}; err != nil || !slices.Equal(got, want) {
		t.Errorf("got %v, %v; want %v", got, err, want)
	}
}
