package report_test

import (
	"regexp"
	"strings"
	"testing"

	"rimelog/analysis/report"
	"rimelog/analysis/report/reporttest"
)

// shown is a page's text without its tags.
func shown(page []byte) string {
	text := regexp.MustCompile(`(?s)<style>.*?</style>|<script.*?</script>|<[^>]*>`).ReplaceAllString(string(page), " ")
	text = strings.NewReplacer("\u00a0", " ", "&#39;", "'", "&#43;", "+").Replace(text)
	return strings.Join(strings.Fields(text), " ")
}

// The page begins with what to do, says by which rule and whether its text was seen, and
// cautions once.
func TestLeaksPage(t *testing.T) {
	f := reporttest.Fleet(1)
	page, err := writer(t, report.Options{}).Leaks(f)
	if err != nil {
		t.Fatal(err)
	}
	text := shown(page)
	for _, want := range []string{
		"Leaks and records, as of 6 Oct 2025", "are overdue", "is recommended by the logs",
		"Direct leak check recommended. The logs show a loss of charge since", "Told: nobody, by the records.",
		"Regulation (EC) 1516/2007, Article 7(2)", "from memory, check before use", "leak rate", "Limits passed", "Specific loss",
		"kg recovered, but by the record there were at most", "jurisdiction is empty, so that no rule can say what is due",
		"days over", "Only certified persons check circuits for leaks",
	} {
		if !strings.Contains(strings.ToLower(text), strings.ToLower(want)) {
			t.Errorf("the page does not say %q", want)
		}
	}
	if n := strings.Count(text, "certified persons"); n != 1 {
		t.Errorf("the caution stands %d times on the page, want once", n)
	}
	for _, never := range []string{"is leaking", "NaN", "0001", "Inf"} {
		if strings.Contains(text, never) {
			t.Errorf("the page says %q", never)
		}
	}
}

// The fleet page leads to it in a sentence; where no books are kept it says nothing.
func TestIndexLeadsToLeaks(t *testing.T) {
	f := reporttest.Fleet(1)
	page, err := writer(t, report.Options{}).Index(f)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(shown(page), "Leaks and records : of the checks,") || !strings.Contains(string(page), `href="leaks.html"`) {
		t.Error("the fleet page does not lead to leaks and records")
	}
	f.Records.Balances = nil
	if page, err = writer(t, report.Options{}).Index(f); err != nil || strings.Contains(string(page), "leaks.html") {
		t.Errorf("without books the fleet page still leads to them, %v", err)
	}
}

// A fleet without any record has a page that says so.
func TestLeaksPageOfNothing(t *testing.T) {
	page, err := writer(t, report.Options{}).Leaks(report.Fleet{AsOf: reporttest.AsOf})
	if err != nil {
		t.Fatal(err)
	}
	text := shown(page)
	for _, want := range []string{"No check is due.", "Nothing is due by the rules that are known", "No event is in the record yet.", "No system is in the register yet."} {
		if !strings.Contains(text, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
}

// The calendar and the record book hold what the page links to.
func TestFilesBesideLeaks(t *testing.T) {
	f := reporttest.Fleet(1)
	calendar, err := f.Calendar()
	if err != nil || !strings.HasPrefix(string(calendar), "BEGIN:VCALENDAR\r\n") || !strings.Contains(string(calendar), "SUMMARY:QH-CR2: direct leak check (recommended)") {
		t.Errorf("%v, %.200q", err, calendar)
	}
	book, err := f.BookCSV()
	if err != nil || strings.Count(string(book), "\r\n") != len(f.Records.Book)+1 {
		t.Errorf("%v, %d lines for %d rows", err, strings.Count(string(book), "\r\n"), len(f.Records.Book))
	}
}
