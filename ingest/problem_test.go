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

// A column of values that no machine can have is told with the place of the first, the reason and
// what to look at.
func TestValuesOfNoMachineAreTold(t *testing.T) {
	for why, at := range map[string]string{understood.TooHot: "the probe", understood.TooHigh: "the sensor", understood.TooStrong: "the meter"} {
		u := understood.File{
			Columns: []understood.Column{{Name: "X", Refused: 9}},
			Cells:   []understood.CellProblem{{Line: 3, Last: 11, Column: "X", Reason: why + "; look at " + at, Text: "99999", Cells: 9}},
		}
		got := problemsOf("A/log.csv", []string{"A"}, u)
		if len(got) != 1 || got[0].Place != "uploads/A/log.csv:3" || !strings.Contains(got[0].Problem, why+": 9 of them, the first 99999") || got[0].Remedy != "look at "+at+"; rimelog explain shows which" {
			t.Errorf("%q: %+v", why, got)
		}
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
