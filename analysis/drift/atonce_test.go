package drift

import (
	"math"
	"math/rand/v2"
	"testing"

	"rimelog/analysis/robust"
)

// weekly is a track of two years of weekly values with a scatter of 0.1 K about a course.
func weekly(t *testing.T, course func(years float64) float64) *track {
	t.Helper()
	rng := rand.New(rand.NewPCG(1, 2))
	tr := &track{space: &robust.Workspace{}, belief: robust.Belief{Wild: wildShare, WildSD: 6, Scatter: 0.4, ScatterWeight: leastTrack}}
	level := []float64{}
	for week := range 104 {
		at := float64(week) * 7 * dayLong
		tr.t, level, tr.sure = append(tr.t, at), append(level, 1), append(tr.sure, 1)
		tr.belief.Y = append(tr.belief.Y, course(at)+0.1*rng.NormFloat64())
	}
	tr.belief.Columns, tr.belief.Mean, tr.belief.SD = [][]float64{level}, []float64{0}, []float64{10}
	tr.spare = make([]float64, 4*len(tr.t))
	tr.bend()
	var err error
	if tr.fit, err = tr.belief.Fit(); err != nil {
		t.Fatal(err)
	}
	return tr
}

// A change of 2 K that came at once after a year is seen about its onset; 4 K a year since half a
// year before it are not, though a step fits the whole record as well as anything that is flat;
// and of a record that begins with it nobody knows what was before.
func TestWeeksAboutAnOnsetTellWhatCameAtOnce(t *testing.T) {
	step := weekly(t, func(years float64) float64 { return 2 * is(years > 1) })
	grows := weekly(t, func(years float64) float64 { return 4 * math.Max(0, years-0.5) })
	for _, c := range []struct {
		name  string
		tr    *track
		onset float64
		want  bool
	}{
		{"came at once", step, 1, false},
		{"came at once, asked of another time", step, 0.5, true},
		{"grew", grows, 1, true},
		{"from the beginning", step, 0, true},
		{"of the last week", grows, grows.t[102], false},
	} {
		if got := c.tr.grew(c.onset, hidden, 2); got != c.want {
			t.Errorf("%s: grew %v, want %v", c.name, got, c.want)
		}
	}
}
