package report_test

import (
	"os"
	"regexp"
	"testing"

	"rimelog/analysis/report"
	"rimelog/analysis/report/reporttest"
)

// Every mark a key shows is drawn, and every colour an option names is defined.
func TestPagesNameOnlyWhatThereIs(t *testing.T) {
	style, err := os.ReadFile("html/report.css")
	if err != nil {
		t.Fatal(err)
	}
	defined := map[string]bool{}
	for _, m := range regexp.MustCompile(`--([\w-]+): (?:#|-apple)`).FindAllSubmatch(style, -1) {
		defined[string(m[1])] = true
	}
	for name, page := range pages(t, writer(t, report.Options{}), reporttest.Fleet(1)) {
		symbols := map[string]bool{}
		for _, m := range regexp.MustCompile(`<symbol id="(m-[\w-]+)"`).FindAllSubmatch(page, -1) {
			symbols[string(m[1])] = true
		}
		for _, m := range regexp.MustCompile(`<use href="#(m-[\w-]+)"`).FindAllSubmatch(page, -1) {
			if !symbols[string(m[1])] {
				t.Errorf("%s uses the mark %s, which is not drawn", name, m[1])
			}
		}
		for _, m := range regexp.MustCompile(`"\$css:--([\w-]+)"`).FindAllSubmatch(page, -1) {
			if !defined[string(m[1])] {
				t.Errorf("%s names the colour %s, which is not defined", name, m[1])
			}
		}
	}
}
