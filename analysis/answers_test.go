package analysis

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"rimelog/analysis/drift"
	"rimelog/pipeline/table"
)

// An answer changes what is judged, and nothing is cut into windows anew for it. What it
// names and nobody finds is kept as withdrawn; what it misspells is told.
func TestAnswersReachTheFindings(t *testing.T) {
	files := map[string]string{"systems.csv": systemsCSV}
	b := newBench(t, files)
	b.put(t, "room-1", leaking(30))
	b.run(t, time.Time{})
	before := rowsOf[table.Finding](t, b, table.Findings().Path("", ""))
	if len(before) != 1 || before[0].State != drift.Open {
		t.Fatalf("got %+v, want one open finding", before)
	}
	on := before[0].ChangedOn.AddDate(0, 0, 3).Format(time.DateOnly)
	files["answers.csv"] = fmt.Sprintf("finding,date,person,outcome\n%s,%s,M. Example,nothing found\nroom-1/overcharge/2022-01-01,%s,,confirmed\nroom-1/colour/2022-01-01,%s,,confirmed\n", before[0].ID, on, on, on)
	b.load(t, files)
	tally := b.run(t, time.Time{})
	if tally.Done["windows"] != 0 || tally.Done["visits"] != 0 || tally.Done["judge"] != 1 || tally.Done["rank"] != 1 {
		t.Errorf("jobs for an answer: %v, want judge and rank alone", tally.Done)
	}
	after := rowsOf[table.Finding](t, b, table.Findings().Path("", ""))
	if len(after) != 2 || after[0].State != drift.Answered && after[1].State != drift.Answered {
		t.Fatalf("got %+v, want it answered, and one withdrawn", after)
	}
	for _, f := range after {
		switch f.State {
		case drift.Answered:
			if f.ID != before[0].ID || f.Rank != 0 || f.AnsweredOn.Format(time.DateOnly) != on {
				t.Errorf("answered: %+v", f)
			}
		case drift.Withdrawn:
			if f.ID != "room-1/overcharge/2022-01-01" || f.Reason == "" {
				t.Errorf("withdrawn: %+v", f)
			}
		}
	}
	told := false
	for _, p := range rowsOf[table.Problem](t, b, table.Quality().Path("", "")) {
		told = told || p.Place == "register/answers.csv:4" && strings.Contains(p.Problem, "colour")
	}
	if !told {
		t.Error("nobody is told that line 4 answers no finding")
	}
}
