package ingest

import (
	"strings"
	"testing"

	"rimelog/ingest/understood"
)

// A sensor that is off shows less than vacuum where hoses hang in the air: no number written in
// two ways either.
func TestBelowVacuumIsNoMixedNumber(t *testing.T) {
	u := understood.File{
		Columns: []understood.Column{{Name: "P1 bar", Refused: 9}},
		Cells:   []understood.CellProblem{{Line: 3, Last: 11, Column: "P1 bar", Reason: understood.BelowVacuum + " when read as gauge", Text: "-1.2", Cells: 9}},
	}
	if got := problemsOf("A/log.csv", []string{"A"}, u); len(got) != 1 || got[0].Rule != "" || !strings.Contains(got[0].Problem, "below vacuum") {
		t.Errorf("%+v, want it told without a rule", got)
	}
}

// Somebody wrote a remark where a number should stand: that is told, and no number written
// in two ways; numbers with another decimal mark are.
func TestARemarkIsNoMixedNumber(t *testing.T) {
	for _, tc := range []struct {
		text, rule string
	}{{"door opened", ""}, {"12,5", ruleMixedNumbers}} {
		u := understood.File{
			Columns: []understood.Column{{Name: "P1 bar", Refused: 2}},
			Cells:   []understood.CellProblem{{Line: 7, Last: 7, Column: "P1 bar", Reason: "not a number", Text: tc.text, Cells: 1}},
		}
		got := problemsOf("A/log.csv", []string{"A"}, u)
		if len(got) != 1 || got[0].Rule != tc.rule || tc.rule == "" && !strings.Contains(got[0].Problem, tc.text) {
			t.Errorf("%q: %+v, want rule %q", tc.text, got, tc.rule)
		}
	}
}
