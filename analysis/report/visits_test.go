package report_test

import (
	"bytes"
	"encoding/csv"
	"slices"
	"strings"
	"testing"
	"time"

	"rimelog/analysis/report"
	"rimelog/analysis/report/reporttest"
	"rimelog/pipeline/table"
)

func visitRows(t *testing.T, f report.Fleet) [][]string {
	t.Helper()
	b, err := writer(t, report.Options{}).VisitsCSV(f)
	if err != nil {
		t.Fatal(err)
	}
	text, marked := bytes.CutPrefix(b, []byte("\ufeff"))
	if !marked || bytes.Count(text, []byte("\r\n")) == 0 {
		t.Error("no byte order mark, or no lines as spreadsheets write them")
	}
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// The list holds every open finding once, site by site, and what to take along.
func TestVisitListHoldsEveryOpenFinding(t *testing.T) {
	f := reporttest.Fleet(1)
	want := map[string]bool{}
	for _, x := range f.Findings {
		if x.State == "open" {
			want[x.System+" "+strings.ToLower(x.Kind)] = true
		}
	}
	rows := visitRows(t, f)
	if len(rows)-1 != len(want) {
		t.Errorf("%d rows, want %d", len(rows)-1, len(want))
	}
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	for _, r := range rows[1:] {
		cell := func(name string) string { return r[column[name]] }
		kind := strings.ToLower(strings.TrimSuffix(cell("suspicion"), " suspected"))
		if !want[cell("system")+" "+kind] {
			t.Errorf("a row that no open finding has: %v", r)
		}
		if kind == "charge loss" && (!strings.HasPrefix(cell("next_check"), "Direct leak check recommended") || !strings.Contains(cell("take_along"), "leak detector for "+cell("refrigerant"))) {
			t.Errorf("lost charge: %v", r)
		}
		if cell("size_lo_k") == "" || !strings.Contains(cell("take_along"), "logger and the same probes") {
			t.Errorf("no interval, or no logger: %v", r)
		}
		if flammable := cell("refrigerant") == "R290"; flammable != strings.HasPrefix(cell("caution"), "Highly flammable") {
			t.Errorf("caution of %s: %q", cell("refrigerant"), cell("caution"))
		}
	}
}

// A name that a spreadsheet would take for a formula is text in the file.
func TestVisitListHoldsNoFormulas(t *testing.T) {
	f := reporttest.Fleet(1)
	for i := range f.Systems {
		f.Systems[i].Register.Name, f.Systems[i].Register.Site = `=HYPERLINK("x")`, "@site"
	}
	for _, r := range visitRows(t, f)[1:] {
		if r[1] != "'@site" || r[3] != `'=HYPERLINK("x")` {
			t.Errorf("site %q, name %q", r[1], r[3])
		}
	}
}

func TestVisitListReads(t *testing.T) {
	text := func(f report.Fleet) string {
		page, err := writer(t, report.Options{}).Visits(f)
		if err != nil {
			t.Fatal(err)
		}
		return strings.ReplaceAll(tags.ReplaceAllString(string(page), " "), "\u00a0", " ")
	}
	rest := text(reporttest.Fleet(1))
	for _, want := range []string{
		"Three systems to see, at three sites.", "Harrow Quay Fish Hall", "Cold room 2", "Charge loss suspected.", "(−3.3 to −1.9 K), since about", "Direct leak check recommended",
		"Condenser fouling suspected.", "leak detector for R134a", "R134a (design charge 6.50 kg, known), scales, a recovery cylinder", "what cleans its condenser", "the same probes (P-1042, T-2210)",
		"Fennmoor Dairy", "Highly flammable", "Tallow Row Bakery", "Mildly flammable",
		"Elsewhere, when somebody passes", "Display cabinet, aisle 5", "4 visits to go", "Too few judged visits: 2 of 6.", "licensed persons",
	} {
		_, after, ok := strings.Cut(rest, want)
		if !ok {
			t.Fatalf("the list does not say %q, or not in its place", want)
		}
		rest = after
	}
	quiet := reporttest.Fleet(1)
	quiet.Findings = nil
	if got := text(quiet); !strings.Contains(got, "Nothing found calls for a visit.") || !strings.Contains(got, "To be judged, log next") {
		t.Error("a fleet without findings has no list of what to log next")
	}
}

// Whoever takes refrigerant along is told what service may not do with it, and how much
// the logs say has gone: 5 to 15 % of 2.90 kg.
func TestVisitListMindsServiceBans(t *testing.T) {
	f := reporttest.Fleet(1)
	for i := range f.Systems {
		f.Systems[i].Register.Charge.KG = 2.9
	}
	for i := range f.Findings {
		f.Findings[i].LostLo, f.Findings[i].LostHi = 5, 15
	}
	f.Records.Bans = []table.ServiceBan{{System: "QH-CR2", Refrigerant: "R134a", From: time.Date(2032, 1, 1, 0, 0, 0, 0, time.UTC), Banned: "service with virgin refrigerant",
		Allowed: "reclaimed or recycled refrigerant", Jurisdiction: "EU", Rule: "Regulation (EU) 2024/573, Article 13", Standing: "from memory, check before use"}}
	for _, row := range visitRows(t, f) {
		if row[2] == "QH-CR2" {
			in(t, strings.ReplaceAll(row[12], "\u00a0", " "), "R134a, 0.14 to 0.43 kg gone by the logs", "service with virgin refrigerant is banned from 1 Jan 2032", "allowed remains reclaimed", "2024/573", "from memory")
			return
		}
	}
	t.Error("the list has no line of QH-CR2")
}

// A check due this month in the area of a trip is named with it, on the page and in the
// file; one in another area, or of a later month, is not.
func TestVisitListHasChecksInTheSameArea(t *testing.T) {
	f := reporttest.Fleet(1)
	for i, s := range f.Systems {
		f.Systems[i].Register.Area = map[string]string{"QH-CR2": "Harbour", "GH-FR1": "harbour", "BENCH": "Inland"}[s.Register.ID]
	}
	f.Records.LeakChecks = []table.LeakCheck{
		{System: "GH-FR1", What: "leak check", State: "overdue", DueOn: reporttest.AsOf.AddDate(0, 0, -9)},
		{System: "GH-FR1", What: "detection system", State: "due soon", DueOn: reporttest.AsOf.AddDate(0, 2, 0)},
		{System: "BENCH", What: "leak check", State: "overdue", DueOn: reporttest.AsOf.AddDate(0, 0, -9)},
	}
	page, err := writer(t, report.Options{}).Visits(f)
	if err != nil {
		t.Fatal(err)
	}
	text := plain(page)
	in(t, text, "Harbour", "Due this month in the same area", "GH-FR1", "leak check, overdue, 27 Sep 2025", "Due this month at other sites", "BENCH")
	if strings.Contains(text, "detection system") {
		t.Error("a check of the month after next is called due this month")
	}
	rows := visitRows(t, f)
	area, nearby := slices.Index(rows[0], "area"), slices.Index(rows[0], "checks_due_nearby")
	for _, r := range rows[1:] {
		if there := r[2] == "QH-CR2"; there != (r[area] == "Harbour") || there != strings.HasPrefix(r[nearby], "GH-FR1: ") || strings.Contains(r[nearby], "BENCH") {
			t.Errorf("%s: area %q, due nearby %q", r[2], r[area], r[nearby])
		}
	}
}

// Checks due this month at sites nobody goes to are listed with them, not only counted.
func TestVisitListHasChecksElsewhere(t *testing.T) {
	f := reporttest.Fleet(1)
	f.Records.LeakChecks = []table.LeakCheck{
		{System: "GH-FR1", What: "leak check", State: "overdue", DueOn: reporttest.AsOf.AddDate(0, 0, -9)},
		{System: "GH-FR1", What: "detection system", State: "due soon", DueOn: reporttest.AsOf.AddDate(0, 2, 0)},
	}
	page, err := writer(t, report.Options{}).Visits(f)
	if err != nil {
		t.Fatal(err)
	}
	text := plain(page)
	in(t, text, "Due this month at other sites", "GH-FR1", "leak check, overdue, 27 Sep 2025")
	if strings.Contains(text, "detection system") {
		t.Error("a check of the month after next is called due this month")
	}
}
