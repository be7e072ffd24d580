package chart

import (
	"math"
	"testing"
	"time"
)

// A line that broke from its baseline is level until the onset, then reaches the
// level of its last visit: evenly, or at once. Its interval opens with the change.
func TestLineBendsAtTheOnset(t *testing.T) {
	day := func(n int) time.Time { return time.Date(2025, 1, 1+n, 0, 0, 0, 0, time.UTC) }
	even := Line{From: day(0), To: day(100), Level: 4, Onset: day(40), Change: -3, ChangeLo: -3.5, ChangeHi: -2.5}
	once := even
	once.Sudden = true
	for _, c := range []struct {
		what string
		line Line
		want []bend
	}{
		{"even", even, []bend{{day(0), 7, 7, 7}, {day(40), 7, 7, 7}, {day(100), 4, 3.5, 4.5}}},
		{"at once", once, []bend{{day(0), 7, 7, 7}, {day(40), 7, 7, 7}, {day(40), 4, 3.5, 4.5}, {day(100), 4, 3.5, 4.5}}},
	} {
		got := c.line.bends()
		if len(got) != len(c.want) {
			t.Fatalf("%s: %d bends, want %d", c.what, len(got), len(c.want))
		}
		for i, w := range c.want {
			if g := got[i]; !g.t.Equal(w.t) || math.Abs(g.is-w.is)+math.Abs(g.lo-w.lo)+math.Abs(g.hi-w.hi) > 1e-12 {
				t.Errorf("%s: bend %d is %v, want %v", c.what, i, g, w)
			}
		}
	}
}
