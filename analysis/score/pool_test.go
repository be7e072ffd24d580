package score

import (
	"testing"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/table"
)

// A fleet pooled with itself has twice the trials at the same rates; alone it is as it
// was.
func TestPooledFleetsAddUp(t *testing.T) {
	in := fleetOf(map[string][]truth.Episode{"A": {leak(90)}, "B": nil, "C": {fouling()}})
	in.Findings = []table.Finding{finding("A", "charge loss", 180), finding("B", "charge loss", 300), finding("C", "condenser fouling", 330)}
	in.Truth.Files[0].Mistakes = []truth.Mistake{{ID: "D7"}}
	in.Uploads = []table.Upload{{Path: in.Truth.Files[0].Path, Stored: 100}}
	in.Problems = []table.Problem{{Place: "uploads/" + in.Truth.Files[0].Path, System: in.Truth.Files[0].System, Rule: "D7"}}
	one, two := compared(t, Pool(in)), compared(t, Pool(in, in))
	if in.Truth.Systems[0].ID[1:] != "" {
		t.Errorf("system %q: pooling changed what was pooled", in.Truth.Systems[0].ID)
	}
	for name, n := range map[string][2]int{
		"sensitivity at 8 %": {one.Leak.Sensitivity["8"].N, two.Leak.Sensitivity["8"].N},
		"false alarms":       {one.Leak.FalseAlarms.Events, two.Leak.FalseAlarms.Events},
		"fouling":            {one.Faults["condenser fouling"].Found.N, two.Faults["condenser fouling"].Found.N},
		"cause":              {one.Cause.Right.N, two.Cause.Right.N},
		"data errors":        {one.DataErrors.Found, two.DataErrors.Found},
	} {
		if n[0] == 0 || n[1] != 2*n[0] {
			t.Errorf("%s: %d alone, %d pooled with itself", name, n[0], n[1])
		}
	}
	near(t, "rate of false alarms", two.Leak.FalseAlarms.Rate, float64(one.Leak.FalseAlarms.Rate), 1e-9)
	if a, b := one.Leak.FalseAlarms, two.Leak.FalseAlarms; b.ExactHigh-b.ExactLow >= a.ExactHigh-a.ExactLow {
		t.Errorf("interval %v to %v of twice the years is no narrower than %v to %v", b.ExactLow, b.ExactHigh, a.ExactLow, a.ExactHigh)
	}
}

// Each system's record ends where its own fleet's does.
func TestPooledFleetsKeepTheirEnds(t *testing.T) {
	long := fleetOf(map[string][]truth.Episode{"A": {leak(90)}})
	short := fleetOf(map[string][]truth.Episode{"A": {leak(90)}})
	short.Truth.End = on(100)
	if s := compared(t, Pool(short, long)).Leak.Sensitivity["8"]; s.N != 1 {
		t.Errorf("%d systems lost 8 %%, want the one whose record is long enough", s.N)
	}
}

// A receiver's reserve is 20 % of the charge: half of it is gone on day 190, seen on 210.
func TestHalfOfTheReserve(t *testing.T) {
	for day, want := range map[float64]Number{210: 1, 240: 0} {
		in := fleetOf(map[string][]truth.Episode{"A": {leak(90)}, "B": {leak(90)}})
		for i := range in.Truth.Systems {
			s := &in.Truth.Systems[i]
			s.Receiver, s.Reserve, s.LevelSensor = true, 0.2, s.ID == "A"
		}
		in.Findings = []table.Finding{finding("A", "charge loss", day)}
		half := compared(t, in).Leak.HalfReserve
		near(t, "level logged", half["level logged"].Share, float64(want), 0)
		near(t, "level not logged", half["level not logged"].Share, 0, 0)
	}
}
