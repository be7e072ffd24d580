package report

import (
	"testing"
	"time"

	"rimelog/analysis/report/chart"
	"rimelog/pipeline/table"
)

// minutesOf are the times of a log with a sample a minute.
func minutesOf(start time.Time, n int) (out []time.Time) {
	for i := range n + 1 {
		out = append(out, start.Add(time.Duration(i)*time.Minute))
	}
	return out
}

// What lies between windows is parted by what the machine did, without holes and without
// overlaps, and each part says why nothing of it is judged.
func TestWhatALogLeavesOut(t *testing.T) {
	start := time.Date(2025, 6, 2, 9, 0, 0, 0, time.UTC)
	at := func(minute int) time.Time { return start.Add(time.Duration(minute) * time.Minute) }
	s := System{
		Log:     &Log{Times: minutesOf(start, 60)},
		Windows: []table.Window{{Start: at(20), End: at(30), Grade: "steady", Period: nan}},
		Phases: []table.Phase{
			{Start: at(-10), End: at(5), State: table.IsOff, Excluded: "the compressor stands still"},
			{Start: at(5), End: at(8), State: table.IsStarting, Excluded: "less than 3m0s after a start"},
			{Start: at(8), End: at(40), State: table.IsRunning},
			{Start: at(45), End: at(70), State: table.IsDefrost, Excluded: "the evaporator is freed of frost"},
		},
	}
	want := []struct {
		from, to int
		name     string
	}{{0, 5, "off"}, {5, 8, "starting"}, {8, 20, "not at rest"}, {20, 30, ""}, {30, 40, "not at rest"}, {40, 45, ""}, {45, 60, "defrost"}}
	got := s.shades()
	if len(got) != len(want) {
		t.Fatalf("got %v", got)
	}
	for i, w := range want {
		if g := got[i]; !g.From.Equal(at(w.from)) || !g.To.Equal(at(w.to)) || g.Name != w.name || (g.Grade == "steady") != (i == 3) {
			t.Errorf("shade %d is %+v, want %v", i, g, w)
		}
	}
	rows := s.leftOutTable().Rows
	if len(rows) != 5 || rows[1][3] != "Less than 3\u00a0min after a start." || rows[4][3] != "The evaporator is freed of frost." {
		t.Errorf("the table says %v", rows)
	}
}

// Without a table of what the machine did, the rest of a log is one shade as before.
func TestALogOfWhichNothingIsKnown(t *testing.T) {
	start := time.Date(2025, 6, 2, 9, 0, 0, 0, time.UTC)
	s := System{Log: &Log{Times: minutesOf(start, 60)}}
	if got := s.shades(); len(got) != 1 || got[0] != (chart.Shade{Span: chart.Span{From: start, To: start.Add(time.Hour)}, Grade: "excluded"}) {
		t.Errorf("got %v", got)
	}
	if rows := s.leftOutTable().Rows; rows != nil {
		t.Errorf("got %v", rows)
	}
}
