//go:build long

package browsertest

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/performance"
	"github.com/chromedp/chromedp"

	"rimelog/analysis/report"
	"rimelog/analysis/report/reporttest"
)

// The fleet page of 1,000 systems is usable within a second: drawn, sorted and filtered.
// What counts is the processor time of the page's thread, which does not depend on what
// else the machine does.
func TestLargeFleetIsUsableAtOnce(t *testing.T) {
	small, large := reporttest.Fleet(1), report.Fleet{AsOf: reporttest.AsOf}
	for i := range 1000 {
		s := small.Systems[i%len(small.Systems)]
		s.Register.ID, s.Findings = fmt.Sprintf("S%04d", i), nil
		if i < 60 {
			x := small.Findings[i%len(small.Findings)]
			x.System, x.Rank = s.Register.ID, int64(i+1)
			large.Findings = append(large.Findings, x)
		}
		large.Systems = append(large.Systems, s)
	}
	w, err := report.NewWriter(report.Options{})
	if err != nil {
		t.Fatal(err)
	}
	page, err := w.Index(large)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "index.html"), page, 0o644); err != nil {
		t.Fatal(err)
	}
	p := open(t, browser(t), dir, "index.html", counting)
	drawn := busy(p)
	eval[bool](p, "document.getElementById('find').value = 's0042', document.getElementById('find').dispatchEvent(new Event('input')), document.body.offsetHeight > 0")
	filtered := busy(p)
	t.Logf("fleet page of %d bytes: usable after %.2f s of its thread's time, filtered in %.2f s", len(page), drawn, filtered-drawn)
	if drawn > 1 || filtered-drawn > 1 {
		t.Errorf("usable after %.2f s, filtered in %.2f s, want less than 1 s each", drawn, filtered-drawn)
	}
	p.quiet()
}

// counting makes the browser count the processor time of the page's thread.
func counting(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
	_, err := cdp.Call(ctx, t, performance.Enable, performance.EnableParams{TimeDomain: performance.EnableTimeDomainThreadTicks})
	return chromedp.Void{}, err
}

// busy is how long the page's thread has been at work, in s.
func busy(p *tab) float64 {
	p.Helper()
	all := run(p, func(ctx context.Context, t *chromedp.Target) (performance.GetMetricsResult, error) {
		return cdp.Call(ctx, t, performance.GetMetrics, cdp.Empty{})
	})
	for _, m := range all.Metrics {
		if m.Name == "TaskDuration" {
			return m.Value
		}
	}
	p.Fatal("the browser does not count its work")
	return 0
}
