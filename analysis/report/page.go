package report

import (
	"bytes"
	"errors"
	"fmt"
	"html/template"
	"path"

	"rimelog/analysis/records"
	"rimelog/analysis/report/chart"
	"rimelog/analysis/say"
)

// A Writer writes pages. The zero value does not work: NewWriter makes one.
type Writer struct {
	templates *template.Template
	style     string
	script    string
	engine    string // path of the chart engine below the report's folder; empty for none
	hash      string // of everything that pages are made with besides their figures
	theme     []byte // of the charts, as JSON
	say       say.Locale
	single    *single // nil for pages that share the chart engine
}

// single is what a page holds that is a whole report in one file: the chart engine and the
// pages' own script, packed, and the script that unpacks them.
type single struct{ packed, script, loader string }

// Options steer how pages look.
type Options struct {
	Language string `json:"language" doc:"language of the pages: one of the catalogue's, such as en or de"`
	Units    string `json:"units" doc:"units of the pages: SI (°C, bar, kg) or IP (°F, psi, lb)"`
	Pressure string `json:"pressure" doc:"what pressures are counted from: gauge, as gauges show them at the site's altitude, or absolute"`
	Single   bool   `json:"single_file" doc:"put the chart engine into each page with charts, about 0.4 MB, so that a page can be mailed alone"`
	Plain    bool   `json:"plain" doc:"leave the charts out, as in a build without the chart engine: pages have tables and small figures, and say what is missing"`
}

// DefaultOptions are English pages in SI units, pressures as gauges show them.
func DefaultOptions() Options { return Options{Language: "en", Units: "SI", Pressure: "gauge"} }

// Validate says which value of which option is not allowed.
func (o Options) Validate() error {
	_, err := o.Locale()
	return err
}

// Locale is how pages speak; an empty option has its default.
func (o Options) Locale() (say.Locale, error) {
	var u say.Units
	switch o.Units {
	case "", "SI":
	case "IP":
		u.InchPound = true
	default:
		return say.Locale{}, fmt.Errorf("report.units %q: want SI or IP", o.Units)
	}
	switch o.Pressure {
	case "", "gauge":
	case "absolute":
		u.Absolute = true
	default:
		return say.Locale{}, fmt.Errorf("report.pressure %q: want gauge or absolute", o.Pressure)
	}
	l, err := say.New(o.Language, u)
	if err != nil {
		return l, fmt.Errorf("report.language: %w", err)
	}
	return l, nil
}

// NewWriter reads the templates, style and script, and finds the chart engine.
func NewWriter(o Options) (*Writer, error) {
	l, err := o.Locale()
	if err != nil {
		return nil, err
	}
	w := &Writer{say: l}
	if err := w.findEngine(o); err != nil {
		return nil, err
	}
	w.templates, err = template.New("report").Funcs(w.functions()).ParseFS(html, "html/*.html")
	if err != nil {
		return nil, fmt.Errorf("report templates: %w", err)
	}
	if err := w.read(); err != nil || !o.Single || w.engine == "" {
		return w, err
	}
	return w, w.hold()
}

// hold puts the chart engine into the pages themselves.
func (w *Writer) hold() error {
	script, err := engine()
	if err != nil {
		return err
	}
	loader, err := html.ReadFile("html/loader.js")
	if err != nil {
		return fmt.Errorf("report files: %w", err)
	}
	w.single = &single{script: string(script) + "\n" + w.script, loader: squeezeScript(loader)}
	w.hash = sha256Of([]byte("single " + w.hash + w.single.loader))
	w.single.packed, err = pack(w.single.script)
	return err
}

func (w *Writer) findEngine(o Options) error {
	assets, err := Assets()
	switch {
	case o.Plain || errors.Is(err, ErrNoEngine):
		return nil
	case err != nil:
		return err
	}
	w.engine = assets[0].Path
	return nil
}

// read takes in the style and script, and the hash of all that pages are made with.
func (w *Writer) read() error {
	var all bytes.Buffer
	for _, name := range []string{"report.css", "report.js", "page.html", "index.html", "system.html", "sheet.html", "card.html", "quality.html", "visits.html", "leaks.html", "seasons.html", "method.html"} {
		b, err := html.ReadFile("html/" + name)
		if err != nil {
			return fmt.Errorf("report files: %w", err)
		}
		fmt.Fprintf(&all, "%s %d\n%s", name, len(b), b)
		switch name {
		case "report.css":
			w.style = squeezeStyle(b)
		case "report.js":
			w.script = squeezeScript(b)
		}
	}
	var err error
	if w.theme, err = chart.Theme(); err != nil {
		return fmt.Errorf("theme of the charts: %w", err)
	}
	all.Write(w.theme)
	all.WriteString(w.engine + w.say.Hash())
	w.hash = sha256Of(all.Bytes())
	return nil
}

// Hash is the hash of everything that pages are made with besides their figures.
func (w *Writer) Hash() string { return w.hash }

func (w *Writer) functions() template.FuncMap {
	return template.FuncMap{
		"mark": func(name string) template.HTML {
			return template.HTML(`<svg class="mark" aria-hidden="true" focusable="false"><use href="#m-` + template.HTMLEscapeString(name) + `"/></svg>`)
		},
		"say":       w.text,
		"tag":       w.say.Tag,
		"prose":     w.say.Prose,
		"months":    w.say.Months,
		"separator": func() string { return string(w.say.Separator()) },
		"lower":     w.say.Lower,
		"width":     func(b lineBar) float64 { return b.Right - b.Left },
		"capital":   capital,
		"engine":    func() bool { return w.engine != "" },
		// The options were made safe for a script element by package chart.
		"json": func(b []byte) template.JS { return template.JS(b) },
	}
}

// text is a text in the pages' language; the figures in it are written as they are.
func (w *Writer) text(t say.Text, args ...any) string {
	written := make([]string, len(args))
	for i, a := range args {
		written[i] = fmt.Sprint(a)
	}
	return w.say.Text(t, written...)
}

// page is what the outer template shows.
type page struct {
	Title, Policy string
	Base          string // from the page to the report's folder: empty, or ../
	First         bool   // whether there is a finding to go to first
	Style         template.CSS
	Script        template.JS
	Engine        string        // as a link from the page
	Packed        template.HTML // base64: the chart engine and the script, where the page holds them
	Theme         []byte        // of the charts, where the page has any
	Index         *indexView
	System        *systemView
	Sheets        *sheetsView
	Card          *cardView
	Visits        *visitsView
	Leaks         *leaksView
	Seasons       *seasonsView
	Method        *methodView
	Quality       *qualityView
	Made          madeView
}

// Index returns the fleet page.
func (w *Writer) Index(f Fleet) ([]byte, error) {
	v := f.in(w.say).view()
	return w.write("index.html", page{Title: w.say.Text("Fleet report, %s", v.AsOf), First: v.First != "", Index: &v, Made: v.Made})
}

// Visits returns the visit list.
func (w *Writer) Visits(f Fleet) ([]byte, error) {
	v := f.in(w.say).visits()
	return w.write(visitsPage, page{Title: w.say.Text("Visit list, %s", v.AsOf), Visits: &v, Made: v.Made})
}

// Leaks returns the page of leaks and records.
func (w *Writer) Leaks(f Fleet) ([]byte, error) {
	v := f.in(w.say).leaks()
	return w.write(leaksPage, page{Title: w.say.Text("Leaks and records, %s", v.AsOf), Leaks: &v, Made: v.Made})
}

// Calendar returns what is due as an iCalendar file.
func (f Fleet) Calendar() ([]byte, error) {
	return records.Calendar(f.Records.LeakChecks, calendarDay(f.AsOf)), nil
}

// BookCSV returns the record book as a file for spreadsheets.
func (f Fleet) BookCSV() ([]byte, error) { return records.BookCSV(f.Records.Book) }

// Seasons returns the page about the fleet's energy.
func (w *Writer) Seasons(f Fleet) ([]byte, error) {
	v, err := f.in(w.say).seasons()
	if err != nil {
		return nil, err
	}
	return w.write(seasonsPage, page{Title: w.say.Text("Energy over the seasons, %s", v.AsOf), Engine: w.engine, Seasons: &v, Made: v.Made})
}

// The visit list as a page and as a file for spreadsheets.
const (
	visitsPage = "visits.html"
	visitsFile = "visits.csv"
)

// System returns the page of a system.
func (w *Writer) System(s System, m Made) ([]byte, error) {
	v, err := s.in(w.say).view(m)
	if err != nil {
		return nil, fmt.Errorf("page of %s: %w", s.Register.ID, err)
	}
	p := page{Title: w.say.Text("%s, system %s", v.Title, v.ID), Base: "../", First: len(v.Open) > 0, System: &v, Made: v.Made}
	if w.engine != "" {
		p.Engine = path.Join("..", w.engine)
	}
	return w.write(SystemPath(s.Register.ID), p)
}

// Sheets returns the visit sheets of a system: what one visit found, on one printed page.
func (w *Writer) Sheets(s System, m Made) ([]byte, error) {
	v := s.in(w.say).sheets(m)
	return w.write(SheetPath(s.Register.ID), page{Title: w.say.Text("Visit sheet, %s, system %s", v.Title, v.ID), Base: "../", Sheets: &v, Made: v.Made})
}

// Card returns a system's card for the next visit.
func (w *Writer) Card(s System, m Made) ([]byte, error) {
	v := s.in(w.say).card(m)
	return w.write(CardPath(s.Register.ID), page{Title: w.say.Text("Next visit, %s, system %s", v.Title, v.ID), Base: "../", Card: &v, Made: v.Made})
}

// pagesOf draws all pages of a system.
func (w *Writer) pagesOf(s System, m Made) (out []drawn, err error) {
	for i, draw := range []func(System, Made) ([]byte, error){w.System, w.Sheets, w.Card} {
		b, err := draw(s, m)
		if err != nil {
			return nil, err
		}
		out = append(out, drawn{systemPaths(s.Register.ID)[i], b})
	}
	return out, nil
}

// SystemPath is where the page of a system lies below the report's folder.
func SystemPath(id string) string { return "system/" + id + ".html" }

// SheetPath is where a system's visit sheets lie below the report's folder.
func SheetPath(id string) string { return "visit/" + id + ".html" }

// CardPath is where a system's card for the next visit lies below the report's folder.
func CardPath(id string) string { return "next/" + id + ".html" }

// systemPaths are the pages of a system, in the order in which pagesOf draws them.
func systemPaths(id string) []string { return []string{SystemPath(id), SheetPath(id), CardPath(id)} }

func (w *Writer) write(name string, p page) ([]byte, error) {
	p.Style, p.Script, p.Policy = template.CSS(w.style), template.JS(w.script), policy(w.style, p.Engine != "", w.script)
	if p.Engine != "" {
		p.Theme = w.theme
	}
	if w.single != nil && p.Engine != "" {
		p.Engine, p.Script, p.Packed = "", template.JS(w.single.loader), template.HTML(w.single.packed)
		p.Policy = policy(w.style, false, w.single.loader, w.single.script)
	}
	p.Made.Engine = w.engine != ""
	var b bytes.Buffer
	if err := w.templates.ExecuteTemplate(&b, "page", p); err != nil {
		return nil, fmt.Errorf("write %s: %w", name, err)
	}
	return b.Bytes(), nil
}
