package demofleet

import (
	"math"
	"math/rand/v2"
	"time"
)

// An energyCounter is the counting part of a power meter, over all files of a permanent
// logger. It begins anew behind its last digit.
type energyCounter struct {
	kwh, full float64
	last      time.Time
	reset     time.Time // when somebody sets it to zero; zero: never
	backward  [2]time.Time
}

// newEnergyCounter draws a counter: three to five digits, so that some begin anew within
// the record, and any figure at first.
func newEnergyCounter(r *rand.Rand, m *machine, from time.Time, days int) *energyCounter {
	c := &energyCounter{full: math.Pow(10, 3+math.Floor(math.Log10(10*max(1, m.point.Input))))}
	c.kwh = math.Floor(r.Float64() * c.full)
	at := from.Add(time.Duration(between(r, 0.1, 0.9) * float64(days) * 24 * float64(time.Hour))).Truncate(time.Minute)
	if m.resets {
		c.reset = at
	}
	return c
}

// reading is what the counter shows at a time, with the power that has been since the
// reading before.
func (c *energyCounter) reading(now time.Time, kw float64) float64 {
	if !c.last.IsZero() {
		passed := now.Sub(c.last)
		by := kw * passed.Hours()
		if !c.backward[0].IsZero() && !now.Before(c.backward[0]) && now.Before(c.backward[1]) {
			by = -by
		}
		c.kwh = math.Mod(c.kwh+by+c.full, c.full)
		if !c.reset.IsZero() && c.last.Before(c.reset) && !now.Before(c.reset) {
			c.kwh = 0
		}
	}
	c.last = now
	return c.kwh
}
