package steady

import (
	"math"

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

// A Mask says for each sample whether the compressor ran.
type Mask struct {
	On []bool
	By Evidence
}

// RunningMask judges every sample by the best evidence there is. A gap in the
// evidence counts as not running. Derived columns must be filled in.
func RunningMask(c *cycle.Columns) Mask {
	m := Mask{On: make([]bool, c.Rows())}
	var test func(i int) bool
	switch {
	case c.Running != nil:
		m.By, test = ByLog, func(i int) bool { return c.Running[i] == table.Yes }
	case c.Has(cycle.Speed):
		m.By, test = BySpeed, func(i int) bool { return c.At(cycle.Speed, i) >= leastSpeed }
	case c.Has(cycle.Power):
		m.By, test = ByPower, drawsPower(c, cycle.Power, leastPower)
	case c.Has(cycle.Current):
		m.By, test = ByCurrent, drawsPower(c, cycle.Current, leastCurrent)
	case c.Has(cycle.PressureRatio):
		m.By, test = ByPressures, func(i int) bool { return compresses(c, i) }
	default:
		m.By, test = Assumed, func(int) bool { return true }
	}
	for i := range m.On {
		m.On[i] = test(i)
	}
	return m
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
