package steady

import (
	"math"
	"time"

	"rimelog/analysis/cycle"
)

// A start where the pressures are the only evidence: a machine with a valve that shuts keeps
// them apart while it stands, but only a compressor that starts draws the low one down and
// drives the high one up at once. A hunting valve moves both by some percent, a step of
// capacity by a tenth (common practice, no source).
const (
	drawnDown = 0.87 // of the low pressure before
	drivenUp  = 1.13 // of the high one
	startTime = 90 * time.Second
)

// standsBeforeStarts takes samples before each start for standstill, back to where the pressures
// were as far apart as halfway to what the start made of them.
func (e *evidences) standsBeforeStarts(on []bool, from, to int) {
	ratio := e.Values[cycle.PressureRatio]
	for i, k := from, from; i < to; i++ {
		for k = max(k, i+1); k+1 < to && e.Time[k+1]-e.Time[i] <= startTime.Microseconds(); k++ {
		}
		if k >= to || !e.starts(i, k) {
			continue
		}
		halfway := math.Sqrt(ratio[i] * ratio[k])
		for at := k; at >= from && !(ratio[at] >= halfway && at < i); at-- {
			on[at] = on[at] && ratio[at] >= halfway
		}
		i = k
	}
}

// starts tells whether the compressor starts between two samples.
func (e *evidences) starts(before, after int) bool {
	return e.At(cycle.SuctionPressure, after) < drawnDown*e.At(cycle.SuctionPressure, before) &&
		e.At(cycle.DischargePressure, after) > drivenUp*e.At(cycle.DischargePressure, before)
}
