package chart

import (
	"math"
	"testing"
	"time"

	"rimelog/analysis/say"
)

// By hand: of 14 days from the 25th of a month on the first ten lie before the time. Seven are of
// one month, the three after them of the next, and four stay; one that is not judged stays by
// itself, and no mark stands for days before and after a repair.
func TestByMonth(t *testing.T) {
	first := time.Date(2024, time.January, 25, 0, 0, 0, 0, time.UTC)
	var days []Reading
	for d := range 14 {
		days = append(days, Reading{At: first.AddDate(0, 0, d), Measured: float64(d), Like: float64(d) + 1, U: 0.25, Outdoor: 20})
	}
	days[4].Outdoor = math.NaN()
	c, before := Course{Readings: days, Say: say.Locale{}}, first.AddDate(0, 0, 10)
	got := c.ByMonth(before)
	if len(got) != 6 || got[0].Measured != 3 || got[0].Like != 4 || got[0].U != 0.25 || got[0].Outdoor != 20 || !got[0].At.Equal(first.AddDate(0, 0, 3)) || got[0].Note != "mean of a month: 7\u00a0readings" {
		t.Errorf("%+v", got)
	}
	if got[1].Measured != 8 || got[2] != days[10] {
		t.Errorf("%+v", got[1:])
	}
	c.Events = []Event{{At: first.AddDate(0, 0, 4), Reset: true}}
	if got := c.ByMonth(before); len(got) != 7 || got[0].Measured != 1.5 || got[1].Measured != 5 {
		t.Errorf("with a repair on the fifth day: %+v", got)
	}
	days[2].Use, c.Events = Unused, nil
	if got := c.ByMonth(before); len(got) != 8 || got[1] != days[2] {
		t.Errorf("with one that is not judged: %+v", got)
	}
}
