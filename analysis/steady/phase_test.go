package steady

import (
	"math"
	"testing"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// phasesOf tells the phases of samples of a machine of some kind.
func phasesOf(c *cycle.Columns, kind register.Kind) []table.Phase {
	s := register.NewSystem("room-1")
	s.Kind = kind
	stays, _ := Cut(c, nil, Options{})
	return Phases(c, &cycle.Circuit{System: s}, stays, math.MinInt64, math.MaxInt64, Options{})
}

func expectPhases(t *testing.T, got []table.Phase, want ...string) {
	t.Helper()
	var names []string
	for _, p := range got {
		names = append(names, p.State)
		if (p.Excluded == "") != (p.State == table.IsRunning) {
			t.Errorf("%s from %v: excluded because %q", p.State, p.Start, p.Excluded)
		}
	}
	if len(names) != len(want) {
		t.Fatalf("got %q, want %q", names, want)
	}
	for i := range want {
		if names[i] != want[i] {
			t.Fatalf("got %q, want %q", names, want)
		}
	}
}

// A machine starts, runs, pumps its low side down and stops; common practice, no source.
func TestPhasesTellTheDayOfAMachine(t *testing.T) {
	c := tell(t, "every 10s\noff 5m\non 20m\non 2m sh=6 drift=10\noff 10m\non 15m")
	for i := range c.Time {
		if sh := c.Values[cycle.Superheat][i]; sh > 8 {
			c.Values[cycle.Evaporating][i] -= sh - 6
		}
	}
	got := phasesOf(c, register.ColdRoom)
	expectPhases(t, got, table.IsOff, table.IsStarting, table.IsRunning, table.IsPumpDown, table.IsOff, table.IsStarting, table.IsRunning)
	var minutes float64
	for i, p := range got {
		minutes += p.Minutes
		if i > 0 && p.Start.Sub(got[i-1].End) != 10*time.Second {
			t.Errorf("%s begins %v after the phase before, want the next sample", p.State, p.Start.Sub(got[i-1].End))
		}
	}
	if math.Abs(minutes-52) > 0.01 {
		t.Errorf("%.2f minutes in all, want 52", minutes)
	}
}

// A defrost that the log tells, and the quarter of an hour after it, are judged by nothing;
// midnight does not cut what follows from it short.
func TestPhasesAfterADefrost(t *testing.T) {
	c := tell(t, "every 60s\non 30h")
	c.Defrost = make([]table.State, c.Rows())
	for i := range c.Defrost {
		c.Defrost[i] = table.No
	}
	for i := 12*60 - 10; i < 12*60-3; i++ { // the story begins at noon
		c.Defrost[i] = table.Yes
	}
	got := phasesOf(c, register.ColdRoom)
	expectPhases(t, got, table.IsRunning, table.IsDefrost, table.IsAfterDefrost, table.IsRunning)
	if p := got[2]; p.End.Sub(got[1].End) < 14*time.Minute || p.End.Day() == got[1].End.Day() {
		t.Errorf("after the defrost until %v, want a quarter of an hour after %v", p.End, got[1].End)
	}
	if got[1].KnownBy != "logged" || got[3].KnownBy != "detected" {
		t.Errorf("known by %q and %q", got[1].KnownBy, got[3].KnownBy)
	}
}

// Hot gas: the machine runs on, and the evaporator is warmer than its room for some
// minutes; common practice, no source.
func TestHotGasDefrostIsDetected(t *testing.T) {
	c := tell(t, "every 10s\non 90m")
	c.Values[cycle.EvaporatorTD] = make([]float64, c.Rows())
	c.Values[cycle.EvaporatorMedium] = make([]float64, c.Rows())
	for i := range c.Time {
		c.Values[cycle.EvaporatorTD][i] = 7
		if i >= 180 && i < 240 {
			c.Values[cycle.EvaporatorTD][i] = -8
		}
	}
	expectPhases(t, phasesOf(c, register.ColdRoom), table.IsRunning, table.IsDefrost, table.IsAfterDefrost, table.IsRunning)
	for i := range c.Time { // a probe at the wrong place all the time is no defrost
		c.Values[cycle.EvaporatorTD][i] = -8
	}
	expectPhases(t, phasesOf(c, register.ColdRoom), table.IsRunning)
}

// Two of three compressors of a pack: power steps by a third at equal pressures.
func TestPhasesTellStages(t *testing.T) {
	c := tell(t, "every 10s\non 60m")
	for i := range c.Time {
		if c.Values[cycle.Power][i] = 9; i >= 180 {
			c.Values[cycle.Power][i] = 6
		}
	}
	got := phasesOf(c, register.ColdRoom)
	expectPhases(t, got, table.IsRunning, table.IsRunning)
	if math.Abs(got[0].Capacity-100) > 0.1 || math.Abs(got[1].Capacity-66.7) > 0.5 || got[1].Start.Sub(got[0].Start) != 30*time.Minute {
		t.Errorf("%.1f %% and from %v on %.1f %%, want 100 %% and from minute 30 on 66.7 %%", got[0].Capacity, got[1].Start, got[1].Capacity)
	}
}

// An air conditioner that heats: its coil warms the room's air.
func TestPhasesTellAReversedCircuit(t *testing.T) {
	c := tell(t, "every 10s\non 30m")
	c.Values[cycle.EvaporatorAirOn], c.Values[cycle.EvaporatorAirOff] = make([]float64, c.Rows()), make([]float64, c.Rows())
	for i := range c.Time {
		c.Values[cycle.EvaporatorAirOn][i], c.Values[cycle.EvaporatorAirOff][i] = 20, 35
	}
	expectPhases(t, phasesOf(c, register.AirConditioning), table.IsReversed)
	expectPhases(t, phasesOf(c, register.ColdRoom), table.IsRunning)
}
