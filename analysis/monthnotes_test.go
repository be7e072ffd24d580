package analysis

import (
	"reflect"
	"testing"

	"rimelog/analysis/trust"
	"rimelog/pipeline/dataset"
)

// Verdicts and the quality of logs ask of a visit for its times, its instruments and its rules:
// these stay, also where they were noted visit by visit, as was done before.
func TestWhatIsSaidOfVisitsStays(t *testing.T) {
	a, b := []string{"A-1", "A-2"}, []string{"B-1"}
	facts := []trust.Facts{
		{Start: 1, End: 2, Day: true, Print: "columns", Serials: a, Fluid: "R290", Doubts: []trust.Doubt{{Rule: "D3", Evidence: "x"}, {Rule: "D9"}}},
		{Start: 3, End: 4, Day: true, Print: "columns", Serials: a, Looked: "0"},
		{Start: 5, End: 6, Print: "columns", Serials: b},
		{Start: 7, End: 8, Day: true, Print: "columns", Serials: a},
	}
	want := []trust.Facts{
		{Start: 1, End: 2, Day: true, Print: "columns", Serials: a, Doubts: []trust.Doubt{{Rule: "D3"}, {Rule: "D9"}}},
		{Start: 3, End: 4, Day: true, Print: "columns", Serials: a}, facts[2], facts[3],
	}
	now, before := monthNotes{}, monthNotes{}
	if err := now.putSaid("2024-03", facts); err != nil {
		t.Fatal(err)
	}
	if err := before.put("2024-03", facts); err != nil {
		t.Fatal(err)
	}
	if got, err := now.said(dataset.File{}, "2024-03"); err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v, %v", got, err)
	}
	if got, err := before.said(dataset.File{}, "2024-03"); err != nil || !reflect.DeepEqual(got, facts) {
		t.Errorf("as before: got %+v, %v", got, err)
	}
	if err := before.renew(dataset.File{}); err != nil || before["2024-03"] != now["2024-03"] {
		t.Errorf("renewed: %s, %v; want %s", before["2024-03"], err, now["2024-03"])
	}
	if runs := saidRuns(facts); len(runs) != 3 {
		t.Errorf("%d runs", len(runs))
	}
}
