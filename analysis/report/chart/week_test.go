package chart

import (
	"math"
	"testing"
	"time"

	"rimelog/analysis/say"
)

// By hand, from a Monday on: of 14 days the first ten lie before the time. Seven are one
// reading, the three after them one, and four stay; one that is not judged stays by itself.
func TestByWeek(t *testing.T) {
	first := time.Date(2024, time.January, 1, 0, 0, 0, 0, time.UTC)
	var days []Reading
	for d := range 14 {
		days = append(days, Reading{At: first.AddDate(0, 0, d), Measured: float64(d), Like: float64(d) + 1, U: 0.25, Outdoor: 20})
	}
	days[4].Outdoor = math.NaN()
	got := ByWeek(days, first.AddDate(0, 0, 10), say.Locale{})
	if len(got) != 6 || got[0].Measured != 3 || got[0].Like != 4 || got[0].U != 0.25 || got[0].Outdoor != 20 || !got[0].At.Equal(first.AddDate(0, 0, 3)) || got[0].Note != "mean of a week: 7\u00a0readings" {
		t.Errorf("%+v", got)
	}
	if got[1].Measured != 8 || got[2] != days[10] {
		t.Errorf("%+v", got[1:])
	}
	days[2].Use = Unused
	if got := ByWeek(days, first.AddDate(0, 0, 10), say.Locale{}); len(got) != 8 || got[1] != days[2] {
		t.Errorf("with one that is not judged: %+v", got)
	}
}
