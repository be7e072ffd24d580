package chart

import (
	"math/rand/v2"
	"testing"
	"time"
)

// Texts above a chart never cover each other, however close their events are; what starts
// a new baseline has its text before others.
func TestEventTextsDoNotCoverEachOther(t *testing.T) {
	draw := rand.New(rand.NewPCG(7, 7))
	for range 300 {
		var events []Event
		for range 1 + draw.IntN(9) {
			events = append(events, Event{At: start.Add(time.Duration(draw.IntN(1000)) * 24 * time.Hour), Text: "direct leak check"[:4+draw.IntN(13)], Reset: draw.IntN(3) == 0})
		}
		at := func(e Event) float64 { return e.At.Sub(start).Hours() / 24000 }
		placed := labels(events, at)
		resets := 0
		for i, a := range placed {
			for _, b := range placed[:i] {
				if a.row >= 0 && a.covers(b) {
					t.Fatalf("%v and %v cover each other", a, b)
				}
			}
			if events[i].Reset && a.row >= 0 {
				resets++
			}
		}
		for i, a := range placed {
			if events[i].Reset && a.row < 0 && resets == 0 {
				t.Fatalf("no new baseline of %v has its text", events)
			}
		}
	}
}

// An event long before the first reading stays out of the chart, and in its table.
func TestEventsLongBeforeTheReadings(t *testing.T) {
	c := course()
	c.Events = append([]Event{{At: start.AddDate(-6, 0, 0), Text: "install", Reset: true}}, c.Events...)
	lo, _ := c.reach()
	if from := time.UnixMilli(lo); from.Before(start.AddDate(0, -3, 0)) {
		t.Errorf("the chart begins on %s, its first reading is of %s", from.Format(time.DateOnly), start.Format(time.DateOnly))
	}
	if n := len(c.eventLines(c.reach())); n != 3 {
		t.Errorf("%d events are drawn, want those within the readings", n)
	}
	if rows := c.table().Rows; rows[0][len(rows[0])-1] != "install" {
		t.Errorf("the table begins with %v", rows[0])
	}
}
