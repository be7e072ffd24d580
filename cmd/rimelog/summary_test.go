package main

import (
	"strings"
	"testing"

	"rimelog/pipeline/table"
)

// A register that names no refrigerant is one thing left out, however many visits it spoils.
func TestLeftOutIsSaidOnce(t *testing.T) {
	row := func(place, system, problem, weight string) table.Problem {
		return table.Problem{Place: place, System: system, Problem: problem, Weight: weight}
	}
	left := once([]table.Problem{
		row("uploads/A/1.csv", "A", "wrong refrigerant (D1)", "left out"),
		row("uploads/A/1.csv", "A", "other instruments (D24)", "doubt"),
		row("uploads/A/2.csv", "A", "wrong refrigerant (D1)", "left out"),
		row("uploads/A/3.csv", "A", "wrong refrigerant (D1)", "left out"),
		row("uploads/B/1.csv", "B", "wrong refrigerant (D1)", "left out"),
		row("uploads/Y.csv", "", "no system claims it", "left out"),
		row("uploads/Z.csv", "", "no system claims it", "left out"),
	})
	if len(left) != 4 || !strings.HasSuffix(left[0].Problem, "so at 2 more place(s)") || strings.Contains(left[1].Problem, "more") {
		t.Errorf("listed %d things: %v", len(left), left)
	}
}
