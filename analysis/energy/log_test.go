package energy

import (
	"math"
	"testing"
)

// A month whose power was stored in W under kW from the 11th on: sound days run by their own
// power, half of every hour, and a day at rest whose meter shows a standby of 8 W does not.
func TestRunsInAMonthOfTwoUnits(t *testing.T) {
	l := &Log{}
	power, low, high := &l.columns[powerColumn], &l.columns[0], &l.columns[1]
	const day, rest = 24 * 12, 5
	for i := range 30 * day {
		kw, ratio := 8.0, 3.0
		switch {
		case i/day == rest:
			kw, ratio = 0.008, 1
		case i%12 >= 6:
			kw, ratio = 0, 1.2
		}
		if i/day >= 10 {
			kw *= 1000
		}
		l.Time = append(l.Time, int64(i)*300e6)
		*power, *low, *high = append(*power, kw), append(*low, 300), append(*high, 300*ratio)
	}
	for i, runs := range l.runs() {
		if want := i/day != rest && i%12 < 6; runs != want {
			t.Fatalf("day %d, sample %d: runs %v", i/day+1, i%day, runs)
		}
	}
	for i := range *high {
		(*high)[i] = math.NaN() // without pressures nobody knows of a unit: the sound days stand
	}
	if (&Log{Time: l.Time, columns: l.columns}).runs()[0] {
		t.Error("a unit is taken for another without a sign of it")
	}
}
