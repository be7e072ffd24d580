package steady

import (
	"math"
	"slices"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/pipeline/table"
)

// A state is what a machine does at a sample.
type state byte

const (
	off         state = iota // with the last sample before the stop, where it shows something of it
	open                     // the hoses hang in the air
	starting                 // less than Settle after a start
	running                  // may be judged
	pumpingDown              // the low side is pumped empty before a stop
	defrosting
	thawing // less than AfterDefrost after a defrost
)

// A walk goes over samples in time order and says what the machine did at each.
type walk struct {
	c         *cycle.Columns
	on        []bool
	o         Options
	defrosted []bool // at which samples a defrost was detected; nil: none; where the log says it, none is
	states    []state
	ready     int64 // from when on a running machine may be judged
	why       state // and what it does until then
}

// statesOf says what the machine did at each sample. What a start or a defrost leaves
// behind goes on past midnight, where the stays of a permanent logger are cut.
func statesOf(c *cycle.Columns, stays []Stay, on []bool, o Options) []state {
	w := walk{c: c, on: on, o: o, states: make([]state, c.Rows()), why: running, ready: math.MinInt64}
	w.defrosted = detectDefrosts(c, slices.DeleteFunc(slices.Clone(stays), func(s Stay) bool { return s.saysDefrost(c) }), on)
	for _, s := range stays {
		dt := spacing(c.Time[s.from:s.to])
		for i := s.from; i < s.to; i++ {
			w.states[i] = w.next(i, hole(dt))
		}
		w.stops(s)
	}
	return w.states
}

// saysDefrost tells whether the log has a state for defrosts.
func (s Stay) saysDefrost(c *cycle.Columns) bool {
	return c.Defrost != nil && slices.ContainsFunc(c.Defrost[s.from:s.to], func(d table.State) bool { return d != table.Unknown })
}

// hole is from which distance of samples on there is a hole in a log.
func hole(dt int64) int64 { return max(gapFactor*dt, time.Minute.Microseconds()) }

// next is the state at the next sample.
func (w *walk) next(i int, hole int64) state {
	t := w.c.Time[i]
	switch {
	case w.melts(i):
		w.ready, w.why = t+w.o.AfterDefrost.Microseconds(), thawing
		return defrosting
	case inAir(w.c, i):
		return open
	case !w.on[i]:
		return off
	case i > 0 && t-w.c.Time[i-1] <= hole && !w.on[i-1]:
		if at := t + w.o.Settle.Microseconds(); at > w.ready {
			w.ready, w.why = at, starting
		}
	}
	if t < w.ready {
		return w.why
	}
	return running
}

func (w *walk) melts(i int) bool {
	return w.c.Defrost != nil && w.c.Defrost[i] == table.Yes || w.defrosted != nil && w.defrosted[i]
}

// inAir tells whether the hoses hung in the air: whoever logs still walks about, clips on
// probes or takes them off.
func inAir(c *cycle.Columns, i int) bool { return c.InAir != nil && c.InAir[i] }

// A pump-down: how far the evaporating temperature falls up to the stop, within which
// time, and how much it may rise on the way by noise. A thermostat that stops a machine
// by the room's temperature sees it fall by some tenths of a kelvin in that time
// (common practice, no source).
const (
	leastPumped   = 4.0 // K
	longestPump   = 5 * time.Minute
	pumpWiggle    = 0.3 // K
	fewestPumping = 2
)

// A sample before a stop that belongs to the running machine: its saturation temperatures
// lie where those of the samples before it swing, and its power is as before. A logger that
// averages mixes both.
const (
	likeBefore  = 0.7  // K beyond them
	likePower   = 0.07 // of the power
	likeSamples = 5
)

// runsOn tells whether a sample is as those before it.
func (w *walk) runsOn(i int) bool {
	from := i
	for from > 0 && i-from < likeSamples && w.states[from-1] == running {
		from--
	}
	if from == i || !w.c.Has(cycle.Evaporating) || !w.c.Has(cycle.Condensing) {
		return false
	}
	for _, q := range []cycle.Quantity{cycle.Evaporating, cycle.Condensing} {
		is, before := w.c.Values[q][i], w.c.Values[q][from:i]
		if is < slices.Min(before)-likeBefore || is > slices.Max(before)+likeBefore {
			return false
		}
	}
	was, is := w.c.At(cycle.Power, i-1), w.c.At(cycle.Power, i)
	return !(math.Abs(is-was) > likePower*was)
}

// stops marks the ends of running stretches of a stay: the last sample before a stop is
// part of the stop, unless it shows none of it, and a pump-down is judged by nothing.
func (w *walk) stops(s Stay) {
	te := w.c.Values[cycle.Evaporating]
	for i := s.from + 1; i < s.to; i++ {
		if w.states[i] != off || w.on[i] || w.states[i-1] != running || w.runsOn(i-1) {
			continue
		}
		w.states[i-1] = off
		if te == nil {
			continue
		}
		from := i - 1
		for from > s.from && w.states[from-1] == running && te[from-1] > te[from]-pumpWiggle && w.c.Time[i-1]-w.c.Time[from-1] <= longestPump.Microseconds() {
			from--
		}
		for from < i-1 && te[from] <= te[from+1] {
			from++ // the level before it began to fall
		}
		if te[from]-te[i-1] < leastPumped || i-1-from < fewestPumping {
			continue
		}
		for k := from; k < i-1; k++ {
			w.states[k] = pumpingDown
		}
	}
}
