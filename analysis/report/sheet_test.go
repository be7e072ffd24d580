package report_test

import (
	"html"
	"strings"
	"testing"
	"time"

	"rimelog/analysis/report"
	"rimelog/analysis/report/reporttest"
)

// plain is a page as its reader sees it.
func plain(page []byte) string {
	return strings.Join(strings.Fields(html.UnescapeString(tags.ReplaceAllString(string(page), " "))), " ")
}

// sheetOf is one sheet of a page, by the day it begins with.
func sheetOf(t *testing.T, page, day string) string {
	t.Helper()
	_, rest, ok := strings.Cut(page, "Visit sheet, "+day)
	if !ok {
		t.Fatalf("no sheet of %s", day)
	}
	sheet, _, _ := strings.Cut(rest, "Worked out by rimelog")
	return sheet
}

// in says in which order a text must hold others.
func in(t *testing.T, text string, order ...string) {
	t.Helper()
	rest := text
	for _, want := range order {
		_, after, ok := strings.Cut(rest, want)
		if !ok {
			t.Fatalf("it does not say %q, or not in its place:\n%s", want, text)
		}
		rest = after
	}
}

// A sheet asks what a customer asks, and answers from the figures.
func TestSheetAnswersQuestions(t *testing.T) {
	text := plain(pages(t, writer(t, report.Options{}), reporttest.Fleet(1))["visit/QH-CR2.html"])
	in(t, sheetOf(t, text, "3 Oct 2025"), "Was the log good?", "Yes: it was judged.", "with the compressor running",
		"Is this normal for this machine?", "No. Subcooling moved by −", "±", "K", "What changed?", "Since ", "within noise",
		"What next?", "Charge loss suspected", "Direct leak check recommended", "measure again", "Cautions", "Only licensed persons")
}

// A sheet of an earlier visit says what was known then: no finding that came later.
func TestSheetKnowsNothingOfLaterVisits(t *testing.T) {
	f := reporttest.Fleet(1)
	for i := range f.Systems {
		s := &f.Systems[i]
		if s.Register.ID != "QH-CR2" {
			continue
		}
		last := s.Visits[len(s.Visits)-1].Start
		for j := range s.Findings {
			if s.Findings[j].State == "open" {
				s.Findings[j].RaisedOn = last
			}
		}
	}
	text := plain(pages(t, writer(t, report.Options{}), f)["visit/QH-CR2.html"])
	in(t, sheetOf(t, text, "3 Oct 2025"), "Raised by this visit: charge loss suspected.")
	before := f.Systems[0].Visits[len(f.Systems[0].Visits)-2].Start
	sheet := sheetOf(t, text, before.In(reporttest.Zone).Format("2 Jan 2006"))
	if strings.Contains(sheet, "suspected") {
		t.Errorf("the sheet of the visit before tells of a finding that the last one raised:\n%s", sheet)
	}
}

// A log of four minutes is not called good.
func TestSheetOfShortLog(t *testing.T) {
	in(t, plain(pages(t, writer(t, report.Options{}), reporttest.Fleet(1))["visit/BENCH.html"]), "Was the log good?", "Only in part", "Not known yet.", "What next?", "Log longer")
}

// The card says first what is to be done first, by the machine's own times, and what
// the last log lacked.
func TestCard(t *testing.T) {
	f := reporttest.Fleet(1)
	text := plain(pages(t, writer(t, report.Options{}), f)["next/QH-CR2.html"])
	in(t, text, "10 min at standstill first", "to settle", "even running: 4 swings of its valve, 3 min each", "Suction pressure", "low-side port", "Liquid", "What to look at", "Licensed persons only")
	for i := range f.Systems[0].Log.Columns {
		if c := &f.Systems[0].Log.Columns[i]; c.Name == "liquid_temp_c" {
			c.Name = "valve_inlet_temp_c"
		}
	}
	text = plain(pages(t, writer(t, report.Options{}), f)["next/QH-CR2.html"])
	in(t, text, "missing last time", "lacked", "Liquid was not logged: no subcooling: lost charge shows late")
}

// What the same instruments show too much at both visits cancels: a change between them
// is known better than with others (JCGM 100:2008, 5.2: correlated inputs).
func TestOtherInstrumentsCostCertainty(t *testing.T) {
	f := reporttest.Fleet(1)
	s := &f.Systems[0]
	for i := range s.Visits {
		s.Visits[i].Instruments, s.Visits[i].SubcoolingU, s.Visits[i].SubcoolingRepeatU = "AA-1", 0.5, 0.1
	}
	n := len(s.Visits)
	in(t, plain(pages(t, writer(t, report.Options{}), f)["next/QH-CR2.html"]), "AA-1: those of most visits before")
	s.Visits[n-1].Instruments = "BB-1"
	// √2 of each, twice for about 95 %: 2·0.5·√2 = 1.4, 2·0.1·√2 = 0.3.
	in(t, plain(pages(t, writer(t, report.Options{}), f)["visit/QH-CR2.html"]), "a change of subcooling is known to ± 1.4 K, with the same ones to ± 0.3 K")
}

// An intervention parts a visit in two; the sheet holds both, and what the work did.
func TestSheetOfRepair(t *testing.T) {
	f := reporttest.Fleet(1)
	s := &f.Systems[0]
	n := len(s.Visits)
	left := s.Visits[n-1]
	s.Visits[n-1].Part, left.Part = "as found", "as left"
	left.Start, left.End = left.Start.Add(3*time.Hour), left.End.Add(3*time.Hour)
	left.Subcooling += 4
	s.Visits = append(s.Visits, left)
	in(t, sheetOf(t, plain(pages(t, writer(t, report.Options{}), f)["visit/QH-CR2.html"]), "3 Oct 2025"), "As found", "As left", "The work on site: subcooling +4.0 ±")
}
