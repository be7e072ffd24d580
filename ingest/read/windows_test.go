package read

import (
	"testing"
	"time"

	"rimelog/ingest/logtest"
	"rimelog/pipeline/register"
)

// A row of the register holds for its own time, also within a file: the probe in
// column 2 was moved from the suction to the liquid line at 12:15.
func TestRowsHoldForTheirTime(t *testing.T) {
	moved := time.Date(2025, 3, 25, 12, 15, 0, 0, time.UTC)
	a := logtest.InZone(time.UTC)
	a.Systems[0].Rows = []register.Channel{
		{System: "CR-01", Column: "Probe 1", Channel: "suction_temp", Unit: "°C", Sign: 1, To: moved, Line: 2},
		{System: "CR-01", Column: "Probe 1", Channel: "liquid_temp", Unit: "°C", Sign: 1, From: moved, Line: 3},
	}
	r := readBytes(t, []byte(logtest.Stamped("Time;Probe 1;Power [W]", "2025-03-25 12:%02d:00;5,5;1200")+"broken;line\n2025-03-25 12:31:00;OL;1200\n"), a)
	s := r.Parts[0].Samples
	if r.Lines.Data != 31 || r.Lines.Quarantined != 1 || r.Values.Stored != 30+31 || r.Values.Missing != 1 || s.Rows() != 31 {
		t.Fatalf("%+v %+v, %d rows", r.Lines, r.Values, s.Rows())
	}
	suction, liquid := s.Valid("suction_temp_c"), s.Valid("liquid_temp_c")
	for i := range 30 {
		if before := i < 15; suction.At(i) != before || liquid.At(i) == before {
			t.Errorf("row %d: suction %v, liquid %v", i, suction.At(i), liquid.At(i))
		}
	}
	if rows := r.Parts[0].Refusals.Rows(); rows != 2 {
		t.Errorf("%d refusals, want the line and the cell", rows)
	}
	if err := r.Lines.Check(); err != nil {
		t.Error(err)
	}
	if err := r.Values.Check(); err != nil {
		t.Error(err)
	}
}
