package report_test

import (
	"bytes"
	"fmt"
	"regexp"
	"strings"
	"testing"

	"rimelog/analysis/report"
	"rimelog/analysis/report/reporttest"
	"rimelog/pipeline/table"
)

func writer(t *testing.T, o report.Options) *report.Writer {
	t.Helper()
	w, err := report.NewWriter(o)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// pages are all pages of a fleet.
func pages(t *testing.T, w *report.Writer, f report.Fleet) map[string][]byte {
	t.Helper()
	index, err := w.Index(f)
	if err != nil {
		t.Fatal(err)
	}
	visits, err := w.Visits(f)
	if err != nil {
		t.Fatal(err)
	}
	leaks, err := w.Leaks(f)
	if err != nil {
		t.Fatal(err)
	}
	seasons, err := w.Seasons(f)
	if err != nil {
		t.Fatal(err)
	}
	method, err := w.Method(f)
	if err != nil {
		t.Fatal(err)
	}
	quality, err := w.Quality(f)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]byte{"quality.html": quality, "method.html": method, "index.html": index, "visits.html": visits, "leaks.html": leaks, "seasons.html": seasons}
	for _, s := range f.Systems {
		for path, draw := range map[string]func(report.System, report.Made) ([]byte, error){
			report.SystemPath(s.Register.ID): w.System, report.SheetPath(s.Register.ID): w.Sheets, report.CardPath(s.Register.ID): w.Card,
		} {
			if out[path], err = draw(s, f.Made); err != nil {
				t.Fatal(err)
			}
		}
	}
	return out
}

func TestSameFiguresSameBytes(t *testing.T) {
	w := writer(t, report.Options{})
	a, b := pages(t, w, reporttest.Fleet(1)), pages(t, writer(t, report.Options{}), reporttest.Fleet(1))
	for name := range a {
		if !bytes.Equal(a[name], b[name]) {
			t.Errorf("%s: written twice, it has two forms", name)
		}
	}
}

// The order in which systems are given means nothing.
func TestOrderOfSystemsMeansNothing(t *testing.T) {
	w, f := writer(t, report.Options{}), reporttest.Fleet(1)
	a, err := w.Index(f)
	if err != nil {
		t.Fatal(err)
	}
	for i, j := 0, len(f.Systems)-1; i < j; i, j = i+1, j-1 {
		f.Systems[i], f.Systems[j] = f.Systems[j], f.Systems[i]
	}
	if b, err := w.Index(f); err != nil || !bytes.Equal(a, b) {
		t.Errorf("the fleet page follows the order of its input (%v)", err)
	}
}

// A machine is never said to leak: the report suspects, and recommends a check.
func TestWordsThatNoPageUses(t *testing.T) {
	forbidden := regexp.MustCompile(`(?i)\bleaking\b|\bis leaking\b|\bscore\b|\bhealth index\b`)
	for name, page := range pages(t, writer(t, report.Options{}), reporttest.Fleet(1)) {
		if hit := forbidden.Find(page); hit != nil {
			t.Errorf("%s says %q", name, hit)
		}
	}
}

// A page asks for nothing but the chart engine beside it, and may not.
func TestPagesNameNoAddress(t *testing.T) {
	address := regexp.MustCompile(`(?i)(src|href|action|data)="(https?:)?//|url\(['"]?(https?:)?//|@import|https?://`)
	for name, page := range pages(t, writer(t, report.Options{}), reporttest.Fleet(1)) {
		if hit := address.Find(page); hit != nil {
			t.Errorf("%s names an address: %q", name, hit)
		}
		if !bytes.Contains(page, []byte(`Content-Security-Policy" content="default-src &#39;none&#39;; script-src &#39;sha256-`)) {
			t.Errorf("%s has no strict policy", name)
		}
	}
}

func TestHostileNamesAreText(t *testing.T) {
	for name, page := range pages(t, writer(t, report.Options{}), reporttest.Hostile()) {
		for _, bad := range reporttest.HostileNames {
			if strings.ContainsAny(bad, "<>") && bytes.Contains(page, []byte(bad)) {
				t.Errorf("%s contains %q as it is", name, bad)
			}
		}
		scripts, data := bytes.Count(page, []byte("<script")), bytes.Count(page, []byte(`<script type="application/json"`))
		if own := scripts - data; own < 1 || own > 2 {
			t.Errorf("%s has %d scripts of its own, want its runtime and at most the chart engine", name, own)
		}
		if bytes.Contains(page, []byte("ZgotmplZ")) {
			t.Errorf("%s: a template refused a value", name)
		}
	}
}

func TestPlainPagesSayWhatIsMissing(t *testing.T) {
	w := writer(t, report.Options{Plain: true})
	page := string(pages(t, w, reporttest.Fleet(1))["system/QH-CR2.html"])
	if strings.Contains(page, "<script src=") {
		t.Error("a plain page asks for a chart engine")
	}
	for _, want := range []string{"the chart engine is not in this build", "make assets", `class="spark"`, "Subcooling at each visit"} {
		if !strings.Contains(page, want) {
			t.Errorf("a plain page has no %q", want)
		}
	}
	if _, err := report.Assets(); err == nil && w.Hash() == writer(t, report.Options{}).Hash() {
		t.Error("plain pages and pages with charts have one hash: one would not replace the other")
	}
}

// A fleet of 1,000 systems has to open at once, from a share or a mail.
func TestLargeFleetFits(t *testing.T) {
	f := reporttest.Fleet(1)
	var large report.Fleet
	large.AsOf, large.Made = f.AsOf, f.Made
	for i := range 1000 {
		s := f.Systems[i%len(f.Systems)]
		s.Register.ID = fmt.Sprintf("S%04d", i)
		s.Findings = nil
		if i < 60 {
			x := f.Findings[i%len(f.Findings)]
			x.System, x.Rank = s.Register.ID, int64(i+1)
			large.Findings = append(large.Findings, x)
		}
		large.Systems = append(large.Systems, s)
	}
	page, err := writer(t, report.Options{}).Index(large)
	if err != nil {
		t.Fatal(err)
	}
	if len(page) > 2_000_000 {
		t.Errorf("the fleet page of 1,000 systems has %d bytes, want less than 2 MB", len(page))
	}
}

// The page's own script is small enough to be read by whoever has to trust it.
func TestOwnScriptIsSmall(t *testing.T) {
	page, err := writer(t, report.Options{}).Index(report.Fleet{})
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := bytes.Cut(page, []byte("<script>"))
	script, _, _ := bytes.Cut(rest, []byte("</script>"))
	if n := len(script); n < 5_000 || n > 10_000 {
		t.Errorf("the script has %d bytes, want less than 10,000", n)
	}
}

func TestSystemPagesAreSmall(t *testing.T) {
	for name, page := range pages(t, writer(t, report.Options{}), reporttest.Fleet(1)) {
		if len(page) > 1_000_000 {
			t.Errorf("%s has %d bytes, want at most 1 MB", name, len(page))
		}
	}
}

// What the fleet page must say for a manager to act on it.
func TestIndexLeadsToTheFirstMachine(t *testing.T) {
	page, err := writer(t, report.Options{}).Index(reporttest.Fleet(1))
	if err != nil {
		t.Fatal(err)
	}
	order := []string{
		"Three of eleven systems need somebody.", `First: <a href="system/QH-CR2.html">Cold room 2 at Harrow Quay Fish Hall</a>. Direct leak check recommended`,
		"Where to go", "Charge loss suspected", "Cannot be judged", "Too short to judge a trend: 1", "No finding", "Within noise",
		"What the results rest on", "lines</span> = ", "adds up", `href="quality.html"`,
	}
	rest := string(page)
	for _, want := range order {
		_, after, ok := strings.Cut(rest, want)
		if !ok {
			t.Fatalf("the fleet page does not say %q, or not in its place", want)
		}
		rest = after
	}
}

// An accounting that does not add up is said, not smoothed over.
func TestAccountingThatDoesNotAddUp(t *testing.T) {
	f := report.Fleet{Uploads: []table.Upload{{Path: "a.csv", Status: "read", Lines: 10, Data: 8, Header: 1}}}
	page, err := writer(t, report.Options{}).Index(f)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(page, []byte("does not add up: 1 lines are in no place")) {
		t.Error("nine of ten lines add up")
	}
}

// tags are the markup of a page, and what only its scripts read.
var tags = regexp.MustCompile(`(?s)<script.*?</script>|<style.*?</style>|<svg.*?</svg>|<[^>]+>`)

// A closed finding says by which visit, once.
func TestClosedFindingSaysWhen(t *testing.T) {
	page := string(pages(t, writer(t, report.Options{}), reporttest.Fleet(1))["system/QH-CR2.html"])
	text := strings.ReplaceAll(tags.ReplaceAllString(page, " "), "\u00a0", " ")
	if n := strings.Count(strings.ToLower(text), "closed by"); n != 1 || !strings.Contains(text, "Closed by data, visit of 25 May 2024.") {
		t.Errorf("%d times closed by, want once with its visit", n)
	}
}

// A water-cooled bench with one log of four minutes: nothing is said to be outdoors,
// the page says once that it is too short, and the log's words agree with its shades.
func TestBenchLogOfFourMinutes(t *testing.T) {
	page := string(pages(t, writer(t, report.Options{}), reporttest.Fleet(1))["system/BENCH.html"])
	text := strings.ReplaceAll(tags.ReplaceAllString(page, " "), "\u00a0", " ")
	if hit := regexp.MustCompile(`(?i).{0,40}outdoor.{0,20}`).FindString(page); hit != "" {
		t.Errorf("a water-cooled bench stands outdoors: %q", hit)
	}
	if n := strings.Count(strings.ToLower(text), "too short to judge"); n != 1 {
		t.Errorf("%d times too short to judge, want once", n)
	}
	for _, want := range []string{
		"Too short to judge a trend: 1 spot reading, the longest log 4 min.", "Log longer:",
		"The latest reading", "One visit so far.", "condenser inlet water",
		"Oscillating about a constant mean for 4 min of 4 min: shown, but too short to be judged.",
		"steady or oscillating, but too short to be judged: shown only", "start unknown",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	for _, bad := range []string{": judged", "Subcooling over the visits", "is not taken out", "Usual here"} {
		if strings.Contains(text, bad) {
			t.Errorf("the page says %q", bad)
		}
	}
}
