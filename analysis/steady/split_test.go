package steady

import (
	"testing"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// Charge is added on the day of a visit, and nobody wrote down when. A kilogram more
// shows as a step of superheat and subcooling; the visit is split there.
func TestAStepSplitsAVisitWithoutATime(t *testing.T) {
	s, ws := stay(func(minute int) float64 {
		if minute < 30 {
			return 12
		}
		return 6
	})
	day := time.Date(2024, 6, 3, 0, 0, 0, 0, time.UTC)
	added := register.Event{Kind: register.ChargeAdded, Time: day}
	got := Visits([]Stay{s}, ws, Site{Events: []register.Event{added}}, Options{})
	if len(got) != 2 || got[0].Part != table.AsFound || got[1].Part != table.AsLeft || got[0].SplitBy != table.SplitDetected {
		t.Fatalf("got %+v, want as found and as left, detected", got)
	}
	if got[0].Superheat != 12 || got[0].Use != table.UseTrend || got[1].Superheat != 6 || got[1].Use != table.UseTrend {
		t.Errorf("as found %v K, as left %v K, want 12 and 6, both for trends", got[0].Superheat, got[1].Superheat)
	}
	placed := Placed([]register.Event{added}, got)
	if !placed[0].Time.After(got[0].Start) || placed[0].Time.After(got[1].Start) {
		t.Errorf("the event is placed at %v, want after the part as found", placed[0].Time)
	}
	if only := Visits([]Stay{s}, ws, Site{}, Options{}); len(only) != 1 {
		t.Errorf("without an event a step is the machine's own: got %d parts", len(only))
	}
}

// The same by a standstill in the middle; and one that no visit before had splits a visit
// without any event, whose second part then begins no baseline.
func TestAStandstillSplitsAVisit(t *testing.T) {
	s, ws := stay(func(int) float64 { return 6 })
	stop := Stop{From: noon.Add(20 * time.Minute).UnixMicro(), To: noon.Add(30 * time.Minute).UnixMicro()}
	cleaned := register.Event{Kind: register.CoilCleaned, Time: time.Date(2024, 6, 3, 0, 0, 0, 0, time.UTC)}
	for _, tc := range []struct {
		name   string
		events []register.Event
		odd    bool
		parts  int
		left   string
	}{
		{"an event of that day", []register.Event{cleaned}, false, 2, table.UseTrend},
		{"no event, as at visits before", nil, false, 1, table.UseTrend},
		{"no event, as never before", nil, true, 2, table.UseSpot},
	} {
		stop.Odd = tc.odd
		got := Visits([]Stay{s}, ws, Site{Events: tc.events, Stops: []Stop{stop}}, Options{})
		if len(got) != tc.parts || got[len(got)-1].Use != tc.left {
			t.Errorf("%s: %d parts, the last for %q; want %d and %q", tc.name, len(got), got[len(got)-1].Use, tc.parts, tc.left)
		}
	}
}
