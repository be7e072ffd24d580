package score

import (
	"testing"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/table"
)

// System A: the setpoint is turned on day 200; false alarms on days 260 and 600, the first
// of them within 120 days. Its instruments change on day 240 and back on day 270: the
// alarm of day 260 is laid to the former only. B is left alone; C leaks, and its alarm is
// no false one.
func TestFalseAlarmsAreLaidToWhatIsNoLeak(t *testing.T) {
	in := fleetOf(map[string][]truth.Episode{"A": nil, "B": nil, "C": {leak(90)}})
	for i := range in.Truth.Systems {
		in.Truth.Systems[i].Changes = []truth.Change{{What: truth.Setpoint, At: on(200)}}
	}
	for i, f := range in.Truth.Files {
		if f.System == "A" && f.Start.Equal(on(240)) {
			in.Truth.Files[i].Kit = "K2"
		}
	}
	in.Findings = []table.Finding{finding("A", "charge loss", 260), finding("A", "charge loss", 600), finding("C", "charge loss", 260)}
	h := compared(t, in).Harmless
	for name, want := range map[string]struct {
		hits Number
		n    int
	}{
		truth.Setpoint: {1, 3}, otherInstruments: {1, 2}, winter: {0, 6}, recordedTopUp: {0, 0},
	} {
		got := h[name]
		if got.N != want.n {
			t.Errorf("%s: %d cases, want %d", name, got.N, want.n)
		}
		if want.n > 0 {
			near(t, name, got.Share*Number(got.N), float64(want.hits), 1e-9)
		}
	}
}

// A top-up counts where it stands in the register as it was.
func TestTopUpsThatAreWrittenDown(t *testing.T) {
	topped := leak(90)
	topped.Ended, topped.Note = on(250), "repaired and topped up"
	in := fleetOf(map[string][]truth.Episode{"A": {topped}, "B": {topped}})
	in.Truth.Slips = []truth.Slip{{Table: "events", System: "B", Field: "row"}}
	in.Findings = []table.Finding{finding("A", "charge loss", 300)}
	if h := compared(t, in).Harmless[recordedTopUp]; h.N != 1 || h.Share != 1 {
		t.Errorf("%v of %d, want the one of A, followed by an alarm", h.Share, h.N)
	}
}
