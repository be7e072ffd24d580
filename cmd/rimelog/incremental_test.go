package main

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// manySystems is a workspace of n systems at sites of two, each with one visit in each of
// two months, logged gauge at even numbers and absolute at odd ones; and a run over it.
func manySystems(t *testing.T, n int) string {
	t.Helper()
	folder := t.TempDir()
	put(t, folder, manyRegister(n, func(int) int { return 100 }))
	files := map[string]string{}
	for i := range n {
		for m := range 2 {
			start := time.Date(2025, time.Month(1+m), 1+i%27, 9, 0, 0, 0, time.UTC)
			files[fmt.Sprintf("uploads/%s/%d.csv", systemName(i), m)] = referenced(i, visitLog(start, 12, 5+float64(i%7)/3))
		}
	}
	put(t, folder, files)
	mustRun(t, folder)
	return folder
}

func systemName(i int) string { return fmt.Sprintf("S-%04d", i) }

// referenced says in the header that pressures are gauge, for even systems.
func referenced(i int, log string) string {
	if i%2 == 0 {
		return strings.ReplaceAll(log, "[bar abs]", "[bar gauge]")
	}
	return log
}

// manyRegister gives each system its altitude.
func manyRegister(n int, altitude func(system int) int) map[string]string {
	var b strings.Builder
	b.WriteString("system,site,refrigerant,zone,altitude_m\n")
	for i := range n {
		fmt.Fprintf(&b, "%s,Site %d,R134a,UTC,%d\n", systemName(i), i/2, altitude(i))
	}
	return map[string]string{"register/systems.csv": b.String()}
}

// incremental asserts by job counts that a change costs what it touches, whatever the
// size of the fleet.
func incremental(t *testing.T, n int) {
	folder := manySystems(t, n)
	pages := hashes(t, folder, isPage)

	next := visitLog(time.Date(2025, time.February, 28, 15, 0, 0, 0, time.UTC), 12, 5)
	put(t, folder, map[string]string{"uploads/S-0003/2.csv": next})
	wantJobs(t, "one new upload in the newest month", folder, map[string]int{
		"look": 1, "read": 1, "join": 1, "windows": 1, "visits": 1, "meter": 1, "energy": 1, "judge": 1, "rank": 1,
	})
	rewritten(t, pages, hashes(t, folder, isPage))

	put(t, folder, map[string]string{"uploads/S-0003/the same again.csv": next})
	wantJobs(t, "the same upload under another name", folder, map[string]int{"look": 0, "read": 0, "join": 0, "windows": 0, "visits": 0, "judge": 0})

	site := func(i int) int { return map[bool]int{true: 1000, false: 100}[i < 2] } // S-0000 is logged gauge, S-0001 absolute
	put(t, folder, manyRegister(n, site))
	wantJobs(t, "an edited altitude of a site: its gauge uploads only", folder, map[string]int{"look": 0, "read": 2})

	put(t, folder, map[string]string{optionsFile: `{"report": {"plain": true}}`})
	if done := mustRun(t, folder).Done; len(done) != 1 || done["page"] < n {
		t.Errorf("a changed chart option: jobs %v, want the pages and nothing else", done)
	}
	wantJobs(t, "nothing new", folder, map[string]int{"look": 0, "read": 0, "join": 0, "windows": 0, "visits": 0, "judge": 0, "rank": 0, "page": 0})
}

// The same of a logger that stays: days come one by one, over a turn of months, and a night
// reviews and judges the new day alone.
func TestDaysOfALoggerThatStaysGiveTheBytesOfOneNight(t *testing.T) {
	nights, once := t.TempDir(), t.TempDir()
	day := func(d int) time.Time { return time.Date(2025, time.January, 25+d, 0, 0, 0, 0, time.UTC) }
	days := func(from, to int) map[string]string {
		files := map[string]string{}
		for d := from; d < to; d++ {
			start := day(d)
			files["uploads/S-0000/"+start.Format(time.DateOnly)+".csv"] = visitLog(start, 24*60, 5-float64(d)/40)
		}
		return files
	}
	const history, last = 64, 68 // to 29 March and to 2 April
	for _, folder := range []string{nights, once} {
		put(t, folder, manyRegister(1, func(int) int { return 100 }))
		put(t, folder, days(0, history))
	}
	mustRun(t, nights)
	for d := history; d < last; d++ {
		put(t, nights, days(d, d+1))
		months := 1
		if day(d).Day() == 1 { // windows of the last day of March may reach into it
			months = 2
		}
		wantJobs(t, "one new day", nights, map[string]int{
			"look": 1, "read": 1, "join": 1, "windows": months, "visits": 1, "meter": months, "energy": 1, "judge": 1, "rank": 1,
		})
	}
	put(t, once, days(history, last))
	mustRun(t, once)
	sameTables(t, "day by day", nights, once)
}

// sameTables holds the tables of a workspace to those of another, byte by byte.
func sameTables(t *testing.T, how, folder, like string) {
	t.Helper()
	isTable := func(name string) bool {
		return strings.HasSuffix(name, ".parquet") && !strings.Contains(name, "/staged/")
	}
	got, want := hashes(t, folder, isTable), hashes(t, like, isTable)
	for _, name := range slices.Sorted(maps.Keys(want)) {
		if got[name] != want[name] {
			t.Errorf("%s: %s has other bytes than at once", how, name)
		}
	}
	if len(got) != len(want) {
		t.Errorf("%s: %d files, %d at once", how, len(got), len(want))
	}
}

// rewritten checks which pages one new upload of S-0003 rewrote: its own and the fleet's that
// speak of uploads and visits, and no other system's.
func rewritten(t *testing.T, before, after map[string]string) {
	t.Helper()
	own := map[string]bool{"report/system/S-0003.html": true, "report/index.html": true, "report/quality.html": true, "report/visits.html": true}
	for name, hash := range after {
		switch changed := before[name] != hash; {
		case own[name] && !changed:
			t.Errorf("one new upload of S-0003 left %s as it was", name)
		case changed && !own[name] && strings.Count(name, "/") > 1 && !strings.Contains(name, "S-0003"):
			t.Errorf("one new upload of S-0003 rewrote %s", name)
		}
		delete(own, name)
	}
	if len(own) > 0 {
		t.Errorf("there are no pages %v", slices.Sorted(maps.Keys(own)))
	}
}

func isPage(name string) bool { return strings.HasSuffix(name, ".html") }

// wantJobs runs and compares the jobs done of the steps that are named.
func wantJobs(t *testing.T, what, folder string, want map[string]int) {
	t.Helper()
	done := mustRun(t, folder).Done
	t.Logf("%s: %v", what, done)
	got := maps.Clone(done)
	maps.DeleteFunc(got, func(step string, _ int) bool { _, asked := want[step]; return !asked })
	for step, n := range want {
		if got[step] != n {
			t.Errorf("%s: %d %s jobs, want %d (all: %v)", what, got[step], step, n, done)
		}
	}
}

func TestAChangeCostsWhatItTouches(t *testing.T) { incremental(t, 8) }

// An upload that is replaced while it is read, a full disk and a read-only dataset are
// covered by package store's faults; a lock that is held says by whom.
func TestTwoRunsAtOnce(t *testing.T) {
	folder := newFleet(t, allUploads()[:1]...)
	w := where{folder: folder, workers: 1}
	err := w.locked(t.Context(), "run", func(*workspace) error {
		return w.locked(t.Context(), "nightly", func(*workspace) error { return nil })
	})
	code, _ := outcome(t.Context(), err)
	if code != exitBusy || !strings.Contains(err.Error(), "rimelog run, process") || !strings.Contains(err.Error(), "since 20") {
		t.Errorf("%d: %v", code, err)
	}
	if _, err := os.Stat(filepath.Join(folder, "dataset")); err == nil {
		t.Error("nobody ran, and there is a dataset")
	}
}

// A file whose second table alone is gauge is one that look takes for absolute: it is read
// anew all the same when the altitude changes.
func TestAnAltitudeReadsWhatOnlyReadingFoundToBeGauge(t *testing.T) {
	folder := t.TempDir()
	put(t, folder, manyRegister(1, func(int) int { return 100 }))
	start := time.Date(2025, time.January, 7, 9, 0, 0, 0, time.UTC)
	first := visitLog(start, 300, 5)
	second := strings.ReplaceAll(visitLog(start.Add(9*time.Hour), 60, 5), "pressure [bar abs]", "pressure [bar gauge]")
	put(t, folder, map[string]string{"uploads/S-0000/0.csv": first + "\n" + second})
	wantJobs(t, "the file", folder, map[string]int{"look": 1, "read": 1})
	wantJobs(t, "nothing new", folder, map[string]int{"look": 0, "read": 0})
	put(t, folder, manyRegister(1, func(int) int { return 1000 }))
	wantJobs(t, "an edited altitude", folder, map[string]int{"look": 0, "read": 1, "join": 1})
}

// Night after night gives the bytes that one night over everything gives, though what
// months that are closed say is taken from the night before; and a night decodes the
// entries of new uploads only.
func TestNightsGiveTheBytesOfOneNight(t *testing.T) {
	const months = 6
	nights, once := t.TempDir(), t.TempDir()
	for _, folder := range []string{nights, once} {
		put(t, folder, manyRegister(2, func(int) int { return 100 }))
	}
	for m := range months {
		for half := range 2 {
			files := map[string]string{}
			for i := range 2 {
				start := time.Date(2025, time.Month(1+m), 3+14*half, 9, 0, 0, 0, time.UTC)
				files[fmt.Sprintf("uploads/%s/%d-%d.csv", systemName(i), m, half)] = referenced(i, visitLog(start, 60, 5+float64(m)/3))
			}
			put(t, nights, files)
			put(t, once, files)
			mustRun(t, nights)
		}
	}
	mustRun(t, once)
	sameTables(t, fmt.Sprintf("%d nights", 2*months), nights, once)
	if err := os.RemoveAll(filepath.Join(nights, "run")); err != nil {
		t.Fatal(err)
	}
	wantJobs(t, "without what is kept below run", nights, map[string]int{"look": 0, "read": 0, "join": 0, "visits": 0})
}
