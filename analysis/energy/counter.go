package energy

import (
	"math"
	"time"
)

// A Step is what an energy counter did between two readings.
type Step uint8

// The steps of a counter.
const (
	Counted    Step = iota // it went on, or stood still
	RolledOver             // it passed its last digit and began at zero
	Reset                  // it was set to zero, or exchanged: what it counted in between is unknown
	Backwards              // it fell to a figure that is neither: a data error
	Leapt                  // it rose by more than any machine takes: a data error
)

// Counter limits. A counter that falls to less than a share of what it showed
// began anew; one that was near a power of ten before rolled over. Common practice,
// no source.
const (
	resetShare    = 0.05   // of the reading before; below it the counter began at zero
	resetMost     = 100.0  // kWh a counter may show right after a reset, where more than its share
	rolloverShare = 0.02   // of a full counter: how near its end it was, and how little it shows after
	mostPower     = 2000.0 // kW; more is no machine of this trade on one counter
)

// Between says what a counter did from one reading to the next, hours apart, and
// how many kWh went by: NaN where that is unknown. A rollover needs a reading
// within 2 % of a power of ten, a new one within 2 % of zero, and no more between them
// than three times the rate (kW, the highest seen; NaN unknown) gives in that time
// and a kilowatt-hour: a counter set to zero near its end is no rollover.
func Between(before, after, hours, rate float64) (kwh float64, step Step) {
	rise := after - before
	switch {
	case !finite(rise):
		return math.NaN(), Counted
	case rise >= 0 && rise <= mostPower*hours+1:
		return rise, Counted
	case rise >= 0:
		return math.NaN(), Leapt
	}
	likely := mostPower / 3
	if finite(rate) {
		likely = rate
	}
	full := math.Pow(10, math.Ceil(math.Log10(math.Max(before, 1))))
	if full >= 1000 && before >= full*(1-rolloverShare) && after <= full*rolloverShare && full+rise <= 3*likely*hours+1 {
		return full + rise, RolledOver
	}
	if after <= math.Max(resetShare*before, math.Min(resetMost, before/2)) {
		return math.NaN(), Reset
	}
	return math.NaN(), Backwards
}

// A Trace is a stretch of readings of one system in time order; a nil column was
// not logged, NaN is a gap.
type Trace struct {
	Time    []int64 // microseconds since 1970, UTC
	Power   []float64
	Energy  []float64 // counter, kWh
	Heat    []float64 // useful heat by a heat meter, kW
	Outdoor []float64
	Room    []float64
	Running []bool // nil: unknown
}

// An Hour is what went by in an hour that begins on the clock's hour.
type Hour struct {
	Start    int64   // microseconds since 1970, UTC
	Covered  float64 // h with electricity known
	KWh      float64 // in these
	Counter  bool    // from a counter; else power over time
	Observed float64 // h in which it is known whether it ran
	Running  float64 // h of these
	HeatKWh  float64 // useful heat where heat and electricity are both known
	HeatFor  float64 // electricity of those same moments, kWh
	HeatTime float64 // h of them
	Outdoor  float64 // mean, °C; NaN unknown
	Room     float64 // mean, °C; NaN unknown

	outdoorTime, roomTime float64
}

// An Oddity is a step of a counter that is no reading.
type Oddity struct {
	At            int64 // microseconds
	Step          Step
	Before, After float64
}

// Gap rules: a pause longer than the gap is not bridged; for most logs that is a
// few intervals, at least as long as shortestGap.
const (
	gapIntervals = 5
	shortestGap  = 2 * time.Minute
	longestGap   = time.Hour
)

// Hours adds up a trace by the hour. Power counts from one sample to the next, by
// trapezes, as long as the two are no further apart than the gap; over longer
// pauses nothing is known, and nothing is made up. A counter knows what went by in
// a pause: its kilowatt-hours count, spread evenly, where the pause is shorter than
// a day, so that a day's sum stays true; its covered time says so.
func Hours(t Trace) ([]Hour, []Oddity) {
	b := book{gap: gapOf(t.Time)}
	odd := b.counter(t)
	for i := 1; i < len(t.Time); i++ {
		from, to := t.Time[i-1], t.Time[i]
		if to-from > b.gap {
			continue
		}
		b.sample(t, i)
	}
	return b.hours, odd
}

// gapOf is the longest pause that is bridged, in microseconds.
func gapOf(at []int64) int64 {
	gap := max(shortestGap.Microseconds(), int64(gapIntervals*stepOf(at)))
	return min(gap, longestGap.Microseconds())
}

// stepOf is the usual distance of samples, in microseconds; NaN of fewer than two.
func stepOf(at []int64) float64 {
	steps := make([]float64, 0, len(at))
	for i := 1; i < len(at); i++ {
		steps = append(steps, float64(at[i]-at[i-1]))
	}
	return median(steps)
}

// A book adds up hours.
type book struct {
	gap   int64
	hours []Hour
	from  int // hour that was looked at last
}

const hour = int64(3600e6)

// at is the hour of a time, made where there is none yet.
func (b *book) at(micros int64) *Hour {
	start := micros - ((micros%hour)+hour)%hour
	for b.from > 0 && b.from < len(b.hours) && b.hours[b.from].Start > start {
		b.from--
	}
	for ; b.from < len(b.hours); b.from++ {
		if b.hours[b.from].Start == start {
			return &b.hours[b.from]
		}
		if b.hours[b.from].Start > start {
			break
		}
	}
	h := Hour{Start: start, Outdoor: math.NaN(), Room: math.NaN()}
	b.hours = append(b.hours, Hour{})
	copy(b.hours[b.from+1:], b.hours[b.from:])
	b.hours[b.from] = h
	return &b.hours[b.from]
}

// each calls do for every hour that a stretch touches, with the stretch's share of
// it as a beginning and an end between 0 and 1, and its length in hours.
func (b *book) each(from, to int64, do func(h *Hour, begin, end, hours float64)) {
	for at := from; at < to; {
		next := min(to, at-((at%hour)+hour)%hour+hour)
		do(b.at(at), float64(at-from)/float64(to-from), float64(next-from)/float64(to-from), float64(next-at)/float64(hour))
		at = next
	}
}

// sample adds what lies between two samples.
func (b *book) sample(t Trace, i int) {
	between := func(x []float64, begin, end float64) float64 { // mean over a share of the stretch
		if x == nil {
			return math.NaN()
		}
		return x[i-1] + (x[i]-x[i-1])*(begin+end)/2
	}
	b.each(t.Time[i-1], t.Time[i], func(h *Hour, begin, end, hours float64) {
		power, heat := between(t.Power, begin, end), between(t.Heat, begin, end)
		if finite(power) && t.Energy == nil {
			h.Covered, h.KWh = h.Covered+hours, h.KWh+power*hours
		}
		if finite(power + heat) {
			h.HeatKWh, h.HeatFor, h.HeatTime = h.HeatKWh+heat*hours, h.HeatFor+power*hours, h.HeatTime+hours
		}
		h.Outdoor, h.outdoorTime = blend(h.Outdoor, h.outdoorTime, between(t.Outdoor, begin, end), hours)
		h.Room, h.roomTime = blend(h.Room, h.roomTime, between(t.Room, begin, end), hours)
		if t.Running != nil {
			h.Observed += hours
			if t.Running[i-1] {
				h.Running += hours
			}
		}
	})
}

func blend(mean, weight, value, more float64) (float64, float64) {
	if !finite(value) {
		return mean, weight
	}
	if weight == 0 {
		return value, more
	}
	return (mean*weight + value*more) / (weight + more), weight + more
}

// counter spreads a counter's kilowatt-hours over the time in which they went by.
func (b *book) counter(t Trace) []Oddity {
	var odd []Oddity
	last, rate := -1, math.NaN()
	for i, reading := range t.Energy {
		if !finite(reading) {
			continue
		}
		if last >= 0 {
			hours := float64(t.Time[i]-t.Time[last]) / float64(hour)
			kwh, step := Between(t.Energy[last], reading, hours, rate)
			if step != Counted {
				odd = append(odd, Oddity{t.Time[i], step, t.Energy[last], reading})
			}
			if step == Counted && kwh > 0 {
				rate = math.Max(kwh/hours, firstOf(rate, 0))
			}
			if finite(kwh) && hours <= 24 {
				b.each(t.Time[last], t.Time[i], func(h *Hour, begin, end, covered float64) {
					h.Covered, h.KWh, h.Counter = h.Covered+covered, h.KWh+kwh*(end-begin), true
				})
			}
			if step == Leapt { // the next reading is held against the one before the leap
				continue
			}
		}
		last = i
	}
	return odd
}
