package energy

import (
	"math"
	"testing"
	"time"
)

// A day's state kept from night to night is the same to the last digit, and a day that
// two months hold halves of is the mean of all its hours.
func TestDaysAreKeptAndJoined(t *testing.T) {
	state := NewState()
	state.Outdoor, state.Power = 1.0/3, 2.5
	evening := DayState{Day: time.Date(2024, 2, 29, 23, 10, 0, 1000, time.UTC), State: state, Weight: 0.1 + 0.2, Cycle: &Cycle{bubble: 1.0 / 7, real: math.NaN()}}
	packed := PackDays(nil, []DayState{evening})
	kept, err := UnpackDays(packed, time.UTC)
	if err != nil {
		t.Fatal(err)
	}
	for n := 1; n < len(packed); n++ {
		if _, err := UnpackDays(packed[:n], time.UTC); err == nil {
			t.Errorf("%d of %d bytes are taken for days", n, len(packed))
		}
	}
	if math.Float64bits(kept[0].State.Outdoor) != math.Float64bits(1.0/3) || kept[0].Weight != 0.1+0.2 || !kept[0].Day.Equal(evening.Day) || !math.IsNaN(kept[0].State.Room) {
		t.Errorf("kept %+v as %+v", evening, kept[0])
	}
	if c := kept[0].Cycle; c.bubble != 1.0/7 || !math.IsNaN(c.real) || c.exit != 0 {
		t.Errorf("kept %+v as %+v", evening.Cycle, c)
	}
	state.Power = 4
	night := DayState{Day: time.Date(2024, 2, 29, 23, 50, 0, 0, time.UTC), State: state, Weight: 2 * evening.Weight}
	next := DayState{Day: time.Date(2024, 3, 1, 1, 0, 0, 0, time.UTC), State: state, Weight: 1}
	days := JoinDays(JoinDays(nil, kept), []DayState{night, next})
	if len(days) != 2 || math.Abs(days[0].State.Power-3.5) > 1e-12 || days[0].Weight != evening.Weight+night.Weight {
		t.Errorf("joined %+v", days)
	}
	if days[0].Cycle != nil {
		t.Error("a day has the cycle of a part of it")
	}
	if !days[1].Day.Equal(next.Day) {
		t.Errorf("the next day became %s", days[1].Day)
	}
}
