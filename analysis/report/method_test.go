package report_test

import (
	"html"
	"strings"
	"testing"

	"rimelog/analysis/report"
	"rimelog/analysis/report/reporttest"
	"rimelog/pipeline"
	"rimelog/pipeline/table"
)

// The page names every column of every table with its unit and meaning, as their tags
// say: an auditor looks up what a figure is without the program.
func TestMethodNamesEveryColumn(t *testing.T) {
	page := methodPage(t, reporttest.Fleet(1))
	for _, tab := range table.All() {
		_, part, found := strings.Cut(page, `id="table-`+tab.Name+`"`)
		if !found {
			t.Fatalf("no table %s", tab.Name)
		}
		part, _, _ = strings.Cut(part, "</details>")
		for _, c := range tab.Columns {
			_, row, _ := strings.Cut(part, `<th scope="row">`+c.Name+"<")
			row, _, _ = strings.Cut(row, "</tr>")
			for _, want := range []string{c.Stored(), c.Unit, c.Doc, c.Method, c.Uncertainty, c.Source} {
				if !strings.Contains(html.UnescapeString(row), want) {
					t.Errorf("%s.%s: the row does not say %q", tab.Name, c.Name, want)
				}
			}
		}
	}
}

// Each equation has its form and a source, or says that it has none; the rule sets and
// inputs stand with their hashes, the steps with their versions and tables.
func TestMethodNamesWhatFiguresRestOn(t *testing.T) {
	f := reporttest.Fleet(1)
	f.Made.Tables = map[pipeline.Step][]string{{Name: "judge", Version: 3}: {"causes", "trends"}}
	page := methodPage(t, f)
	if forms, sources := strings.Count(page, `<dd class="form">`), strings.Count(page, ">Source: "); forms < 20 || forms != sources || strings.Contains(page, "Source: .") {
		t.Errorf("%d equations and %d sources", forms, sources)
	}
	wants := []string{"JCGM 100:2008", "ISO 2533:1975", "Theil", "40 CFR 82.152", "judge 3</th><td class=\"why\">causes, trends", "from memory, check before use"}
	for _, in := range append(f.RuleSets, f.Made.Inputs...) {
		wants = append(wants, in.Name, in.SHA256)
	}
	for _, want := range wants {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
}

// Every page leads to the one about method.
func TestEveryPageLeadsToMethod(t *testing.T) {
	for name, page := range pages(t, writer(t, report.Options{}), reporttest.Fleet(1)) {
		link := `href="method.html"`
		if strings.Contains(name, "/") {
			link = `href="../method.html"`
		}
		if strings.Contains(string(page), link) == (name == "method.html") {
			t.Errorf("%s: want a link %s on every page but its own", name, link)
		}
	}
}

func methodPage(t *testing.T, f report.Fleet) string {
	t.Helper()
	page, err := writer(t, report.Options{}).Method(f)
	if err != nil {
		t.Fatal(err)
	}
	return string(page)
}
