package report_test

import (
	"bytes"
	"encoding/csv"
	"go/ast"
	"go/parser"
	"go/token"
	"html"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"rimelog/analysis/report"
	"rimelog/analysis/report/reporttest"
	"rimelog/analysis/say"
	"rimelog/pipeline/table"
)

// drawn keeps the pages of the invented fleet for the tests that only read them.
var drawn sync.Map

// fleetPages are all kinds of pages of the invented fleet, drawn once.
func fleetPages(t *testing.T, o report.Options) map[string][]byte {
	t.Helper()
	if p, ok := drawn.Load(o); ok {
		return p.(map[string][]byte)
	}
	p := pages(t, writer(t, o), reporttest.Fleet(1))
	drawn.Store(o, p)
	return p
}

func germanPages(t *testing.T) map[string][]byte {
	t.Helper()
	return fleetPages(t, report.Options{Language: "de"})
}

// english are words that no German sentence has.
var englishWords = regexp.MustCompile(`(?:^|[^\p{L}\d_])(the|of|and|is|are|were|with|from|by|to|at|its|that|this|which|be|has|have|than|been|where|what|logged|visits|judged|leak|check|pressure|temperature|suspected|noise|about|year|month|months|days|yes|found|left|added|recovered|Superheat|Subcooling|Findings|System|Charge)(?:[^\p{L}\d_]|$)`)

// names are what stays as it is in every language: names of machines and places, what
// people wrote, paths, and the words that files of the register take.
var names = regexp.MustCompile(`(?im)(Cold room|Milk chiller|Bakehouse air conditioning|Ice store|Laundry heat pump|Pack, pool hall|Display cabinet|Training bench|Freezer room|Harrow Quay Fish Hall|Fennmoor Dairy|Tallow Row Bakery|Larkmead Baths|Wren Bridge Stores|Quillhaven Trade School|Gullhouse Inn)[\w, ]*|` +
	`flare nut at the receiver|from the van/log0007\.csv|FD-CH1/autumn check\.csv|LM-HP1/visit 3\.csv|[\w-]+/[\w/.=-]+|corrects = [\d-]+ [a-z ]+ eintragen|rimelog \w+|Multiparameter Equations of State|Handbook of Chemistry and Physics|aus dem Pfad: [a-z, ]+|^to-ac3|^visits( \d+)?$`)

// notTranslated are the parts of pages that are in English in every language: names of
// tables and columns, their types, and the words of the dataset's cells, in quotes.
var notTranslated = regexp.MustCompile(`<th scope="row">\w+<span class="id">[^<]*</span>|„[a-z :,-]+“|Spalten von \w+|Tabelle \w+`)

var attributes = regexp.MustCompile(`(?:aria-label|aria-roledescription|title|placeholder|data-text|data-step|data-none|data-fold|data-show|data-next|data-no)="([^"]*)"`)

// No English is left on German pages, of any kind.
func TestGermanPagesAreGerman(t *testing.T) {
	for name, page := range germanPages(t) {
		if !bytes.Contains(page, []byte(`<html lang="de"`)) {
			t.Errorf("%s does not say that it is German", name)
		}
		text := notTranslated.ReplaceAllString(string(page), "")
		said := []string{}
		for _, m := range attributes.FindAllStringSubmatch(text, -1) {
			said = append(said, m[1])
		}
		said = append(said, strings.Split(tags.ReplaceAllString(text, "\n"), "\n")...)
		for _, s := range said {
			s = names.ReplaceAllString(html.UnescapeString(s), "")
			if hit := englishWords.FindString(s); hit != "" {
				t.Errorf("%s: %q is English: %s", name, hit, s)
			}
		}
	}
}

// What the style writes comes from the page: it has no words of its own.
func TestStyleHasNoWords(t *testing.T) {
	style, err := os.ReadFile("html/report.css")
	if err != nil {
		t.Fatal(err)
	}
	if hit := regexp.MustCompile(`content: *"[^"]*[A-Za-z]{2}[^"]*"`).Find(style); hit != nil {
		t.Errorf("the style writes %s: give it as an attribute of the page", hit)
	}
}

// Charts are text too: what their options say is German as well.
func TestGermanChartsAreGerman(t *testing.T) {
	name := regexp.MustCompile(`"name":"([^"]*)"`)
	for path, page := range germanPages(t) {
		for _, m := range name.FindAllStringSubmatch(string(page), -1) {
			s := names.ReplaceAllString(m[1], "")
			if hit := englishWords.FindString(s); hit != "" {
				t.Errorf("%s: a chart says %q: %s", path, hit, s)
			}
		}
	}
}

// Figures have a decimal comma, dates a day with a point and the month's name, and a
// percent sign stands apart. Source: DIN 1333:1992, DIN 5008:2020 (from memory).
func TestGermanFigures(t *testing.T) {
	point := regexp.MustCompile(`\d\.\d+(\x{a0}|&nbsp;| )(K|°C|kg|kW|%|bar|h|Jahre)`)
	tight := regexp.MustCompile(`\d%[^0-9A-Fa-f;"]`)
	date := regexp.MustCompile(`\b\d{1,2}\x{a0}(Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)\b`)
	for name, page := range germanPages(t) {
		text := tags.ReplaceAllString(notTranslated.ReplaceAllString(string(page), ""), " ")
		for what, form := range map[string]*regexp.Regexp{"a decimal point": point, "a tight percent sign": tight, "an English date": date} {
			if hit := form.FindString(text); hit != "" {
				t.Errorf("%s has %s: %q", name, what, hit)
			}
		}
	}
}

// Hostile names are as inert in a translation as in English.
func TestHostileNamesAreTextInGerman(t *testing.T) {
	for name, page := range pages(t, writer(t, report.Options{Language: "de"}), reporttest.Hostile()) {
		for _, bad := range reporttest.HostileNames {
			if strings.ContainsAny(bad, "<>") && bytes.Contains(page, []byte(bad)) {
				t.Errorf("%s contains %q as it is", name, bad)
			}
		}
		if bytes.Contains(page, []byte("ZgotmplZ")) || bytes.Contains(page, []byte("%!")) {
			t.Errorf("%s: a template or a format refused a value", name)
		}
	}
}

// Pages of two locales never pass for each other.
func TestLocalesHaveTheirOwnHash(t *testing.T) {
	seen := map[string]report.Options{}
	for _, o := range []report.Options{{}, {Language: "de"}, {Units: "IP"}, {Pressure: "absolute"}, {Units: "IP", Pressure: "absolute"}} {
		hash := writer(t, o).Hash()
		if other, ok := seen[hash]; ok {
			t.Errorf("%+v and %+v have one hash", o, other)
		}
		seen[hash] = o
	}
	if writer(t, report.Options{}).Hash() != writer(t, report.DefaultOptions()).Hash() {
		t.Error("the defaults, written out, re-make all pages")
	}
}

func TestOptionsThatAreNotAllowed(t *testing.T) {
	for want, o := range map[string]report.Options{
		`report.language: no language "xx": want one of en, de`: {Language: "xx"},
		`report.units "metric": want SI or IP`:                  {Units: "metric"},
		`report.pressure "bar": want gauge or absolute`:         {Pressure: "bar"},
	} {
		if err := o.Validate(); err == nil || err.Error() != want {
			t.Errorf("%+v: %v, want %s", o, err, want)
		}
	}
}

// The list for a German spreadsheet has semicolons and decimal commas.
func TestVisitListForGermanSpreadsheets(t *testing.T) {
	b, err := writer(t, report.Options{Language: "de"}).VisitsCSV(reporttest.Fleet(1))
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(b, []byte("\ufeff"))))
	r.Comma = ';'
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 2 || len(rows[0]) < 10 {
		t.Fatalf("%d rows: %v", len(rows), err)
	}
	if i := slices.Index(rows[0], "size_k"); i < 0 || !regexp.MustCompile(`^-?\d+,\d\d$`).MatchString(rows[1][i]) {
		t.Errorf("a size is written %q", rows[1])
	}
}

// A text of the tables that no code writes any more is taken out of the catalogue.
func TestTableTextsAreWritten(t *testing.T) {
	written := literals(t, "../condition", "../drift", "../steady", "../cycle", "../energy", "../trust", "../records", "../records/rules", "../digest", "..", "../../ingest", "../../ingest/clock", "../../ingest/raw", "../../ingest/dialect", "../../ingest/timeline", "../../ingest/layout", "../../ingest/answers", "../../ingest/understood", "../../ingest/naming", "../../ingest/plan", "../../ingest/pass", "../../ingest/read", "../../ingest/look", "../../ingest/claim", "../../ingest/scan", "../../ingest/merge",
		"../../pipeline/register", "../../pipeline/table", ".", "reporttest")
	for _, tag := range say.Languages()[1:] {
		l, err := say.Load(tag)
		if err != nil {
			t.Fatal(err)
		}
		for _, key := range slices.Sorted(maps.Keys(l.Tables)) {
			if stale(key, written) {
				t.Errorf("%s, tables: %q: no code writes this any more", tag, key)
			}
			samePlaces(t, tag, strings.ReplaceAll(key, "%d", "%s"), strings.ReplaceAll(l.Tables[key], "% ", "%% "))
		}
	}
}

// Every language tells every table and column, and nothing that is none any more.
func TestDictionaryIsTranslated(t *testing.T) {
	told := columnTexts()
	for _, tag := range say.Languages()[1:] {
		l, err := say.Load(tag)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range slices.Sorted(maps.Keys(told)) {
			if l.Dictionary[s] == "" {
				t.Errorf("%s, dictionary: %q is missing", tag, s)
			}
		}
		for _, s := range slices.Sorted(maps.Keys(l.Dictionary)) {
			if !told[s] {
				t.Errorf("%s, dictionary: %q: no column says this any more", tag, s)
			}
		}
	}
}

// columnTexts are what the tags of the tables say in words.
func columnTexts() map[string]bool {
	told := map[string]bool{}
	for _, tab := range table.All() {
		told[tab.Doc] = true
		for _, c := range tab.Columns {
			told[c.Doc], told[c.Method], told[c.Source] = true, true, true
			if !international.MatchString(c.Unit) {
				told[c.Unit] = true
			}
		}
	}
	delete(told, "")
	return told
}

// international are the letters of units that every language writes alike. Source: SI
// Brochure, 9th edition (2019), tables 2, 4, 7 and 8; a for a year by ISO 80000-3:2019
// (from memory).
var international = regexp.MustCompile(`^[%1°·/³ABCHKPVWadghikmnstz]*$`)

// stale tells whether any stretch of a text's own words stands in no literal.
func stale(key, written string) bool {
	for _, words := range regexp.MustCompile(`%[sd]|[;:(),.] |[()]|(?:^| )(?:of|on|since|by a|by|a|an) `).Split(key, -1) {
		if words = strings.Trim(words, " ,;:."); len(words) > 12 && !strings.Contains(written, words) {
			return true
		}
	}
	return false
}

// literals are the texts in the code of some folders, formats with their places left out.
func literals(t *testing.T, folders ...string) string {
	t.Helper()
	var all strings.Builder
	for _, folder := range folders {
		files, err := filepath.Glob(filepath.Join(folder, "*"))
		if err != nil {
			t.Fatal(err)
		}
		for _, file := range files {
			switch {
			case strings.HasSuffix(file, "_test.go"):
			case strings.HasSuffix(file, ".go"):
				literalsOf(t, &all, file)
			case strings.HasSuffix(file, ".json"):
				b, err := os.ReadFile(file)
				if err != nil {
					t.Fatal(err)
				}
				all.Write(b)
			}
		}
	}
	return strings.ReplaceAll(all.String(), "%%", "%")
}

func literalsOf(t *testing.T, all *strings.Builder, file string) {
	t.Helper()
	parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	ast.Inspect(parsed, func(n ast.Node) bool {
		if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING {
			if text, err := strconv.Unquote(lit.Value); err == nil {
				all.WriteString(text + "\n")
			}
		}
		return true
	})
}
