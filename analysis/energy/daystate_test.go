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
	evening := DayState{time.Date(2024, 2, 29, 23, 10, 0, 1000, time.UTC), state, 0.1 + 0.2}
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
	state.Power = 4
	night := DayState{time.Date(2024, 2, 29, 23, 50, 0, 0, time.UTC), state, 2 * evening.Weight}
	next := DayState{time.Date(2024, 3, 1, 1, 0, 0, 0, time.UTC), state, 1}
	days := JoinDays(JoinDays(nil, kept), []DayState{night, next})
	if len(days) != 2 || math.Abs(days[0].State.Power-3.5) > 1e-12 || days[0].Weight != evening.Weight+night.Weight {
		t.Errorf("joined %+v", days)
	}
	if !days[1].Day.Equal(next.Day) {
		t.Errorf("the next day became %s", days[1].Day)
	}
}
