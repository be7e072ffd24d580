package trust

import (
	"math"
	"testing"

	"rimelog/analysis/cycle"
)

// Gibbs' phase rule: one substance over its liquid has the pressure of its temperature, at the
// coldest place of what is open to it; gas that does not condense adds to it (Dalton's law).
func TestWhatAStandstillSays(t *testing.T) {
	high, low := cycle.DischargePressure.String(), cycle.SuctionPressure.String()
	for _, tc := range []struct {
		name string
		rest map[string]float64
		want float64
	}{
		{"saturated", map[string]float64{high: 0, low: 0}, 0},
		{"foreign gas", map[string]float64{high: 4, low: 0}, 4},
		{"liquid in a colder place", map[string]float64{high: -6, low: 0}, math.NaN()},
		{"low side not judged", map[string]float64{high: -6}, math.NaN()},
		{"gas alone", map[string]float64{high: -6, low: -4}, -4},
		{"no standstill", nil, math.NaN()},
	} {
		got := Facts{Rest: tc.rest}.AtRest()
		if got != tc.want && !(math.IsNaN(got) && math.IsNaN(tc.want)) {
			t.Errorf("%s: %v, want %v", tc.name, got, tc.want)
		}
	}
}
