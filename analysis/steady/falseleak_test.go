package steady

import (
	"math"
	"testing"

	"rimelog/analysis/cycle"
)

// A machine pumps its low side down before each stop: suction pressure runs to the
// cut-out and superheat rises with it. No window may hold that (common practice, no
// source).
func TestPumpDownIsInNoWindow(t *testing.T) {
	c := tell(t, "every 10s\non 20m\non 2m sh=6 drift=10\noff 5m\non 20m\non 2m sh=6 drift=10\noff 5m")
	for i := range c.Time {
		if sh := c.Values[cycle.Superheat][i]; sh > 8 {
			c.Values[cycle.Evaporating][i] -= sh - 6
		}
	}
	_, windows := Cut(c, nil, Options{})
	if len(windows) < 4 {
		t.Fatalf("%d windows, want those before the pump-down", len(windows))
	}
	for _, w := range windows {
		if math.Abs(w.Mean[cycle.Superheat]-6) > 0.3 {
			t.Errorf("window from minute %.0f: mean superheat %.2f K, want 6", float64(w.Start-c.Time[0])/60e6, w.Mean[cycle.Superheat])
		}
	}
}

// Whoever logs connects the hoses four minutes after the log begins and takes them off
// before it ends; the probe on the suction pipe is not there yet. No window counts those
// minutes, and how long the machine had run before is as unknown as without them.
func TestHosesInTheAirAreInNoWindow(t *testing.T) {
	c := tell(t, "every 10s\non 40m")
	n := c.Rows()
	c.InAir = make([]bool, n)
	for i := range n {
		if c.InAir[i] = i < 24 || i >= n-6; c.InAir[i] {
			c.Values[cycle.Superheat][i] = 25
		}
	}
	stays, windows := Cut(c, nil, Options{})
	if len(windows) == 0 || !windows[0].StartUnknown {
		t.Fatalf("windows %+v, want some, the first of a machine whose start nobody saw", windows)
	}
	visits := Visits(stays, nil, Site{}, Options{})
	if len(visits) != 1 || !visits[0].Start.Equal(utc(c.Time[0])) {
		t.Errorf("the visit begins with the log: %+v", visits)
	}
	for _, w := range windows {
		if w.Start < c.Time[24] || w.End >= c.Time[n-6] || math.Abs(w.Mean[cycle.Superheat]-6) > 0.3 {
			t.Errorf("window from minute %.1f to %.1f: superheat %.2f K, want 6", float64(w.Start-c.Time[0])/60e6, float64(w.End-c.Time[0])/60e6, w.Mean[cycle.Superheat])
		}
	}
	c = tell(t, "every 10s\non 5m")
	c.InAir = make([]bool, c.Rows())
	for i := range c.InAir {
		c.InAir[i] = i < 6 || i > 20
	}
	_, windows = Cut(c, nil, Options{})
	if len(windows) != 1 || windows[0].Start != c.Time[6] || windows[0].End != c.Time[20] {
		t.Errorf("a spot of the connected minutes alone: %+v", windows)
	}
}

// Fans that switch on and off swing the condensing temperature by 3 K with a period of
// four minutes, and subcooling with it: means over windows stand still all the same.
func TestFansThatSwitchAreNoDrift(t *testing.T) {
	c := tell(t, "every 10s\non 60m")
	c.Values[cycle.Condensing] = make([]float64, c.Rows())
	for i := range c.Time {
		s := 1.5 * math.Sin(2*math.Pi*float64(i)*10/240)
		c.Values[cycle.Condensing][i] = 35 + s
		c.Values[cycle.Subcooling][i] += 0.7 * s
	}
	_, windows := Cut(c, nil, Options{})
	if len(windows) == 0 {
		t.Fatal("no window of a machine whose fans switch")
	}
	for _, w := range windows {
		if w.Grade == Spot || math.Abs(w.Mean[cycle.Subcooling]-5) > 0.3 {
			t.Errorf("window from minute %.0f: %s, mean subcooling %.2f K, want 5", float64(w.Start-c.Time[0])/60e6, w.Grade, w.Mean[cycle.Subcooling])
		}
	}
}
