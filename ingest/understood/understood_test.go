package understood

import (
	"encoding/json"
	"reflect"
	"testing"

	"rimelog/thermo/units"
)

// Why the cells of a column were not taken is told of the column only where it is one reason.
func TestWhyCellsOfAColumnWereNotTaken(t *testing.T) {
	u := File{Cells: []CellProblem{
		{Line: 5, Column: "T1", Reason: TooHot + "; look at the probe", Text: "3140", Cells: 2},
		{Line: 9, Column: "T1", Reason: TooHot + "; look at the probe", Text: "999", Cells: 1},
		{Line: 6, Column: "P1", Reason: BelowVacuum + " when read as gauge", Text: "-2"},
		{Line: 7, Column: "P1", Reason: "not a number", Text: "1.2.3"},
		{Line: 8, Column: "Remark", Reason: "not a number", Text: "door open"},
	}}
	if c, ok := u.AllFor("T1", TooHot); !ok || c.Line != 5 || c.Text != "3140" {
		t.Errorf("T1: %+v, %v; want its first cell", c, ok)
	}
	for column, reason := range map[string]string{"P1": BelowVacuum, "T1": BelowVacuum, "T9": TooHot} {
		if c, ok := u.AllFor(column, reason); ok {
			t.Errorf("%s: all for %q, the first %+v", column, reason, c)
		}
	}
	if word, ok := u.RemarkIn("Remark"); !ok || word != "door open" {
		t.Errorf("remark %q, %v", word, ok)
	}
	if word, ok := u.RemarkIn("P1"); ok {
		t.Errorf("%q holds digits and is no remark", word)
	}
}

// Times are written as ISO 8601-1:2019, 5.4.2.1, and read back to the microsecond.
func TestTimesAreThoseOfTheStandard(t *testing.T) {
	for micros, want := range map[int64]string{
		0:                    "1970-01-01T00:00:00Z",
		951_782_400_000_000:  "2000-02-29T00:00:00Z", // a leap day
		1_741_089_605_250000: "2025-03-04T12:00:05.25Z",
		-1:                   "1969-12-31T23:59:59.999999Z",
	} {
		if got := UTC(micros); got != want {
			t.Errorf("%d µs: %s, want %s", micros, got, want)
		}
	}
	u := File{Time: Time{FirstUTC: UTC(1_741_089_605_250000), LastUTC: UTC(1_741_089_606_000000)}}
	if first, last := u.Extent(); first != 1_741_089_605_250000 || last != 1_741_089_606_000000 {
		t.Errorf("from %d to %d", first, last)
	}
}

// Readings keep it as JSON: it comes back as it was.
func TestAFileComesBackFromJSON(t *testing.T) {
	u := File{Encoding: "UTF-8", Delimiter: ";", Columns: []Column{{Name: "p0", Reference: units.Gauge.String(), Missing: map[string]int64{"empty": 2}}}, Notes: []Note{{Note: "n", Remedy: "r"}}}
	b, err := json.Marshal(u)
	if err != nil {
		t.Fatal(err)
	}
	var again File
	if err := json.Unmarshal(b, &again); err != nil || !reflect.DeepEqual(u, again) {
		t.Errorf("%v\ngot  %+v\nwant %+v", err, again, u)
	}
	if !again.ReadsGauge() || (File{}).ReadsGauge() {
		t.Error("whether a pressure counts from the air's is lost")
	}
}
