package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"rimelog/pipeline"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/local"
	"rimelog/pipeline/store"
	"rimelog/pipeline/table"
)

// The laws of the dataset, on a small fleet: whatever the order in which uploads
// arrive, the nights they are read in and the moment a run is killed, the same
// bytes come out, and no reader ever sees a row twice.

// everything is all stages of the job.
var everything = stages{ingest: true, analyse: true, report: true}

// smallFleet is a register and uploads that touch what the laws are about: two
// systems, several months, overlapping exports, a file nobody claims and one
// that cannot be read.
func smallFleet() (register, uploads map[string]string) {
	register = map[string]string{
		"register/systems.csv": "system;site;refrigerant;zone\nCold-1;Kiosk;R134a;Europe/Berlin\nCold-2;Kiosk;R290;Europe/Berlin\n",
		"register/events.csv":  "system;date;event;kg\nCold-1;2025-03-20;charge added;0,4\n",
	}
	at := func(month time.Month, day int) time.Time { return time.Date(2025, month, day, 9, 0, 0, 0, time.UTC) }
	uploads = map[string]string{
		"uploads/Cold-1/january.csv":  visitLog(at(time.January, 14), 30, 6.0),
		"uploads/Cold-1/february.csv": visitLog(at(time.February, 18), 30, 5.1),
		"uploads/Cold-1/again.csv":    visitLog(at(time.February, 18).Add(10*time.Minute), 30, 5.2), // overlaps february
		"uploads/Cold-1/march.csv":    visitLog(at(time.March, 31).Add(14*time.Hour+45*time.Minute), 30, 4.9),
		"uploads/Cold-2/january.csv":  visitLog(at(time.January, 15), 30, 4.0),
		"uploads/unknown.csv":         visitLog(at(time.January, 16), 5, 4.0),
		"uploads/Cold-2/photo.csv":    "\x89PNG\r\n\x1a\n\x00\x00\x00",
	}
	return register, uploads
}

// visitLog writes a visit's log of one row a minute with about this subcooling.
func visitLog(start time.Time, rows int, subcooling float64) string {
	var b strings.Builder
	b.WriteString("time,suction pressure [bar abs],suction temperature [°C],discharge pressure [bar abs],liquid temperature [°C],outdoor temperature [°C]\n")
	for i := range rows {
		wave := float64(i%3-1) / 10
		fmt.Fprintf(&b, "%s,%.2f,%.1f,%.2f,%.1f,%.1f\n", start.Add(time.Duration(i)*time.Minute).Format("2006-01-02T15:04:05Z"),
			3.2+wave/10, 9.5+wave, 10.2, 40-subcooling+wave, 24+wave)
	}
	return b.String()
}

// put writes files below a folder.
func put(t *testing.T, folder string, files map[string]string) {
	t.Helper()
	for name, text := range files {
		path := filepath.Join(folder, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// newFleet puts the register and these uploads into a new folder.
func newFleet(t *testing.T, names ...string) string {
	t.Helper()
	register, uploads := smallFleet()
	folder := t.TempDir()
	put(t, folder, register)
	put(t, folder, only(uploads, names))
	return folder
}

func only(files map[string]string, names []string) map[string]string {
	some := map[string]string{}
	for _, n := range names {
		some[n] = files[n]
	}
	return some
}

func allUploads() []string {
	_, uploads := smallFleet()
	return slices.Sorted(maps.Keys(uploads))
}

// night does the whole job on a folder, over a store that may fail.
func night(t *testing.T, folder string, wrap func(store.Store) store.Store) (pipeline.Tally, error) {
	t.Helper()
	dir, err := store.OpenDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	var st store.Store = dir
	if wrap != nil {
		st = wrap(dir)
	}
	ws, err := openStore(t.Context(), folder, st)
	if err != nil {
		t.Fatal(err)
	}
	return ws.do(t.Context(), ws.ingest(everything), everything, time.Time{}, local.Runner{Workers: 2}, pipeline.Hooks{})
}

// opened is the workspace in a folder.
func opened(t *testing.T, folder string) *workspace {
	t.Helper()
	dir, err := store.OpenDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	ws, err := openStore(t.Context(), folder, dir)
	if err != nil {
		t.Fatal(err)
	}
	return ws
}

func mustRun(t *testing.T, folder string) pipeline.Tally {
	t.Helper()
	tally, err := night(t, folder, nil)
	if err != nil {
		t.Fatal(err)
	}
	return tally
}

// results hashes what readers see: every table, every part and every page.
func results(t *testing.T, folder string) map[string]string {
	t.Helper()
	return hashes(t, folder, func(name string) bool {
		return !strings.HasPrefix(name, "dataset/ledger/") && !strings.HasPrefix(name, "uploads/") &&
			!strings.HasPrefix(name, "register/") && !strings.HasPrefix(name, "run/")
	})
}

func hashes(t *testing.T, folder string, want func(name string) bool) map[string]string {
	t.Helper()
	sums := map[string]string{}
	err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		name, err := filepath.Rel(folder, path)
		if err != nil || !want(filepath.ToSlash(name)) {
			return err
		}
		b, err := os.ReadFile(path)
		sums[filepath.ToSlash(name)] = fmt.Sprintf("%x", sha256.Sum256(b))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return sums
}

// sinceBefore is what a report says of the one before it, which is another one after
// other nights: a section of the fleet page, and fields of report.json.
var sinceBefore = regexp.MustCompile(`(?s)<section id="changes".*?</section>|"generation":\s*\d+|"compared_with":.*?"steps":`)

// timeless hashes what readers see but for what the report says of the one before it.
func timeless(t *testing.T, folder string) map[string]string {
	t.Helper()
	sums := results(t, folder)
	for _, name := range []string{"report/index.html", "report/report.json"} {
		b, err := os.ReadFile(filepath.Join(folder, name))
		if err != nil {
			t.Fatal(err)
		}
		sums[name] = fmt.Sprintf("%x", sha256.Sum256(sinceBefore.ReplaceAll(b, nil)))
	}
	return sums
}

func sameResults(t *testing.T, what string, got, want map[string]string) {
	t.Helper()
	for _, name := range slices.Sorted(maps.Keys(want)) {
		if got[name] != want[name] {
			t.Errorf("%s: %s differs or is missing", what, name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(got)) {
		if _, ok := want[name]; !ok {
			t.Errorf("%s: %s should not be there", what, name)
		}
	}
}

func verified(t *testing.T, what, folder string) {
	t.Helper()
	var out, errOut bytes.Buffer
	if code := run(context.Background(), []string{"verify", "-workspace", folder}, &out, &errOut); code != exitDone {
		t.Errorf("%s: verify ended with %d:\n%s%s", what, code, out.String(), errOut.String())
	}
}

// Law 1, first half: the order of arrival and the cut into nights leave no trace, but that
// a report tells what is new since the one before.
func TestArrivalOrderAndNightsLeaveNoTrace(t *testing.T) {
	whole := newFleet(t, allUploads()...)
	mustRun(t, whole)
	want := timeless(t, whole)
	verified(t, "all at once", whole)
	rng := rand.New(rand.NewPCG(1, 2))
	for trial := range 4 {
		names := allUploads()
		rng.Shuffle(len(names), func(i, j int) { names[i], names[j] = names[j], names[i] })
		folder := newFleet(t)
		_, uploads := smallFleet()
		for len(names) > 0 {
			n := 1 + rng.IntN(len(names))
			put(t, folder, only(uploads, names[:n]))
			names = names[n:]
			mustRun(t, folder)
		}
		what := fmt.Sprintf("trial %d", trial)
		sameResults(t, what, timeless(t, folder), want)
		verified(t, what, folder)
	}
}

// Law 2 and 6: a rerun does no job and writes nothing, without run/ as well.
func TestRerunWritesNothing(t *testing.T) {
	folder := newFleet(t, allUploads()...)
	mustRun(t, folder)
	all := func(name string) bool { return !strings.HasPrefix(name, "run/") }
	before := hashes(t, folder, all)
	for _, what := range []string{"rerun", "rerun without run/"} {
		tally := mustRun(t, folder)
		if len(tally.Done) > 0 {
			t.Errorf("%s did jobs: %v", what, tally.Done)
		}
		sameResults(t, what, hashes(t, folder, all), before)
		if err := os.RemoveAll(filepath.Join(folder, "run")); err != nil {
			t.Fatal(err)
		}
	}
}

// Laws 1, 3 and 4 where runs are killed: afterwards the same bytes, verify content,
// and at every call a reader sees each time of a system at most once.
func killAt(t *testing.T, call int, moment store.Moment, want map[string]string) (reached bool) {
	t.Helper()
	folder := newFleet(t, allUploads()...)
	var faulty *store.Faulty
	_, err := night(t, folder, func(s store.Store) store.Store {
		faulty = store.NewFaulty(s, store.Fault{Call: call, Moment: moment, Kill: true})
		return faulty
	})
	if err == nil {
		return false
	}
	what := fmt.Sprintf("killed at call %d, moment %d", call, moment)
	mustRun(t, folder)
	sameResults(t, what, results(t, folder), want)
	verified(t, what, folder)
	return true
}

func killEvery(t *testing.T, stride int) {
	whole := newFleet(t, allUploads()...)
	mustRun(t, whole)
	want := results(t, whole)
	for _, moment := range []store.Moment{store.Before, store.During, store.After} {
		for call := 1; killAt(t, call, moment, want); call += stride {
		}
	}
}

// TestKilledRuns kills at some calls; many more are behind the build tag long.
func TestKilledRuns(t *testing.T) { killEvery(t, 97) }

func TestReaderNeverSeesARowTwice(t *testing.T) {
	names := allUploads()
	folder := newFleet(t, names[:3]...)
	mustRun(t, folder)
	_, uploads := smallFleet()
	put(t, folder, only(uploads, names))
	var moves atomic.Int64
	_, err := night(t, folder, func(s store.Store) store.Store {
		f := store.NewFaulty(s, store.Fault{})
		f.Watch = func(op, name string) {
			if op == "move" {
				moves.Add(1)
				readOnce(t, folder)
			}
		}
		return f
	})
	if err != nil {
		t.Fatal(err)
	}
	if moves.Load() == 0 {
		t.Error("the run published nothing that a reader could have watched")
	}
}

// readOnce reads every samples file a glob finds and looks for rows seen twice.
func readOnce(t *testing.T, folder string) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(folder, "dataset/samples/system=*/month=*/*"))
	if err != nil {
		t.Fatal(err)
	}
	ws := opened(t, folder)
	seen := map[string]bool{}
	for _, file := range files {
		name, err := filepath.Rel(filepath.Join(folder, "dataset"), file)
		if err != nil {
			t.Fatal(err)
		}
		f, err := ws.data.ReadTable(t.Context(), filepath.ToSlash(name), "time")
		if err != nil {
			t.Errorf("a reader fails on %s: %v", name, err)
			continue
		}
		system := strings.Split(filepath.ToSlash(name), "/")[1]
		for _, at := range f.Times("time") {
			key := fmt.Sprint(system, at)
			if seen[key] {
				t.Errorf("a reader sees %s twice", key)
			}
			seen[key] = true
		}
	}
}

// Law 5: the accounts of the uploads table are the lines of the files it lists.
func TestAccountsAreTheFilesLines(t *testing.T) {
	folder := newFleet(t, allUploads()...)
	mustRun(t, folder)
	ws := opened(t, folder)
	f, err := ws.data.ReadTable(t.Context(), table.Uploads().Path("", ""))
	if err != nil {
		t.Fatal(err)
	}
	uploads, err := frame.Rows[table.Upload](f)
	if err != nil {
		t.Fatal(err)
	}
	if len(uploads) != len(allUploads()) {
		t.Errorf("%d uploads listed, want %d", len(uploads), len(allUploads()))
	}
	for _, u := range uploads {
		text, err := os.ReadFile(filepath.Join(folder, "uploads", u.Path))
		if err != nil {
			t.Fatal(err)
		}
		if want := int64(lineCount(text)); u.Lines != want {
			t.Errorf("%s: %d lines accounted for, the file has %d", u.Path, u.Lines, want)
		}
	}
}

// lineCount counts physical lines: what ends in a line feed, and a last one that does not.
func lineCount(text []byte) int {
	n := bytes.Count(text, []byte("\n"))
	if len(text) > 0 && text[len(text)-1] != '\n' {
		n++
	}
	return n
}
