//go:build unix

package main

import (
	"bytes"
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"rimelog/pipeline/store"
)

// opens is how often each name of a workspace was opened.
type opens map[string]int

// count counts what a night reads whose name has a prefix and a suffix.
func (o opens) count(prefix, suffix string) (n int) {
	for name, times := range o {
		if strings.HasPrefix(name, prefix) && strings.HasSuffix(name, suffix) {
			n += times
		}
	}
	return n
}

// A night decodes of the ledger what is new: the entry and the facts of the new upload, and no
// others', no generation but the newest two of a system, and of its samples the month and the
// four with visits before it, which tell how much the machine scatters.
func TestANightDecodesWhatIsNew(t *testing.T) {
	const months = 7
	folder := t.TempDir()
	put(t, folder, manyRegister(2, func(int) int { return 100 }))
	for m := range months {
		files := map[string]string{}
		for i := range 2 {
			start := time.Date(2025, time.Month(1+m), 3, 9, 0, 0, 0, time.UTC)
			files[fmt.Sprintf("uploads/%s/%d.csv", systemName(i), m)] = referenced(i, visitLog(start, 60, 5))
		}
		put(t, folder, files)
		mustRun(t, folder)
	}
	put(t, folder, map[string]string{"uploads/S-0000/new.csv": visitLog(time.Date(2025, months, 9, 9, 0, 0, 0, time.UTC), 60, 5)})
	seen := opens{}
	watch := func(s store.Store) store.Store {
		return &openedStore{Store: s, opened: func(name string) { seen[name]++ }}
	}
	if _, err := night(t, folder, watch); err != nil {
		t.Fatal(err)
	}
	facts := seen.count("dataset/ledger/uploads/", "/facts.json")
	entries := seen.count("dataset/ledger/uploads/", ".json") - facts
	if facts > 2 || entries != 1 {
		t.Errorf("one new upload of 15: %d times facts and %d times entries were read", facts, entries)
	}
	if briefs := seen.count("run/briefs/", ".gob"); briefs > 4 {
		t.Errorf("briefs of two half-years of two systems were read from %d files", briefs)
	}
	for name := range seen {
		if old := strings.HasPrefix(name, "dataset/ledger/systems/") && name < "dataset/ledger/systems/S-0000/000013.json"; old {
			t.Errorf("%s was read, which is older than the two before", name)
		}
		month := "/month=2025-0"
		if i := strings.Index(name, month); i > 0 && strings.HasPrefix(name, "dataset/samples/") && name[i+len(month)] < '3' {
			t.Errorf("%s was read, which is older than the four months before", name)
		}
	}
}

var loggers = flag.Int("loggers", 1, "how many permanent loggers BenchmarkNightAfterYears simulates; the promise is of 1,000 systems")

// BenchmarkNightAfterYears is what one new day on each of some permanent loggers takes after
// one, two and three years of days, in processor time: a row a minute, a file a day.
// "of-first-year" is the ratio to the first, 1.2 at most is promised. What starting the
// program takes is in it, and weighs less with more -loggers.
func BenchmarkNightAfterYears(b *testing.B) {
	days, register := simulatedDays(b)
	first := 0.0
	for years := 1; years <= 3; years++ {
		b.Run(fmt.Sprintf("years=%d", years), func(b *testing.B) {
			folder := b.TempDir()
			const last = 3*365 + 7 // the same days are new, whatever lies before them
			write(b, folder, register)
			write(b, folder, between(days, last-365*years, last))
			runAll(b, folder)
			next, spent := last, 0.0
			for b.Loop() {
				write(b, folder, between(days, next, next+1))
				spent += runAll(b, folder)
				next++
			}
			if spent /= float64(next - last); years == 1 {
				first = spent
			}
			b.ReportMetric(spent, "cpu-s/night")
			b.ReportMetric(spent/first, "of-first-year")
			b.ReportMetric(float64(len(days[next-1])), "systems")
		})
	}
}

// simulatedDays are the logs of invented permanent loggers that write dates year first, the
// files of each day in order, and their register.
func simulatedDays(b *testing.B) (days []map[string]string, register map[string]string) {
	b.Helper()
	out := filepath.Join(b.TempDir(), "fleet")
	commanded(b, "simulate", "-logging", "permanent", "-systems", fmt.Sprint(*loggers), "-years", "3.2", "-interval", "1m", "-seed", "97531", "-out", out)
	ws := filepath.Join(out, "workspace")
	register = map[string]string{}
	tables, _ := filepath.Glob(filepath.Join(ws, "register", "*.csv"))
	for _, name := range tables {
		register["register/"+filepath.Base(name)] = text(b, name)
	}
	logs, _ := filepath.Glob(filepath.Join(ws, "uploads", "???-???", "????-??-01-*.csv"))
	byDate := map[string]map[string]string{}
	for _, name := range logs {
		byDay(byDate, text(b, name), "uploads/"+filepath.Base(filepath.Dir(name))+"/", filepath.Base(name))
	}
	for _, date := range slices.Sorted(maps.Keys(byDate)) {
		days = append(days, byDate[date])
	}
	if len(days) < 3*365+20 {
		b.Fatalf("%d days of log", len(days))
	}
	return days, register
}

// byDay cuts a month's file at midnight, and puts the files under their dates; a file's name
// but for the day stays.
func byDay(to map[string]map[string]string, log, folder, name string) {
	header, date := "", ""
	var rows strings.Builder
	done := func() {
		if rows.Len() > 0 {
			if to[date] == nil {
				to[date] = map[string]string{}
			}
			to[date][folder+date+name[10:]] = header + rows.String()
			rows.Reset()
		}
	}
	for line := range strings.Lines(log) {
		if line[0] < '0' || line[0] > '9' {
			header += line
			continue
		}
		if len(line) < 10 || line[4] != '-' {
			return // another order of dates: its days would not stand in order
		}
		if line[:10] != date {
			done()
			date = line[:10]
		}
		rows.WriteString(line)
	}
	done()
}

func between(days []map[string]string, from, to int) map[string]string {
	files := map[string]string{}
	for _, d := range days[from:to] {
		maps.Copy(files, d)
	}
	return files
}

func text(b *testing.B, name string) string {
	b.Helper()
	t, err := os.ReadFile(name)
	if err != nil {
		b.Fatal(err)
	}
	return string(t)
}

func write(b *testing.B, folder string, files map[string]string) {
	b.Helper()
	for name, text := range files {
		path := filepath.Join(folder, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			b.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			b.Fatal(err)
		}
	}
}

// runAll does the whole job and gives the processor time that it took, s.
func runAll(b *testing.B, folder string) float64 {
	b.Helper()
	before := processorTime(b)
	commanded(b, "run", "-workspace", folder)
	return (processorTime(b) - before).Seconds()
}

func commanded(b *testing.B, args ...string) {
	b.Helper()
	var out, errOut bytes.Buffer
	if code := run(b.Context(), args, &out, &errOut); code != exitDone && code != exitLeftOut {
		b.Fatalf("%v: exit code %d\n%s%s", args, code, out.String(), errOut.String())
	}
}

func processorTime(b *testing.B) time.Duration {
	b.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
