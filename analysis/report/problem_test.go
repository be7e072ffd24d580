package report

import (
	"strings"
	"testing"

	"rimelog/pipeline/table"
)

// Like problems of many systems are one row; what is left out comes first.
func TestProblemsAreGrouped(t *testing.T) {
	rows := grouped(english, []table.Problem{
		{Place: "register/systems.csv", System: "A1", Problem: "altitude of A1 not known", Remedy: "write the altitude of A1", Weight: "doubt"},
		{Place: "dataset/samples/system=A1", System: "A1", Problem: "COP could not be worked out for 20 rows, first on 2023-04-17: why", Remedy: "look", Weight: "doubt"},
		{Place: "register/systems.csv", System: "B-2", Problem: "altitude of B-2 not known", Remedy: "write the altitude of B-2", Weight: "doubt"},
		{Place: "dataset/samples/system=B-2", System: "B-2", Problem: "COP could not be worked out for 1 rows, first on 2026-04-01: why", Remedy: "look", Weight: "doubt"},
		{Place: "register/systems.csv", System: "C3", Problem: "altitude of C3 not known", Remedy: "write the altitude of C3", Weight: "doubt"},
		{Place: "register/events.csv:3", System: "C3", Problem: "no such day", Remedy: "write another", Weight: "left out"},
	})
	want := []struct {
		problem, systems, place string
		each                    int
	}{
		{"No such day.", "C3", "register/events.csv:3", 0},
		{"Altitude of … not known.", "A1, B-2, C3", "3 places", 3},
		{"COP could not be worked out for … rows, first on …: why.", "A1, B-2", "2 places", 2},
	}
	if len(rows) != len(want) {
		t.Fatalf("%d rows, want %d: %+v", len(rows), len(want), rows)
	}
	for i, w := range want {
		r := rows[i]
		if r.Problem != w.problem || r.Systems != w.systems || plain(r.Place) != w.place || len(r.Each) != w.each {
			t.Errorf("row %d: %+v, want %+v", i, r, w)
		}
	}
}

func TestManySystemsAreCounted(t *testing.T) {
	var all []table.Problem
	for _, id := range strings.Fields("S1 S2 S3 S4 S5 S6 S7 S8 S9") {
		all = append(all, table.Problem{System: id, Problem: "x of " + id})
	}
	if got, want := grouped(english, all)[0].Systems, "S1, S2, S3, S4, S5, S6 and 3 more"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// What a file's row says is not said again among the problems.
func TestProblemsOfAFileStandWithIt(t *testing.T) {
	d := Fleet{
		Uploads: []table.Upload{{Path: "a.csv", Status: "waiting", Reason: "no system claims it; move it", Lines: 3, Waiting: 3}},
		Quality: []table.Problem{
			{Place: "uploads/a.csv", Problem: "no system claims it", Remedy: "move it", Weight: "left out"},
			{Place: "register/systems.csv", Problem: "empty", Remedy: "write A1,,x,,,", Weight: "left out"},
		},
	}.data()
	if len(d.Files) != 1 || d.Files[0].Reason != "No system claims it. Move it." {
		t.Errorf("files %+v", d.Files)
	}
	if len(d.Problems) != 1 || d.Problems[0].Remedy != "Write A1,,x,,," {
		t.Errorf("problems %+v: want one, its register line as it is to be pasted", d.Problems)
	}
}
