package register

import (
	"strings"
	"testing"
)

// Corrections are later rows; the corrected ones stay in the book.
func TestCorrections(t *testing.T) {
	const head = "system,date,event,kg,record,corrects\n"
	const one = "A1,2026-01-02,charge added,1.5,,\n"
	for _, c := range []struct {
		name, rows string
		standing   string // kinds and kilograms that count
		book       int
		problem    string // "" for none
	}{
		{"none", one, "charge added 1.5", 1, ""},
		{"by its day", one + "A1,2026-01-02,charge added,0.5,,2026-01-02\n", "charge added 0.5", 2, ""},
		{"by its day and event", one + "A1,2026-01-02,repaired,,,\nA1,2026-01-03,charge added,0.5,,2026-01-02 charge added\n", "repaired NaN, charge added 0.5", 3, ""},
		{"by its time", "A1,2026-01-02 14:30,charge added,1.5,,\nA1,2026-01-02 15:30,charge added,2,,\nA1,2026-01-02 14:30,charge added,7,,2026-01-02 14:30\n",
			"charge added 7, charge added 2", 3, ""},
		{"by its number", "A1,2026-01-02,charge added,1.5,17,\nA1,2026-01-02,charge added,2.5,18,\nA1,2026-01-02,charge added,0.5,19,17\n", "charge added 0.5, charge added 2.5", 3, ""},
		{"of a correction", one + "A1,2026-01-02,charge added,0.5,,2026-01-02\nA1,2026-01-02,charge added,0.7,,2026-01-02\n", "charge added 0.7", 3, ""},
		{"cancelled", one + "A1,,cancelled,,,2026-01-02\n", "", 2, ""},
		{"of a day without a line", one + "A1,2026-01-05,charge added,0.5,,2026-01-04\n", "charge added 1.5", 1,
			"no earlier line of this system is of that day or has that number; write the day of the line to correct"},
		{"cancels nothing", one + "A1,,cancelled,,,\n", "charge added 1.5", 1, "empty, so that nobody knows what is cancelled"},
		{"of several", one + "A1,2026-01-02,repaired,,,\nA1,2026-01-02,charge added,0.5,,2026-01-02\n", "charge added 1.5, repaired NaN", 2,
			"2 lines are of that day; write 2026-01-02 charge added or 2026-01-02 repaired"},
		{"a number twice", "A1,2026-01-02,charge added,1.5,17,\nA1,2026-01-03,charge added,2.5,17,\n", "charge added 1.5, charge added 2.5", 2, "line 2 of the system has this number already"},
	} {
		r := load(t, map[string]string{"systems.csv": twoSystems, "events.csv": head + c.rows})
		var got []string
		for _, e := range r.Events("A1") {
			text := decimal(e.KG)
			if text == "" {
				text = "NaN"
			}
			got = append(got, e.Kind.String()+" "+text)
		}
		if s := strings.Join(got, ", "); s != c.standing || len(r.Book("A1")) != c.book {
			t.Errorf("%s: counts %q, book of %d; want %q, %d", c.name, s, len(r.Book("A1")), c.standing, c.book)
		}
		if m := messages(r); c.problem == "" && m != "" || !strings.Contains(m, c.problem) {
			t.Errorf("%s: problems %q, want %q", c.name, m, c.problem)
		}
	}
}

// What only records need does not make the analysis anew; a correction does.
func TestRecordFieldsAndTheAnalysis(t *testing.T) {
	files := func(rows string) map[string]string {
		return map[string]string{"systems.csv": twoSystems, "events.csv": "system,date,event,kg,person_certificate,outcome,corrects\n" + rows}
	}
	plain := load(t, files("A1,2026-01-02,charge added,1.5,,,\n"))
	named := load(t, files("A1,2026-01-02,charge added,1.5,N-7,passed,\n"))
	mended := load(t, files("A1,2026-01-02,charge added,1.5,,,\nA1,2026-01-02,charge added,2,,,2026-01-02\n"))
	if plain.AnalysisRows("A1") != named.AnalysisRows("A1") {
		t.Error("a certificate's number makes the analysis anew")
	}
	if plain.RecordRows("A1") == named.RecordRows("A1") || plain.RecordRows("A1") == mended.RecordRows("A1") {
		t.Error("the rows of the record stay the same when a row changes")
	}
	if plain.AnalysisRows("A1") == mended.AnalysisRows("A1") {
		t.Error("a correction leaves the analysis as it was")
	}
}
