package steady

import (
	"math"
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

// RunningMask says for each sample of a stay whether the compressor ran, by the best
// evidence that the stay holds: another visit of the month may have been logged with other
// channels. A short gap in it is as the sample before; a longer one counts as not running.
// Derived columns must be filled in; on is as long as they are, and filled in from row from
// up to, not including, to.
func RunningMask(c *cycle.Columns, on []bool, from, to int) Evidence {
	by, test, known := evidence(c, from, to)
	last := -1
	for i := from; i < to; i++ {
		switch {
		case known(i):
			on[i], last = test(i), i
		case last >= 0 && c.Time[i]-c.Time[last] <= longestCarried.Microseconds() && !(c.At(cycle.PressureRatio, i) < leastWithPower):
			on[i] = on[last]
		}
	}
	return by
}

// evidence is what tells best in some rows: the test of a sample, and whether the sample
// can be tested.
func evidence(c *cycle.Columns, from, to int) (by Evidence, test, known func(i int) bool) {
	for _, e := range []struct {
		by          Evidence
		test, known func(i int) bool
	}{
		{ByLog, func(i int) bool { return c.Running[i] == table.Yes }, func(i int) bool { return c.Running != nil && c.Running[i] != table.Unknown }},
		{BySpeed, func(i int) bool { return c.At(cycle.Speed, i) >= leastSpeed }, has(c, cycle.Speed)},
		{ByPower, drawsPower(c, cycle.Power, leastPower), has(c, cycle.Power)},
		{ByCurrent, drawsPower(c, cycle.Current, leastCurrent), has(c, cycle.Current)},
		{ByPressures, func(i int) bool { return compresses(c, i) }, has(c, cycle.PressureRatio)},
	} {
		for i := from; i < to; i++ {
			if e.known(i) {
				return e.by, e.test, e.known
			}
		}
	}
	always := func(int) bool { return true }
	return Assumed, always, always
}

// has tells of each sample whether a quantity was measured.
func has(c *cycle.Columns, q cycle.Quantity) func(int) bool {
	v := c.Values[q]
	return func(i int) bool { return v != nil && !math.IsNaN(v[i]) }
}

func drawsPower(c *cycle.Columns, q cycle.Quantity, least float64) func(int) bool {
	high, err := robust.Quantile(c.Values[q], highQuantile)
	if err != nil {
		return func(int) bool { return false }
	}
	threshold := math.Max(least, powerShare*high)
	return func(i int) bool {
		ratio := c.At(cycle.PressureRatio, i)
		return c.Values[q][i] > threshold && (math.IsNaN(ratio) || ratio >= leastWithPower)
	}
}

func compresses(c *cycle.Columns, i int) bool {
	hot := c.At(cycle.DischargeSuperheat, i)
	return c.At(cycle.PressureRatio, i) >= leastRatio && (math.IsNaN(hot) || hot >= leastDischarge)
}
