//go:build long

package report_test

import (
	"fmt"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"rimelog/analysis/report"
	"rimelog/analysis/report/reporttest"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/store"
)

// usage is the processor time that the process took so far, and the most memory it had.
func usage(t *testing.T) (cpu time.Duration, bytes int64) {
	t.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		t.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano()), u.Maxrss * 1024
}

// chartData is what a page holds for its charts.
var chartData = regexp.MustCompile(`(?s)<script type="application/json".*?</script>`)

// The report of 1,000 systems: within 30 s on two cores, which is 60 s of processor time,
// within 500 MB, the fleet page below 2 MB, and no page with more than 1 MB of charts.
func TestThousandSystems(t *testing.T) {
	dir, err := store.OpenDir(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	w := &workspace{T: t, store: dir, data: dataset.New(dir), fleet: report.Fleet{AsOf: reporttest.AsOf}}
	small := reporttest.Fleet(1)
	for i := range 1000 {
		s := small.Systems[i%len(small.Systems)]
		old := s.Register.ID
		s.Register.ID = fmt.Sprintf("S%04d", i)
		for _, f := range small.Findings {
			if f.System == old && i < 200 {
				f.System, f.ID, f.Rank = s.Register.ID, strings.Replace(f.ID, old, s.Register.ID, 1), int64(i)
				w.fleet.Findings = append(w.fleet.Findings, f)
			}
		}
		w.fleet.Systems = append(w.fleet.Systems, s)
	}
	w.register = w.load(w.fleet)
	for _, s := range w.fleet.Systems {
		w.commitSystem(s)
	}
	w.commitFleet(w.fleet.Findings)
	before, _ := usage(t)
	began := time.Now()
	w.run()
	after, most := usage(t)
	pages := w.pages()
	t.Logf("%d files in %v, %v of processor time, %d MB at most, fleet page %d bytes", len(pages), time.Since(began).Round(time.Second/10), (after - before).Round(time.Second/10), most>>20, len(pages["report/index.html"]))
	if after-before > 60*time.Second {
		t.Errorf("drawn in %v of processor time, want at most 60 s", after-before)
	}
	if most > 500<<20 {
		t.Errorf("%d MB, want less than 500", most>>20)
	}
	if n := len(pages["report/index.html"]); n > 2_000_000 {
		t.Errorf("the fleet page has %d bytes, want less than 2 MB", n)
	}
	for name, page := range pages {
		n := 0
		for _, c := range chartData.FindAllString(page, -1) {
			n += len(c)
		}
		if n > 1_000_000 {
			t.Errorf("%s holds %d bytes of charts, want at most 1 MB", name, n)
		}
	}
}
