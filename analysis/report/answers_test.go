package report_test

import (
	"strings"
	"testing"

	"rimelog/analysis/report"
	"rimelog/analysis/report/reporttest"
	"rimelog/pipeline/table"
)

// What people answered stands on the fleet page by kind, and with the finding on the
// system's.
func TestAnswersAreShown(t *testing.T) {
	f := reporttest.Fleet(1)
	answer := func(list []table.Finding) {
		for i := range list {
			x := &list[i]
			if x.System == "QH-CR2" && x.Kind == "charge loss" && x.State == "open" {
				x.State, x.Answer, x.Rank, x.Reason = "answered", "nothing found", 0, "nothing found on 2024-06-12"
			}
		}
	}
	answer(f.Findings)
	for i := range f.Systems {
		answer(f.Systems[i].Findings)
	}
	all := pages(t, writer(t, report.Options{}), f)
	text := func(page string) string {
		plain := strings.Join(strings.Fields(strings.ReplaceAll(tags.ReplaceAllString(string(all[page]), " "), "\u00a0", " ")), " ")
		return plain
	}
	if index := text("index.html"); !strings.Contains(index, "What people saw who were sent to findings Finding Raised Answered Confirmed Another cause Nothing found Charge loss 3 1 0 0 1") {
		t.Errorf("the fleet page does not count the answer")
	}
	if system := text("system/QH-CR2.html"); !strings.Contains(system, "Answered: nothing found on 12 Jun 2024.") {
		t.Errorf("the system's page does not tell the answer")
	}
	if none := string(pages(t, writer(t, report.Options{}), reporttest.Fleet(1))["index.html"]); strings.Contains(none, "What people saw who were sent") {
		t.Error("nobody answered, and a table of answers is there")
	}
}
