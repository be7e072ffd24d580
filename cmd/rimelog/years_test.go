//go:build unix

package main

import (
	"bytes"
	"flag"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"runtime"
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
	if briefs := seen.count("run/briefs/", ""); briefs > 4 {
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

// nights is how many nights BenchmarkNightAfterYears does after each number of years.
const nights = 9

// BenchmarkNightAfterYears is what one new day on each of some permanent loggers takes after
// one, two and three years of days, in processor time of one worker: a row a minute, a file a
// day. The workspaces are prepared first; then each night is done in all three in turn, in
// rotating order, since the speed of a machine that others use wanders. "of-first-year" is the
// ratio of the medians to that of the first year, 1.2 at most is promised; "least-of-first" is
// that of the fastest nights, to which nothing else added time, and "spread" is how much longer
// than the fastest the slowest took. -v tells the medians round by round, of each year.
func BenchmarkNightAfterYears(b *testing.B) {
	paceOf([]string{"run"}).set()
	folders, days := afterYears(b, 1, 2, 3)
	compareNights(b, folders, days)
}

// afterYears prepares a workspace with so many years of days each, and gives the days that
// follow: the same, whatever lies before them.
func afterYears(b *testing.B, years ...int) (folders []string, next []map[string]string) {
	b.Helper()
	days, register := simulatedDays(b)
	const last = 3*365 + 7
	for _, n := range years {
		folder := b.TempDir()
		write(b, folder, register)
		write(b, folder, between(days, last-365*n, last))
		runAll(b, folder)
		folders = append(folders, folder)
	}
	return folders, slices.Clone(days[last : last+nights])
}

// compareNights does each night in all folders: one after each number of years.
func compareNights(b *testing.B, folders []string, days []map[string]string) {
	took := make([][]nightTime, len(folders))
	for n, day := range days {
		for i := range folders {
			i := (i + n) % len(folders)
			write(b, folders[i], day)
			took[i] = append(took[i], runAll(b, folders[i]))
		}
	}
	first := took[0]
	for i, nights := range took {
		b.Run(fmt.Sprintf("years=%d", i+1), func(b *testing.B) {
			least, most := extremes(nights)
			leastOfFirst, _ := extremes(first)
			b.ReportMetric(0, "ns/op")
			b.ReportMetric(medianNight(nights, nightTime.whole), "cpu-s/night")
			b.ReportMetric(medianNight(nights, nightTime.whole)/medianNight(first, nightTime.whole), "of-first-year")
			b.ReportMetric(least/leastOfFirst, "least-of-first")
			b.ReportMetric(most/least-1, "spread")
			b.ReportMetric(float64(len(days[0])), "systems")
		})
	}
	for _, round := range first[0].rounds {
		line := fmt.Sprintf("%-8s", round.name)
		for _, nights := range took {
			line += fmt.Sprintf(" %.3f", medianNight(nights, func(n nightTime) float64 { return n.of(round.name) }))
		}
		b.Log(line)
	}
}

// A nightTime is the processor time that a night took, round by round.
type nightTime struct{ rounds []roundTime }

type roundTime struct {
	name    string
	seconds float64
}

func (n nightTime) whole() (sum float64) {
	for _, r := range n.rounds {
		sum += r.seconds
	}
	return sum
}

func (n nightTime) of(round string) float64 {
	for _, r := range n.rounds {
		if r.name == round {
			return r.seconds
		}
	}
	return 0
}

func medianNight(nights []nightTime, of func(nightTime) float64) float64 {
	var all []float64
	for _, n := range nights {
		all = append(all, of(n))
	}
	slices.Sort(all)
	return (all[(len(all)-1)/2] + all[len(all)/2]) / 2
}

func extremes(nights []nightTime) (least, most float64) {
	least = math.Inf(1)
	for _, n := range nights {
		least, most = min(least, n.whole()), max(most, n.whole())
	}
	return least, most
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

// runAll does the whole job and gives the processor time that each round of it took, planning
// included: what comes before the first is opening the workspace.
func runAll(b *testing.B, folder string) nightTime {
	b.Helper()
	runtime.GC() // the garbage of the run before is not of this one
	watch := &roundWatch{b: b, name: "open", began: processorTime(b)}
	var out bytes.Buffer
	args := []string{"run", "-workers", "1", "-workspace", folder}
	if code := run(b.Context(), args, &out, watch); code != exitDone && code != exitLeftOut {
		b.Fatalf("%v: exit code %d\n%s", args, code, out.String())
	}
	watch.next("end")
	return watch.nightTime
}

// A roundWatch is told of rounds by the lines that a run writes as it begins them: what
// planning a round takes counts to the one before.
type roundWatch struct {
	nightTime
	b     *testing.B
	name  string
	began time.Duration
}

func (w *roundWatch) Write(line []byte) (int, error) {
	name, rest, _ := strings.Cut(string(line), " ")
	if strings.Contains(rest, " to do,") {
		w.next(name)
	}
	return len(line), nil
}

// next ends a round and begins another.
func (w *roundWatch) next(name string) {
	now := processorTime(w.b)
	w.rounds = append(w.rounds, roundTime{w.name, (now - w.began).Seconds()})
	w.name, w.began = name, now
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
