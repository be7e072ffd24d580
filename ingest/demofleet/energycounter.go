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

// reading is what the counter shows at a time, with the kWh that went by since the reading
// before.
func (c *energyCounter) reading(now time.Time, kwh float64) float64 {
	if !c.last.IsZero() {
		if !c.backward[0].IsZero() && !now.Before(c.backward[0]) && now.Before(c.backward[1]) {
			kwh = -kwh
		}
		c.kwh = math.Mod(c.kwh+kwh+c.full, c.full)
		if !c.reset.IsZero() && c.last.Before(c.reset) && !now.Before(c.reset) {
			c.kwh = 0
		}
	}
	c.last = now
	return c.kwh
}

// counted is what the counter shows at a time of the record. It counts between samples too,
// as a real one does, by the meter's gain.
func (rec *recorder) counted(now time.Time) float64 {
	return rec.machine.counter.reading(now, rec.trace.took(now)*(1+rec.set.sensors[power].gain))
}

// took is the electricity since the time it was last asked for, at first since the record's
// beginning, kWh: over every start and stop in between, which samples far apart miss. Times
// must not go back.
func (t *trace) took(until time.Time) (kwh float64) {
	for len(t.turns) > 0 && !until.Before(t.turns[0].at) {
		turn := t.turns[0].at
		kwh += t.stretch(turn)
		t.turnTo(turn)
	}
	return kwh + t.stretch(until)
}

// stretch is the electricity up to a time without a start or a stop before it, kWh: the power at
// rest goes evenly from one end to the other, and to it comes what the latest turn left to
// settle. A valve's swing has no mean.
func (t *trace) stretch(until time.Time) float64 {
	if !t.asked.Before(until) {
		return 0
	}
	of := []quantity{power}
	first, last := t.mix(t.asked, t.on, of)[power], t.mix(until, t.on, of)[power]
	lags := &ease
	if t.on {
		lags = &lag
	}
	slow := lags[power] * t.m.controls.Settling
	left := decay(t.asked.Sub(t.since).Seconds(), slow) - decay(until.Sub(t.since).Seconds(), slow)
	hours := until.Sub(t.asked).Hours()
	t.asked = until
	return (first+last)/2*hours + (t.carry[power]-first)*left*slow/3600
}
