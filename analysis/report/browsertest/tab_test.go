package browsertest

import (
	"context"
	"fmt"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"rimelog/analysis/report"
	"rimelog/analysis/report/reporttest"
)

// browser starts Chromium, which ends with the test.
func browser(t *testing.T) context.Context {
	t.Helper()
	bin := chromium(t)
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(bin), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true),
		chromedp.UserDataDir(t.TempDir()), chromedp.WindowSize(1280, 900))
	allocator, stop := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, cancel := chromedp.NewContext(allocator)
	t.Cleanup(func() { _ = chromedp.Cancel(ctx); cancel(); stop() })
	if _, err := chromedp.Run(ctx, chromedp.Evaluate[int]("1")); err != nil {
		t.Fatalf("start %s: %v", bin, err)
	}
	return ctx
}

func chromium(t *testing.T) string {
	t.Helper()
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if bin, err := exec.LookPath(name); err == nil {
			return bin
		}
	}
	t.Fatal("Chromium is missing: install the package \"chromium\" with your system's package manager (Debian: apt-get install chromium), then run the tests again.")
	return ""
}

// A tab is an open page, with what went wrong in it and what it asked for.
type tab struct {
	*testing.T
	ctx context.Context

	mu       sync.Mutex
	troubles []string
}

// open shows a file of a report in a new tab and waits until its script has run.
func open(t *testing.T, browser context.Context, dir, name string, before ...chromedp.Action[chromedp.Void]) *tab {
	t.Helper()
	ctx, cancel := chromedp.NewContext(browser)
	t.Cleanup(cancel)
	p := &tab{T: t, ctx: ctx}
	if _, err := chromedp.Run(ctx, chromedp.Evaluate[int]("1")); err != nil {
		t.Fatalf("open a tab: %v", err)
	}
	if err := chromedp.Listen(ctx, p.hear); err != nil {
		t.Fatalf("listen: %v", err)
	}
	steps := append(before, enable, chromedp.Navigate("file://"+filepath.ToSlash(filepath.Join(dir, name))),
		chromedp.WaitReady(chromedp.CSS("html[data-booted]")))
	p.do(steps...)
	return p
}

func enable(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
	if _, err := cdp.Call(ctx, t, network.Enable, network.EnableParams{}); err != nil {
		return chromedp.Void{}, err
	}
	_, err := cdp.Call(ctx, t, log.Enable, cdp.Empty{})
	return chromedp.Void{}, err
}

// hear keeps exceptions, console and log messages, and requests that leave the disk.
func (p *tab) hear(event any) {
	p.mu.Lock()
	defer p.mu.Unlock()
	switch e := event.(type) {
	case *runtime.EventExceptionThrown:
		p.troubles = append(p.troubles, "exception: "+e.ExceptionDetails.Text)
	case *runtime.EventConsoleAPICalled:
		p.troubles = append(p.troubles, fmt.Sprintf("console: %v", e.Args))
	case *log.EventEntryAdded:
		p.troubles = append(p.troubles, "log: "+e.Entry.Text)
	case *network.EventRequestWillBeSent:
		scheme, _, _ := strings.Cut(e.Request.URL, ":")
		if scheme != "file" && scheme != "data" && scheme != "blob" {
			p.troubles = append(p.troubles, "request: "+e.Request.URL)
		}
	}
}

// quiet fails the test for anything that went wrong in the page.
func (p *tab) quiet() {
	p.Helper()
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, trouble := range p.troubles {
		p.Errorf("the page is not quiet: %s", trouble)
	}
}

// do carries the steps out within a time in which a page must have answered.
func (p *tab) do(steps ...chromedp.Action[chromedp.Void]) {
	p.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, 30*time.Second)
	defer cancel()
	if err := chromedp.Do(ctx, steps...); err != nil {
		p.Fatalf("in the browser: %v", err)
	}
}

// eval is the value of an expression in the page.
func eval[T any](p *tab, js string) T {
	p.Helper()
	return run(p, chromedp.Evaluate[T](js, chromedp.EvalAwaitPromise))
}

func run[T any](p *tab, a chromedp.Action[T]) T {
	p.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, 30*time.Second)
	defer cancel()
	v, err := chromedp.Run(ctx, a)
	if err != nil {
		p.Fatalf("in the browser: %v", err)
	}
	return v
}

// drawAll draws the charts that have not been scrolled to.
func (p *tab) drawAll() {
	p.Helper()
	eval[bool](p, `document.querySelectorAll('.plot').forEach(e => e.scrollIntoView()), true`)
	eval[bool](p, `new Promise(done => { const wait = () => document.querySelectorAll('.plot:not([data-drawn])').length
		? (document.querySelector('.plot:not([data-drawn])').scrollIntoView(), setTimeout(wait, 30)) : setTimeout(() => done(true), 60); wait(); })`)
}

// name is the name of the page's file; empty while the tab goes from one to another.
func (p *tab) name() string {
	ctx, cancel := context.WithTimeout(p.ctx, 30*time.Second)
	defer cancel()
	name, err := chromedp.Run(ctx, chromedp.Evaluate[string]("document.documentElement.dataset.booted === undefined ? '' : location.pathname.split('/').pop()"))
	if err != nil {
		return ""
	}
	return name
}

// leaves waits a while for the tab to leave a page, and says which it shows then.
func (p *tab) leaves(name string) string {
	for range 20 {
		if now := p.name(); now != "" && now != name {
			return now
		}
		time.Sleep(50 * time.Millisecond)
	}
	return name
}

// watched lets a test look into the charts of a page: each is the property chart of its
// element.
func watched(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
	_, err := cdp.Call(ctx, t, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: `
		Object.defineProperty(window, 'echarts', {
			get() { return this.engine; },
			set(e) { this.engine = { ...e, init: (at, ...rest) => at.chart = e.init(at, ...rest) }; },
		});`})
	return chromedp.Void{}, err
}

// paper makes a page look as it is printed, to a reader who prefers dark.
func paper(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
	_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Media: "print", Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: "dark"}},
	})
	return chromedp.Void{}, err
}

// scheme makes the page believe that its reader prefers light or dark.
func scheme(value string) chromedp.Action[chromedp.Void] {
	return func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
			Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: value}},
		})
		return chromedp.Void{}, err
	}
}

// written writes a report into a folder of its own.
func written(t *testing.T, f report.Fleet, o report.Options) string {
	t.Helper()
	if _, err := report.Assets(); err != nil {
		t.Fatalf("the browser tests need the charts: %v", err)
	}
	dir := t.TempDir()
	if err := reporttest.Write(dir, f, o); err != nil {
		t.Fatal(err)
	}
	return dir
}
