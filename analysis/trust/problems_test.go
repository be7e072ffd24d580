package trust

import (
	"strings"
	"testing"
	"time"
)

// A month of a meter that stores W under kW is one row with its days, not thirty; visits,
// other uploads and other channels have rows of their own.
func TestDaysOfOneErrorAreOneRow(t *testing.T) {
	day := func(d int) int64 { return time.Date(2025, 5, d, 0, 0, 0, 0, time.UTC).UnixMicro() }
	wrong := Doubt{Rule: "D28", Channels: []string{"power_kw"}, Evidence: "a thousand times", Hides: true}
	other := Doubt{Rule: "D28", Channels: []string{"current_a"}, Evidence: "a third"}
	facts := []Facts{
		{Start: day(1), Day: true, Paths: []string{"a.csv"}, Doubts: []Doubt{wrong}},
		{Start: day(2), Day: true, Paths: []string{"a.csv"}, Doubts: []Doubt{wrong, other}},
		{Start: day(5), Day: true, Paths: []string{"a.csv"}, Doubts: []Doubt{wrong}},
		{Start: day(6), Day: true, Paths: []string{"b.csv"}, Doubts: []Doubt{wrong}},
		{Start: day(7), Paths: []string{"a.csv"}, Doubts: []Doubt{wrong}},
		{Start: day(8), Paths: []string{"a.csv"}, Doubts: []Doubt{wrong}},
	}
	rows := Problems("A", facts)
	if len(rows) != 5 {
		t.Fatalf("%d rows, want 5: %+v", len(rows), rows)
	}
	if !strings.HasSuffix(rows[0].Problem, "a thousand times; again on 2 days up to 2025-05-05") || !rows[0].Visit.Equal(time.UnixMicro(day(1))) {
		t.Errorf("first row %+v", rows[0])
	}
	for _, r := range rows[1:] {
		if strings.Contains(r.Problem, "again") {
			t.Errorf("row of one day: %q", r.Problem)
		}
	}
}
