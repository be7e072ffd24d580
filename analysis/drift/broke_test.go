package drift

import (
	"testing"

	"rimelog/pipeline/table"
)

// Who draws a trend learns from its note whether it broke from a baseline.
func TestBrokeFollowsTheNote(t *testing.T) {
	for _, c := range []struct {
		note         string
		sudden, okay bool
	}{
		{againstBaseline + "10 visits before; it went " + evenly, false, true},
		{againstBaseline + "10 visits before; it went " + suddenly, true, true},
		{"2 sets of instruments, each compared with itself", false, false},
		{"", false, false},
	} {
		if sudden, ok := Broke(table.Trend{Note: c.note}); sudden != c.sudden || ok != c.okay {
			t.Errorf("%q: %t, %t; want %t, %t", c.note, sudden, ok, c.sudden, c.okay)
		}
	}
}
