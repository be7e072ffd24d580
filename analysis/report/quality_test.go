package report_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"rimelog/analysis/report"
	"rimelog/analysis/report/reporttest"
	"rimelog/pipeline/table"
)

func qualityPage(t *testing.T, f report.Fleet) string {
	t.Helper()
	page, err := writer(t, report.Options{}).Quality(f)
	if err != nil {
		t.Fatal(err)
	}
	return string(page)
}

// The page says how many uploads count, then what to paste, what was left out and why.
func TestQualityPage(t *testing.T) {
	page := qualityPage(t, reporttest.Fleet(1))
	in(t, plain([]byte(page)), "1 of 4 uploads are used, 1 in part, 2 are not.", "Open questions", "register/channels.csv", "FD-CH1,,T2,suction_temp,,,,,,, FD-CH1,,T1,liquid_temp,,,,,,,",
		"Files not wholly in the results", "waiting", "unreadable", "Problems, with their remedies", "left out of the results", "line of GH-FR1", "leaves doubt",
		"When each system was logged", "BENCH", "never judged", "FD-CH1 Milk chiller 1 11 1 1 5 months",
		"Uploads that are not used", "from the van/log0007.csv", "not used", "autumn check.csv", "used in part", "60 % judged, 40 % unsteady", "P. Engineer",
		"How well we log", "Probe loose", "By engineer", "P. Engineer 22 95 % (78 to 99)", "By instrument set", "P-1042 T-2210", "Every line and value", "adds up")
}

// Problems of one rule are one row, whatever serials and figures they name.
func TestProblemsOfOneRuleAreOneRow(t *testing.T) {
	f := report.Fleet{AsOf: reporttest.AsOf}
	for i := range 30 {
		f.Quality = append(f.Quality, table.Problem{Place: fmt.Sprintf("uploads/S%d/a.csv", i), System: fmt.Sprintf("S%d", i), Weight: "doubt", Rule: "D24",
			Problem: "other instruments than before (D24): " + strings.Repeat("X-1 ", i+1), Remedy: "nothing to mend"})
	}
	page := qualityPage(t, f)
	if n := strings.Count(page, "<td>leaves doubt</td>"); n != 1 {
		t.Errorf("%d rows for one rule, want one", n)
	}
	in(t, plain([]byte(page)), "Other instruments than before (D24)", "Nothing to mend.", "Each of the 30", "30 places")
}

// The calendar has a column for every month on one scale of time: what was judged grows
// upward, what is only shown stands hollow, what cannot be used hangs.
func TestCalendarTellsUses(t *testing.T) {
	f := report.Fleet{AsOf: time.Date(2025, 6, 30, 0, 0, 0, 0, time.UTC)}
	s := reporttest.Fleet(1).Systems[0]
	visit := func(month time.Month, use string) table.Visit {
		v := s.Visits[0]
		v.Start = time.Date(2025, month, 10, 9, 0, 0, 0, time.UTC)
		v.End, v.Use = v.Start.Add(time.Hour), use
		return v
	}
	s.Visits = []table.Visit{visit(1, "trend"), visit(3, "spot"), visit(4, "none"), visit(5, "trend")}
	f.Systems = []report.System{s}
	page := qualityPage(t, f)
	// Columns are 8 wide and begin 1 after the month's edge: January at 1, March at 17+1, April at 24+4, May at 33.
	for _, want := range []string{`class="judged" d="M1 15v-4h6v4zM33 15v-4h6v4z"`, `class="shown" d="M18 15v-4h4v4z"`, `class="unused" d="M28 16v5"`} {
		if !strings.Contains(page, want) {
			t.Errorf("the calendar has no %s", want)
		}
	}
	in(t, plain([]byte(page)), "QH-CR2 Cold room 2 2 1 1 4 months") // January to May
}
