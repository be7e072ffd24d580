package browsertest

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"rimelog/analysis/report"
	"rimelog/analysis/report/reporttest"
)

// top is the system with the most urgent finding of the invented fleet.
const top = "system/QH-CR2.html"

func TestReport(t *testing.T) {
	b := browser(t)
	dir := written(t, reporttest.Fleet(1), report.Options{})
	t.Run("fleet page", func(t *testing.T) {
		p := open(t, b, dir, "index.html")
		sorts(p)
		filters(p)
		folds(p)
		scalesCourses(p)
		p.quiet()
	})
	t.Run("remembered", func(t *testing.T) { remembersSort(t, b, dir) })
	t.Run("from system to system", func(t *testing.T) { goesByKeys(t, b, dir) })
	t.Run("zoom", func(t *testing.T) { zoomsByLink(t, b, dir) })
	t.Run("system page", func(t *testing.T) {
		p := open(t, b, dir, top)
		drawsLazily(p)
		walksWithKeys(p)
		writesMinus(p)
		savesFigures(p)
		p.quiet()
	})
	t.Run("keyboard", func(t *testing.T) { reachesEvidence(open(t, b, dir, "index.html")) })
	t.Run("phone", func(t *testing.T) {
		for _, name := range []string{"index.html", "visits.html", "leaks.html", "seasons.html", "method.html", "quality.html", top} {
			fitsPhone(t, open(t, b, dir, name, chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile)), name)
		}
		for _, name := range []string{top, report.SheetPath("QH-CR2")} {
			showsReadings(open(t, b, dir, name, chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile)), name)
		}
	})
	t.Run("phone, in German", func(t *testing.T) {
		german := written(t, reporttest.Fleet(1), report.Options{Language: "de"})
		for _, name := range []string{"index.html", "visits.html", "leaks.html", "seasons.html", "method.html", "quality.html", top, report.SheetPath("QH-CR2"), report.CardPath("QH-CR2")} {
			fitsPhone(t, open(t, b, german, name, chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile)), name)
		}
		p := open(t, b, german, top)
		speaks(p, "de", "von", ",")
		p.quiet()
		accessible(open(t, b, german, "index.html", scheme("light")), "German index.html")
	})
	t.Run("dark", func(t *testing.T) { isDark(open(t, b, dir, top, scheme("dark"))) })
	t.Run("theme button", func(t *testing.T) { switchesTheme(open(t, b, dir, top, scheme("light"))) })
	t.Run("paper", func(t *testing.T) {
		for _, name := range []string{"index.html", top} {
			lightOnPaper(open(t, b, dir, name), name)
		}
	})
	t.Run("print", func(t *testing.T) {
		prints(open(t, b, dir, top), "system.pdf", 4, 12)
		prints(open(t, b, dir, "index.html"), "index.pdf", 2, 4)
		prints(open(t, b, dir, "visits.html"), "visits.pdf", 2, 3)
		prints(open(t, b, dir, "quality.html"), "quality.pdf", 2, 4)
		prints(open(t, b, dir, "leaks.html"), "leaks.pdf", 3, 12)
		prints(open(t, b, dir, "method.html"), "method.pdf", 3, 8)
	})
	t.Run("sheet", func(t *testing.T) { printsOnOneSheet(t, b, dir) })
	t.Run("card", func(t *testing.T) { fitsOneScreen(t, b, dir) })
	t.Run("accessibility", func(t *testing.T) {
		accessible(open(t, b, dir, "index.html", scheme("light")), "light index.html")
		accessible(open(t, b, dir, "visits.html", scheme("light")), "light visits.html")
		for _, look := range []string{"light", "dark"} {
			accessible(open(t, b, dir, "quality.html", scheme(look)), look+" quality.html")
			accessible(open(t, b, dir, report.SheetPath("QH-CR2"), scheme(look)), look+" sheet")
			accessible(open(t, b, dir, report.CardPath("QH-CR2"), scheme(look)), look+" card")
		}
		accessible(open(t, b, dir, "leaks.html", scheme("light")), "light leaks.html")
		accessible(open(t, b, dir, "leaks.html", scheme("dark")), "dark leaks.html")
		accessible(open(t, b, dir, "seasons.html", scheme("light")), "light seasons.html")
		accessible(open(t, b, dir, "method.html", scheme("light")), "light method.html")
		accessible(open(t, b, dir, "method.html", scheme("dark")), "dark method.html")
		accessible(open(t, b, dir, top, scheme("dark")), "dark "+top)
	})
}

func TestHostileNames(t *testing.T) {
	b := browser(t)
	f := reporttest.Hostile()
	dir := written(t, f, report.Options{})
	for _, name := range []string{"index.html", "leaks.html", "quality.html", "visit/H1.html", "next/H1.html", "visit/NANS.html", "next/NONE.html", "system/H1.html", "system/H5.html", "system/NANS.html", "system/ONE.html", "system/NONE.html"} {
		p := open(t, b, dir, name)
		p.drawAllIfAny()
		if title := eval[string](p, "document.title"); title == "owned" {
			t.Errorf("%s: a name from the register became markup", name)
		}
		if n := eval[int](p, "document.querySelectorAll('img, iframe, object').length"); n > 0 {
			t.Errorf("%s: %d elements that no template has", name, n)
		}
		p.quiet()
	}
	p := open(t, b, dir, "index.html")
	for i, want := range reporttest.HostileNames {
		got := eval[string](p, `document.querySelector('#fleet a[href="system/H`+string(rune('1'+i))+`.html"]').textContent`)
		if got != want {
			t.Errorf("the name is shown as %q, want %q", got, want)
		}
	}
}

// Without the engine, and with the engine's file gone, a page says what is missing
// and shows its figures as tables.
func TestWithoutEngine(t *testing.T) {
	b := browser(t)
	plain := written(t, reporttest.Fleet(1), report.Options{Plain: true})
	lost := written(t, reporttest.Fleet(1), report.Options{})
	for _, a := range assets(t) {
		if err := os.Remove(filepath.Join(lost, filepath.FromSlash(a.Path))); err != nil {
			t.Fatal(err)
		}
	}
	for dir, want := range map[string]string{plain: "not in this build", lost: "not beside this page"} {
		p := open(t, b, dir, top)
		if n := eval[int](p, "[...document.querySelectorAll('.missing')].filter(e => e.checkVisibility()).length"); n != eval[int](p, "document.querySelectorAll('.plot').length") {
			t.Errorf("%d charts say that they are missing, want every one", n)
		}
		if text := eval[string](p, "document.querySelector('.missing').textContent"); !strings.Contains(text, want) {
			t.Errorf("a missing chart says %q, want %q in it", text, want)
		}
		if n := eval[int](p, "[...document.querySelectorAll('.figures table')].filter(e => e.checkVisibility()).length"); n == 0 {
			t.Error("no table stands in for the charts")
		}
		if n := eval[int](p, "[...document.querySelectorAll('.missing .spark')].filter(e => e.checkVisibility()).length"); n == 0 {
			t.Error("no small figure stands in for the charts")
		}
	}
	p := open(t, b, plain, top)
	p.quiet()
}

// A page in one file is mailed alone: it lies by itself, draws its charts, and is bound to
// its own scripts by their hashes.
func TestSingleFile(t *testing.T) {
	b := browser(t)
	dir := written(t, reporttest.Fleet(1), report.Options{Single: true})
	page, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(top)))
	if err != nil {
		t.Fatal(err)
	}
	if len(page) > 1_000_000 || bytes.Contains(page, []byte("self")) || bytes.Contains(page, []byte("<script src")) {
		t.Errorf("the page has %d bytes, or leans on files beside it", len(page))
	}
	alone := t.TempDir()
	if err := os.WriteFile(filepath.Join(alone, "mailed.html"), page, 0o644); err != nil {
		t.Fatal(err)
	}
	p := open(t, b, alone, "mailed.html")
	p.drawAll()
	if n, total := eval[int](p, drawn), eval[int](p, "document.querySelectorAll('.plot').length"); n != total || n == 0 {
		t.Errorf("%d of %d charts have anything on them", n, total)
	}
	p.quiet()
	if ran := eval[bool](p, `new Promise(done => { const s = document.createElement('script'); s.textContent = 'window.ran = true'; document.head.append(s); setTimeout(() => done(window.ran === true), 50); })`); ran {
		t.Error("a script that is not the page's own ran")
	}
}

func assets(t *testing.T) []report.Asset {
	t.Helper()
	list, err := report.Assets()
	if err != nil {
		t.Fatal(err)
	}
	return list
}

const firstNames = `[...document.querySelectorAll('tbody[data-group=open] tr[data-name]')].map(r => r.dataset.name).join('|')`

func sorts(p *tab) {
	p.Helper()
	for _, c := range []struct{ key, sort, want string }{
		{"name", "ascending", "Bakehouse air conditioning|Cold room 2|Milk chiller 1"},
		{"name", "descending", "Milk chiller 1|Cold room 2|Bakehouse air conditioning"},
		{"size", "ascending", "Milk chiller 1|Cold room 2|Bakehouse air conditioning"},
		{"rank", "ascending", "Cold room 2|Milk chiller 1|Bakehouse air conditioning"},
	} {
		p.do(chromedp.Click(chromedp.CSS("th[data-key=" + c.key + "] button")))
		if got := eval[string](p, firstNames); got != c.want {
			p.Errorf("sorted by %s, %s: %s, want %s", c.key, c.sort, got, c.want)
		}
		if got := eval[string](p, "document.querySelector('th[aria-sort]').dataset.key + ' ' + document.querySelector('th[aria-sort]').getAttribute('aria-sort')"); got != c.key+" "+c.sort {
			p.Errorf("aria-sort says %q, want %q", got, c.key+" "+c.sort)
		}
	}
}

// remembersSort sorts the fleet and opens it again: it stands as it was left.
func remembersSort(t *testing.T, b context.Context, dir string) {
	t.Helper()
	p := open(t, b, dir, "index.html")
	p.do(chromedp.Click(chromedp.CSS("th[data-key=name] button")), chromedp.Click(chromedp.CSS("th[data-key=name] button")))
	want := eval[string](p, firstNames)
	again := open(t, b, dir, "index.html")
	if got := eval[string](again, firstNames); got != want || !strings.HasPrefix(got, "Milk") {
		t.Errorf("opened again, the fleet stands as %s, left as %s", got, want)
	}
	if got := eval[string](again, "document.querySelector('th[aria-sort]').dataset.key + ' ' + document.querySelector('th[aria-sort]').getAttribute('aria-sort')"); got != "name descending" {
		t.Errorf("opened again, aria-sort says %q", got)
	}
	again.do(chromedp.Click(chromedp.CSS("th[data-key=rank] button")))
	again.quiet()
}

// goesByKeys goes from system to system: in the order of the register where nobody came
// from the fleet page, else as that last showed them.
func goesByKeys(t *testing.T, b context.Context, dir string) {
	t.Helper()
	p := open(t, b, dir, top)
	eval[bool](p, "localStorage.clear(), true")
	p = open(t, b, dir, top)
	key := func(k string) string {
		before := p.name()
		p.do(chromedp.KeyEvent(k))
		return p.leaves(before)
	}
	register := []string{}
	for _, s := range reporttest.Fleet(1).Systems {
		register = append(register, s.Register.ID+".html")
	}
	at := slices.Index(register, "QH-CR2.html")
	if got := key("]"); got != register[at+1] {
		t.Errorf("the key ] leads to %s, want %s, the next of the register", got, register[at+1])
	}
	if got := key("["); got != "QH-CR2.html" {
		t.Errorf("the key [ leads to %s, want back", got)
	}
	fleet := open(t, b, dir, "index.html")
	ranked := strings.Fields(eval[string](fleet, `[...document.querySelectorAll('tr[data-name] th a')].map(a => a.getAttribute('href').split('/').pop()).join(' ')`))
	p = open(t, b, dir, top)
	if got := key("]"); got != ranked[1] {
		t.Errorf("after the fleet page ] leads to %s, want %s, the next by rank", got, ranked[1])
	}
	key("[")
	if got := key("["); got != "QH-CR2.html" {
		t.Errorf("before the first there is %s", got)
	}
	p.quiet()
}

// zoomsByLink zooms a chart, and opens the link that it then has: the same stretch is
// shown, in every chart that zooms with it.
func zoomsByLink(t *testing.T, b context.Context, dir string) {
	t.Helper()
	p := open(t, b, dir, top, watched)
	p.drawAll()
	shown := func(p *tab, chart string) string {
		return eval[string](p, `(z => [z.startValue, z.endValue].map(Math.round).join('~'))(document.getElementById('c-`+chart+`').chart.getOption().dataZoom[0])`)
	}
	eval[bool](p, `document.getElementById('c-subcooling').chart.dispatchAction({ type: 'dataZoom', start: 20, end: 40 }), new Promise(done => setTimeout(() => done(true), 100))`)
	want := shown(p, "subcooling")
	if got := shown(p, "superheat"); got != want {
		t.Errorf("beside a course that shows %s another shows %s", want, got)
	}
	hash := eval[string](p, "document.querySelector('#subcooling .eyebrow a').hash")
	if !strings.HasPrefix(hash, "#subcooling~") {
		t.Fatalf("the chart's link is %q", hash)
	}
	p.quiet()
	q := open(t, b, dir, top+hash, watched)
	q.drawAll()
	for _, chart := range []string{"subcooling", "superheat"} {
		if got := shown(q, chart); got != want {
			t.Errorf("opened by the link %s, %s shows %s, want %s", hash, chart, got, want)
		}
	}
	eval[bool](q, "dispatchEvent(new Event('beforeprint')), dispatchEvent(new Event('afterprint'))")
	if got := shown(q, "subcooling"); got != want {
		t.Errorf("after printing it shows %s, want %s", got, want)
	}
	narrow := open(t, b, dir, top+hash, watched, chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile))
	narrow.drawAll()
	if got := shown(narrow, "subcooling"); got != want {
		t.Errorf("on a phone the link %s shows %s, want %s", hash, got, want)
	}
	q.quiet()
	scalesCharts(p)
}

// scalesCharts asks for one scale: all courses are as many kelvins high.
func scalesCharts(p *tab) {
	p.Helper()
	heights := `[...document.querySelectorAll('#courses .plot')].map(e => (y => (y.max - y.min).toFixed(3))(e.chart.getOption().yAxis[0])).filter((h, i, all) => all.indexOf(h) === i).length`
	own := eval[int](p, heights)
	p.do(chromedp.Click(chromedp.CSS("#common")))
	p.drawAll()
	if scaled := eval[int](p, heights); own < 2 || scaled != 1 {
		p.Errorf("the courses have %d heights, and %d with one scale", own, scaled)
	}
	p.quiet()
}

// scalesCourses asks for one scale of the small figures: some get lower.
func scalesCourses(p *tab) {
	p.Helper()
	heights := `[...document.querySelectorAll('.spark')].map(e => e.querySelector('path').getBoundingClientRect().height).reduce((a, b) => a + b)`
	own := eval[float64](p, heights)
	p.do(chromedp.Click(chromedp.CSS("#common")))
	if scaled := eval[float64](p, heights); scaled >= own {
		p.Errorf("the courses are %.0f pixels high together, and %.0f with one scale", own, scaled)
	}
	p.do(chromedp.Click(chromedp.CSS("#common")))
}

func filters(p *tab) {
	p.Helper()
	p.do(chromedp.KeyEvent("/"))
	if got := eval[string](p, "document.activeElement.id"); got != "find" {
		p.Errorf("the key / leads to %q, want the filter", got)
	}
	p.do(chromedp.SendKeys(chromedp.CSS("#find"), "dairy"))
	if got, want := eval[string](p, "document.getElementById('count').textContent"), "2 of 11 systems shown"; got != want {
		p.Errorf("after filtering for a site: %q, want %q", got, want)
	}
	if n := eval[int](p, "[...document.querySelectorAll('tr[data-name]')].filter(e => e.checkVisibility()).length"); n != 2 {
		p.Errorf("%d rows in sight, want 2: a filter opens the folded list", n)
	}
	eval[bool](p, "document.getElementById('find').value = '', document.getElementById('find').dispatchEvent(new Event('input')), true")
	eval[bool](p, "document.getElementById('group').value = 'unjudged', document.getElementById('group').dispatchEvent(new Event('change')), true")
	if got, want := eval[string](p, "document.getElementById('count').textContent"), "3 of 11 systems shown"; got != want {
		p.Errorf("after choosing a list: %q, want %q", got, want)
	}
	eval[bool](p, "document.getElementById('group').value = '', document.getElementById('group').dispatchEvent(new Event('change')), true")
}

func folds(p *tab) {
	p.Helper()
	const calm = "tbody[data-group=calm]"
	visible := `[...document.querySelectorAll('` + calm + ` tr[data-name]')].filter(e => e.checkVisibility()).length`
	before := eval[int](p, visible)
	p.do(chromedp.Focus(chromedp.CSS(calm+" button.fold")), chromedp.KeyEvent(kb.Enter))
	if after := eval[int](p, visible); (before == 0) == (after == 0) {
		p.Errorf("the list without findings had %d rows in sight, and has %d after its button", before, after)
	}
}

// drawn counts the charts with more than 500 pixels that are not empty.
const drawn = `[...document.querySelectorAll('.plot')].filter(plot => [...plot.querySelectorAll('canvas')].some(c => {
	const d = c.getContext('2d').getImageData(0, 0, c.width, c.height).data; let n = 0;
	for (let i = 3; i < d.length; i += 4) n += d[i] > 0; return n > 500; })).length`

func drawsLazily(p *tab) {
	p.Helper()
	total := eval[int](p, "document.querySelectorAll('.plot').length")
	if n := eval[int](p, "document.querySelectorAll('.plot[data-drawn]').length"); n == total {
		p.Errorf("all %d charts were drawn before anybody scrolled to them", n)
	}
	p.drawAll()
	if n := eval[int](p, drawn); n != total {
		p.Errorf("%d of %d charts have anything on them", n, total)
	}
}

func walksWithKeys(p *tab) {
	p.Helper()
	const live = "document.querySelector('#subcooling .live').textContent"
	p.do(chromedp.Focus(chromedp.CSS("#c-subcooling")), chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent(kb.ArrowRight))
	if got := eval[string](p, live); !strings.HasPrefix(got, "2 of 15: ") || !strings.Contains(got, "K") {
		p.Errorf("after two steps the chart reads out %q", got)
	}
	p.do(chromedp.KeyEvent(kb.End))
	if got := eval[string](p, live); !strings.HasPrefix(got, "15 of 15: ") {
		p.Errorf("at its end the chart reads out %q", got)
	}
	p.do(chromedp.Focus(chromedp.CSS("#c-log-temperature")), chromedp.KeyEvent(kb.Home))
	if got := eval[string](p, "document.querySelector('#log-temperature .live').textContent"); !strings.Contains(got, "suction") {
		p.Errorf("the log reads out %q, want the channels", got)
	}
}

// writesMinus looks at the figures beside the axes of a chart that goes below zero.
func writesMinus(p *tab) {
	p.Helper()
	labels := eval[string](p, `dispatchEvent(new Event('beforeprint')), [...document.querySelectorAll('.plot svg text')].map(e => e.textContent).filter(t => /^\W?[\d.]+$/.test(t)).join(' ')`)
	eval[bool](p, "dispatchEvent(new Event('afterprint'))")
	if !strings.Contains(labels, "\u2212") || strings.Contains(labels, "-") {
		p.Errorf("the axes are labelled %q, want a true minus sign", labels)
	}
}

// savesFigures looks at the file that a chart's button makes: its table, with a plain
// minus, and no cell that a spreadsheet takes for a formula.
func savesFigures(p *tab) {
	p.Helper()
	got := eval[string](p, `new Promise(done => {
		URL.createObjectURL = file => (file.text().then(done), 'blob:none');
		HTMLAnchorElement.prototype.click = () => {};
		const figures = document.querySelector('#subcooling .figures'), cells = figures.querySelectorAll('td');
		['=1+1', '+1+x(1)', '\u22121.5 ± 0.4', 'a "b"'].forEach((text, i) => { cells[i].textContent = text; });
		figures.querySelector('button.csv').click(); })`)
	if !strings.HasPrefix(got, `"Visit","Part","Measured, K"`) {
		p.Errorf("the file begins %q", got[:min(60, len(got))])
	}
	for _, want := range []string{`"'=1+1"`, `"'+1+x(1)"`, `"-1.5 ± 0.4"`, `"a ""b"""`} {
		if !strings.Contains(got, want) {
			p.Errorf("the file has no cell %s: %q", want, got[:min(200, len(got))])
		}
	}
}

// reachesEvidence goes from the fleet page to the evidence of the top finding with
// three keys: to the first link, past the menus, and in.
func reachesEvidence(p *tab) {
	p.do(chromedp.KeyEvent(kb.Tab), chromedp.KeyEvent(kb.Enter))
	if got := eval[string](p, "document.activeElement.textContent"); got != "Cold room 2" {
		p.Errorf("the first key leads to %q", got)
	}
	p.do(chromedp.KeyEvent(kb.Enter), chromedp.WaitReady(chromedp.CSS("html[data-booted] #findings")))
	if y := eval[float64](p, "document.querySelector('.finding .four').getBoundingClientRect().top"); y > 900 {
		p.Errorf("the evidence is %.0f pixels down, out of sight", y)
	}
}

func fitsPhone(t *testing.T, p *tab, name string) {
	t.Helper()
	p.drawAllIfAny()
	if w := eval[int](p, "document.documentElement.scrollWidth"); w > 390 {
		t.Errorf("%s is %d pixels wide on a phone of 390", name, w)
	}
	p.quiet()
}

// showsReadings holds the table of readings to the width of a phone: nothing of it lies to
// the side, and each figure stands below the name of its column.
func showsReadings(p *tab, name string) {
	p.Helper()
	const tables = `[...document.querySelectorAll('.scroll:has(.readings)')]`
	if eval[int](p, tables+".length") == 0 {
		p.Errorf("%s has no table of readings", name)
	}
	if n := eval[int](p, tables+".filter(e => e.scrollWidth > e.clientWidth).length"); n > 0 {
		p.Errorf("%d tables of readings on %s scroll sideways", n, name)
	}
	const unnamed = `[...document.querySelectorAll('.scroll .readings td')].filter(e => getComputedStyle(e, '::before').content.length < 5).length`
	if n := eval[int](p, unnamed); n > 0 {
		p.Errorf("%s shows %d figures without the name of their column", name, n)
	}
	p.quiet()
}

func (p *tab) drawAllIfAny() {
	p.Helper()
	if eval[int](p, "document.querySelectorAll('.plot').length") > 0 {
		p.drawAll()
	}
}

const ground = `getComputedStyle(document.body).backgroundColor.match(/\d+/g).map(Number).reduce((a, b) => a + b)`

func isDark(p *tab) {
	p.drawAll()
	if sum := eval[int](p, ground); sum > 200 {
		p.Errorf("the ground of the dark page has the brightness %d of 765", sum)
	}
	p.quiet()
}

func switchesTheme(p *tab) {
	before := eval[int](p, ground)
	p.do(chromedp.Click(chromedp.CSS("button.theme")))
	p.drawAll()
	if after := eval[int](p, ground); before < 600 || after > 200 {
		p.Errorf("the button led from brightness %d to %d", before, after)
	}
	p.quiet()
}

// lightOnPaper looks at a page as it is printed by a reader who has chosen the dark one.
func lightOnPaper(p *tab, name string) {
	eval[bool](p, "document.documentElement.dataset.theme = 'dark', true")
	p.do(paper)
	if sum := eval[int](p, ink); sum > 200 {
		p.Errorf("%s prints its text with the brightness %d of 765", name, sum)
	}
}

const ink = `getComputedStyle(document.body).color.match(/\d+/g).map(Number).slice(0, 3).reduce((a, b) => a + b)`

func prints(p *tab, name string, least, most int) {
	charts := eval[int](p, "document.querySelectorAll('.plot').length")
	pdf := run(p, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize(), chromedp.PDFPrintBackground()))
	if pages := sheets(pdf); pages < least || pages > most {
		p.Errorf("%s has %d sheets, want %d to %d", name, pages, least, most)
	}
	if n := bytes.Count(pdf, []byte("/Subtype /Image")); n > 0 {
		p.Errorf("%d charts were printed as pictures, want lines", n)
	}
	if len(pdf) < 20_000*(charts+1) {
		p.Errorf("%s has %d bytes: its %d charts are not on it", name, len(pdf), charts)
	}
	keep(p.T, name, pdf)
	p.drawAllIfAny()
	if n := eval[int](p, drawn); n != charts {
		p.Errorf("after printing %d of %d charts came back", n, charts)
	}
	p.quiet()
}

// printsOnOneSheet prints every visit sheet by itself, as a customer gets it.
func printsOnOneSheet(t *testing.T, b context.Context, dir string) {
	t.Helper()
	for _, id := range []string{"QH-CR2", "BENCH", "FD-CH1"} {
		name := report.SheetPath(id)
		p := open(t, b, dir, name)
		for _, anchor := range strings.Fields(eval[string](p, "[...document.querySelectorAll('.sheet')].map(e => e.id).join(' ')")) {
			eval[bool](p, "location.hash = '#"+anchor+"', true")
			if n := eval[int](p, "[...document.querySelectorAll('.sheet')].filter(e => e.checkVisibility()).length"); n != 1 {
				t.Errorf("%s#%s shows %d sheets, want one", name, anchor, n)
			}
			pdf := run(p, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize(), chromedp.PDFPrintBackground()))
			if n := sheets(pdf); n != 1 {
				t.Errorf("%s#%s is printed on %d pages, want one", name, anchor, n)
			}
			keep(t, id+anchor+".pdf", pdf)
		}
		p.quiet()
	}
}

// fitsOneScreen looks at cards on a phone: all of a card is seen without a finger.
func fitsOneScreen(t *testing.T, b context.Context, dir string) {
	t.Helper()
	for _, id := range []string{"QH-CR2", "BENCH", "FD-CH1", "LM-HP1"} {
		p := open(t, b, dir, report.CardPath(id), chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile))
		if y := eval[float64](p, "document.querySelector('.card').getBoundingClientRect().bottom"); y > 844 {
			t.Errorf("the card of %s ends %.0f pixels down, below a screen of 844", id, y)
		}
		fitsPhone(t, p, report.CardPath(id))
		if n := sheets(run(p, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize()))); n != 1 {
			t.Errorf("the card of %s is printed on %d pages, want one", id, n)
		}
	}
}

// sheets counts the pages of a PDF.
func sheets(pdf []byte) int {
	return bytes.Count(pdf, []byte("/Type /Page\n")) + bytes.Count(pdf, []byte("/Type /Page "))
}

// keep leaves a file to look at where the environment names a folder for it.
func keep(t *testing.T, name string, b []byte) {
	t.Helper()
	dir := os.Getenv("RIMELOG_KEEP")
	if dir == "" {
		return
	}
	if err := os.WriteFile(filepath.Join(dir, name), b, 0o644); err != nil {
		t.Error(err)
	}
}

func accessible(p *tab, name string) {
	p.drawAllIfAny()
	checker, err := os.ReadFile(filepath.FromSlash("../bundle/node_modules/axe-core/axe.min.js"))
	if err != nil {
		p.Fatalf("the accessibility checker is missing (%v): \"make assets\" installs it", err)
	}
	eval[bool](p, string(checker)+"; true")
	eval[bool](p, "document.querySelectorAll('details').forEach(d => { d.open = true; }), document.querySelectorAll('button.fold[aria-expanded=false]').forEach(b => b.click()), true")
	found := eval[string](p, `axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] })
		.then(r => r.violations.map(v => v.id + ': ' + v.nodes.map(n => n.target.join(' ') + ' (' + n.failureSummary + ')').slice(0, 3).join('; ')).join('\n'))`)
	if found != "" {
		p.Errorf("%s: %s", name, found)
	}
}

// speaks checks the language of what only the script writes: what it reads out, and the
// figures and months beside the axes.
func speaks(p *tab, tag, of, decimal string) {
	p.Helper()
	if got := eval[string](p, "document.documentElement.lang"); got != tag {
		p.Errorf("the page's language is %q, want %q", got, tag)
	}
	p.do(chromedp.Focus(chromedp.CSS("#c-subcooling")), chromedp.KeyEvent(kb.ArrowRight))
	if got := eval[string](p, "document.querySelector('#subcooling .live').textContent"); !strings.HasPrefix(got, "1 "+of+" 15: ") || !strings.Contains(got, decimal) {
		p.Errorf("the chart reads out %q", got)
	}
	labels := eval[string](p, `dispatchEvent(new Event('beforeprint')), [...document.querySelectorAll('.plot svg text')].map(e => e.textContent).join(' ')`)
	eval[bool](p, "dispatchEvent(new Event('afterprint'))")
	if strings.Contains(labels, "Oct") || !strings.Contains(labels, "Okt") {
		p.Errorf("the axes name months as in %q", labels)
	}
}
