package score

import (
	"math"
	"testing"
	"time"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/table"
)

// The hand-made fleet: every system is logged on every 30th day from day 0 to day
// 720, for 40 minutes at rest, with one set of fine instruments. Its charge is 10 kg.
// Leaks lose 0.1 % a day, so that losses can be told by counting days.

var start = time.Date(2024, 1, 1, 9, 0, 0, 0, time.UTC)

// on is the morning of a day.
func on(day float64) time.Time { return start.Add(time.Duration(day * 24 * float64(time.Hour))) }

const (
	everyDays = 30
	lastDay   = 720
	minutes   = 40
	aDay      = 0.36525 // growth in a year of what grows by 0.1 % a day
)

// leak is a slow one from a day on.
func leak(day float64) truth.Episode {
	return truth.Episode{Fault: truth.Leak, Onset: on(day), PerYear: aDay}
}

// fleetOf makes a fleet of systems with these episodes.
func fleetOf(systems map[string][]truth.Episode) Input {
	in := Input{Observe: func(string) (Observed, error) { return Observed{}, nil }}
	in.Truth = truth.Fleet{Start: start, End: on(lastDay + 10), Sensors: []truth.Sensor{{Serial: "K1-1", Kit: "K1", Class: "fine"}}}
	for id, episodes := range systems {
		in.Truth.Systems = append(in.Truth.Systems, truth.System{ID: id, RatedCharge: 10, Episodes: episodes})
		for day := 0; day <= lastDay; day += everyDays {
			in.Truth.Files = append(in.Truth.Files, logOf(id, on(float64(day))))
		}
	}
	return in
}

// see has a system observed.
func see(in *Input, id string, o Observed) {
	others := in.Observe
	in.Observe = func(system string) (Observed, error) {
		if system == id {
			return o, nil
		}
		return others(system)
	}
}

// logOf is an unspoilt log.
func logOf(id string, from time.Time) truth.File {
	f := truth.File{
		Path: id + "/" + from.Format(time.DateOnly) + ".csv", System: id, Logger: "L", Kit: "K1",
		Start: from, End: from.Add(minutes * time.Minute),
	}
	for _, c := range needed {
		f.Columns = append(f.Columns, truth.Column{Channel: c})
	}
	f.Steady = []truth.Stretch{{From: f.Start, To: f.End}}
	return f
}

// finding is one raised on a day.
func finding(system, kind string, day float64) table.Finding {
	return table.Finding{
		ID: system + "/" + kind, System: system, Kind: kind, RaisedOn: on(day), Probability: math.NaN(),
		LostLo: math.NaN(), LostHi: math.NaN(), LossPctLo: math.NaN(), LossPctHi: math.NaN(),
	}
}

func compared(t *testing.T, in Input) Score {
	t.Helper()
	s, err := Compare(in)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func near(t *testing.T, what string, got Number, want, tol float64) {
	t.Helper()
	if !(math.Abs(float64(got)-want) <= tol) {
		t.Errorf("%s: got %v, want %v ± %v", what, got, want, tol)
	}
}

func missing(t *testing.T, what string, got Number) {
	t.Helper()
	if !math.IsNaN(float64(got)) {
		t.Errorf("%s: got %v, want none", what, got)
	}
}

// shares checks sensitivity: hits of n at each level.
func shares(t *testing.T, got map[string]Share, n int, hits map[string]int) {
	t.Helper()
	for level, want := range hits {
		if s := got[level]; s.N != n || math.Abs(float64(s.Share)*float64(n)-float64(want)) > 1e-9 {
			t.Errorf("sensitivity at %s %%: %v of %d, want %d of %d", level, s.Share, s.N, want, n)
		}
	}
}
