package steady

import (
	"math"
	"sync"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
	"rimelog/pipeline/table"
)

// Evidence is by what a sample is known to be of a running machine, best first.
type Evidence string

// The kinds of evidence.
const (
	ByLog       Evidence = "logged"    // a logged running state
	BySpeed     Evidence = "speed"     // compressor speed
	ByPower     Evidence = "power"     // electric power, and pressures where there are both
	ByCurrent   Evidence = "current"   // compressor current, and pressures where there are both
	ByPressures Evidence = "pressures" // pressures apart, and hot discharge gas where it is measured
	Assumed     Evidence = "assumed"   // nothing tells: somebody clipped probes on a machine
)

// Thresholds of a running machine. Source: common practice, no source; a ratio
// below 1.5 means a worn compressor, a bypass or a wrong channel.
const (
	leastSpeed     = 1.0  // Hz
	powerShare     = 0.2  // of a high quantile of the power
	highQuantile   = 0.98 // so that one spike does not set the scale
	leastPower     = 0.02 // kW: below it, standby of the controls
	leastCurrent   = 0.2  // A
	leastRatio     = 1.5  // where the pressures are the only evidence
	leastWithPower = 1.2  // where power or current says that it runs
	leastDischarge = 5.0  // K above condensing: gas that was just compressed
)

// longestCarried is over which gap in the evidence the sample before is believed: loggers
// that write what has changed, or wait for a slow meter, leave some out.
const longestCarried = time.Minute

// evidences are the columns that may say whether a machine ran, derived ones filled in,
// with the thresholds of those that were asked.
type evidences struct {
	*cycle.Columns
	thresholds map[cycle.Quantity]threshold
}

// mask says for each sample of a stay whether the compressor ran, by the best evidence
// that the stay holds: another visit of the month may have been logged with other channels.
// A short gap in it is as the sample before; a longer one counts as not running. on is as
// long as the columns, and filled in from row from up to, not including, to.
func (e *evidences) mask(on []bool, from, to int) Evidence {
	by, test, known := e.best(from, to)
	last := -1
	for i := from; i < to; i++ {
		switch {
		case known(i):
			on[i], last = test(i), i
		case last >= 0 && e.Time[i]-e.Time[last] <= longestCarried.Microseconds() && !(e.At(cycle.PressureRatio, i) < leastWithPower):
			on[i] = on[last]
		}
	}
	if by == ByPressures {
		e.standsBeforeStarts(on, from, to)
	}
	return by
}

// best is what tells best in some rows: the test of a sample, and whether the sample can
// be tested.
func (e *evidences) best(from, to int) (by Evidence, test, known func(i int) bool) {
	always := func(int) bool { return true }
	for _, k := range []struct {
		by          Evidence
		test, known func(i int) bool
	}{
		{ByLog, func(i int) bool { return e.Running[i] == table.Yes }, func(i int) bool { return e.Running != nil && e.Running[i] != table.Unknown }},
		{BySpeed, func(i int) bool { return e.Values[cycle.Speed][i] >= leastSpeed }, e.measured(cycle.Speed)},
		{ByPower, e.draws(cycle.Power, leastPower), e.measured(cycle.Power)},
		{ByCurrent, e.draws(cycle.Current, leastCurrent), e.measured(cycle.Current)},
		{ByPressures, e.compresses, e.measured(cycle.PressureRatio)},
	} {
		for i := from; i < to; i++ {
			if k.known(i) {
				return k.by, k.test, k.known
			}
		}
	}
	return Assumed, always, always
}

// measured tells of each sample whether a quantity was measured.
func (e *evidences) measured(q cycle.Quantity) func(int) bool {
	v := e.Values[q]
	return func(i int) bool { return v != nil && !math.IsNaN(v[i]) }
}

// draws tells of each sample whether it draws power or current, where pressures agree.
func (e *evidences) draws(q cycle.Quantity, least float64) func(int) bool {
	known := sync.OnceValue(func() threshold { return e.threshold(q, least) })
	return func(i int) bool {
		ratio, draws := e.At(cycle.PressureRatio, i), e.Values[q][i]
		if !math.IsNaN(ratio) && ratio < leastWithPower {
			return false
		}
		at := known()
		return draws > at.least || draws > at.thousandth && draws < at.below && e.apart(i)
	}
}

// A threshold is what a running machine draws at least. Where a part of the column lies a
// thousand times lower than the rest, kilowatts beside watts under one header (D28), there
// is one for that part, up to what it holds at most, for samples whose pressures show that it
// runs; infinite elsewhere.
type threshold struct{ least, thousandth, below float64 }

// threshold is that of a column, by the whole of it.
func (e *evidences) threshold(q cycle.Quantity, least float64) threshold {
	if known, ok := e.thresholds[q]; ok {
		return known
	}
	if e.thresholds == nil {
		e.thresholds = map[cycle.Quantity]threshold{}
	}
	high, err := robust.Quantile(e.Values[q], highQuantile)
	if err != nil {
		high = math.Inf(1)
	}
	t := threshold{math.Max(least, powerShare*high), math.Inf(1), mostTimes * high / 1000}
	if e.mixesUnits(q, least, high) {
		t.thousandth = math.Max(least, t.least/1000)
	}
	e.thresholds[q] = t
	return t
}

// Watts beside kilowatts: by which factor the quotient of both parts' high values may lie off
// a thousand, and the share of the lower part whose pressures must be apart: those of short
// runs are long before the discharge gas is hot.
// Fans and controls of a machine that stands draw less, or by other pressures.
const (
	mostTimes  = 2.0
	leastApart = 0.5
)

// mixesUnits tells whether what a column holds a thousand times below its high values, and
// above standby, is the power of a running machine in a larger unit.
func (e *evidences) mixesUnits(q cycle.Quantity, standby, high float64) bool {
	if q != cycle.Power || !e.Has(cycle.PressureRatio) {
		return false
	}
	var lower []float64
	apart := 0
	for i, draws := range e.Values[q] {
		if draws > standby && draws < mostTimes*high/1000 {
			lower = append(lower, draws)
			if e.apart(i) {
				apart++
			}
		}
	}
	lowerHigh, err := robust.Quantile(lower, highQuantile)
	times := high / lowerHigh / 1000
	return err == nil && float64(apart) > leastApart*float64(len(lower)) && times < mostTimes
}

// apart tells whether the pressures are as far apart as those of a machine that runs.
func (e *evidences) apart(i int) bool { return e.At(cycle.PressureRatio, i) >= leastRatio }

// compresses tells by the pressures whether a machine runs.
func (e *evidences) compresses(i int) bool {
	hot := e.At(cycle.DischargeSuperheat, i)
	return e.apart(i) && (math.IsNaN(hot) || hot >= leastDischarge)
}
