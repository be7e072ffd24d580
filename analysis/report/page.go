package report

import (
	"bytes"
	"errors"
	"fmt"
	"html/template"
	"path"
	"strings"

	"rimelog/analysis/records"
)

// A Writer writes pages. The zero value does not work: NewWriter makes one.
type Writer struct {
	templates *template.Template
	style     string
	script    string
	engine    string // path of the chart engine below the report's folder; empty for none
	hash      string // of everything that pages are made with besides their figures
}

// Options steer how pages look.
type Options struct {
	Plain bool `json:"plain" doc:"leave the charts out, as in a build without the chart engine: pages have tables and small figures, and say what is missing"`
}

// Validate finds nothing wrong: every value of every option is allowed.
func (o Options) Validate() error { return nil }

// NewWriter reads the templates, style and script, and finds the chart engine.
func NewWriter(o Options) (*Writer, error) {
	w := &Writer{}
	if err := w.findEngine(o); err != nil {
		return nil, err
	}
	var err error
	w.templates, err = template.New("report").Funcs(w.functions()).ParseFS(html, "html/*.html")
	if err != nil {
		return nil, fmt.Errorf("report templates: %w", err)
	}
	return w, w.read()
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
	for _, name := range []string{"report.css", "report.js", "page.html", "index.html", "system.html", "sheet.html", "card.html", "visits.html", "leaks.html", "seasons.html", "method.html"} {
		b, err := html.ReadFile("html/" + name)
		if err != nil {
			return fmt.Errorf("report files: %w", err)
		}
		fmt.Fprintf(&all, "%s %d\n%s", name, len(b), b)
		switch name {
		case "report.css":
			w.style = squeeze(b)
		case "report.js":
			w.script = squeeze(b)
		}
	}
	all.WriteString(w.engine)
	w.hash = sha256Of(all.Bytes())
	return nil
}

// squeeze leaves out what only people read: indents, empty lines, comment lines. The
// style and script have no text that spans lines.
func squeeze(b []byte) string {
	var lines []string
	for line := range strings.Lines(string(b)) {
		if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "//") {
			lines = append(lines, line)
		}
	}
	return strings.Join(lines, "\n")
}

// Hash is the hash of everything that pages are made with besides their figures.
func (w *Writer) Hash() string { return w.hash }

func (w *Writer) functions() template.FuncMap {
	return template.FuncMap{
		"mark": func(name string) template.HTML {
			return template.HTML(`<svg class="mark" aria-hidden="true" focusable="false"><use href="#m-` + template.HTMLEscapeString(name) + `"/></svg>`)
		},
		"lower":   lower,
		"width":   func(b lineBar) float64 { return b.Right - b.Left },
		"capital": capital,
		"engine":  func() bool { return w.engine != "" },
		// The options were made safe for a script element by package chart.
		"json": func(b []byte) template.JS { return template.JS(b) },
	}
}

// page is what the outer template shows.
type page struct {
	Title, Policy string
	Base          string // from the page to the report's folder: empty, or ../
	First         bool   // whether there is a finding to go to first
	Style         template.CSS
	Script        template.JS
	Engine        string // as a link from the page
	Index         *indexView
	System        *systemView
	Sheets        *sheetsView
	Card          *cardView
	Visits        *visitsView
	Leaks         *leaksView
	Seasons       *seasonsView
	Method        *methodView
	Made          madeView
}

// Index returns the fleet page.
func (w *Writer) Index(f Fleet) ([]byte, error) {
	v := f.view()
	return w.write("index.html", page{Title: "Fleet report, " + v.AsOf, First: v.First != "", Index: &v, Made: v.Made})
}

// Visits returns the visit list.
func (w *Writer) Visits(f Fleet) ([]byte, error) {
	v := f.visits()
	return w.write(visitsPage, page{Title: "Visit list, " + v.AsOf, Visits: &v, Made: v.Made})
}

// Leaks returns the page of leaks and records.
func (w *Writer) Leaks(f Fleet) ([]byte, error) {
	v := f.leaks()
	return w.write(leaksPage, page{Title: "Leaks and records, " + v.AsOf, Leaks: &v, Made: v.Made})
}

// Calendar returns what is due as an iCalendar file.
func (f Fleet) Calendar() ([]byte, error) {
	return records.Calendar(f.Records.LeakChecks, calendarDay(f.AsOf)), nil
}

// BookCSV returns the record book as a file for spreadsheets.
func (f Fleet) BookCSV() ([]byte, error) { return records.BookCSV(f.Records.Book) }

// Seasons returns the page about the fleet's energy.
func (w *Writer) Seasons(f Fleet) ([]byte, error) {
	v, err := f.seasons()
	if err != nil {
		return nil, err
	}
	return w.write(seasonsPage, page{Title: "Energy over the seasons, " + v.AsOf, Engine: w.engine, Seasons: &v, Made: v.Made})
}

// The visit list as a page and as a file for spreadsheets.
const (
	visitsPage = "visits.html"
	visitsFile = "visits.csv"
)

// System returns the page of a system.
func (w *Writer) System(s System, m Made) ([]byte, error) {
	v, err := s.view(m)
	if err != nil {
		return nil, fmt.Errorf("page of %s: %w", s.Register.ID, err)
	}
	p := page{Title: v.Title + ", system " + v.ID, Base: "../", First: len(v.Open) > 0, System: &v, Made: v.Made}
	if w.engine != "" {
		p.Engine = path.Join("..", w.engine)
	}
	return w.write(SystemPath(s.Register.ID), p)
}

// Sheets returns the visit sheets of a system: what one visit found, on one printed page.
func (w *Writer) Sheets(s System, m Made) ([]byte, error) {
	v := s.sheets(m)
	return w.write(SheetPath(s.Register.ID), page{Title: "Visit sheet, " + v.Title + ", system " + v.ID, Base: "../", Sheets: &v, Made: v.Made})
}

// Card returns a system's card for the next visit.
func (w *Writer) Card(s System, m Made) ([]byte, error) {
	v := s.card(m)
	return w.write(CardPath(s.Register.ID), page{Title: "Next visit, " + v.Title + ", system " + v.ID, Base: "../", Card: &v, Made: v.Made})
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
	p.Style, p.Script, p.Policy = template.CSS(w.style), template.JS(w.script), policy(w.script)
	p.Made.Engine = w.engine != ""
	var b bytes.Buffer
	if err := w.templates.ExecuteTemplate(&b, "page", p); err != nil {
		return nil, fmt.Errorf("write %s: %w", name, err)
	}
	return b.Bytes(), nil
}
