package trust

import (
	"fmt"
	"math"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
)

// A machine that starts draws down the low pressure and raises the high one. How far one of
// them goes at least, most of it within minutes, and within what the other has not heard of
// it: a hose that is shut off keeps its pressure, or loses some of it. Common practice, no
// source.
const (
	leastStarted = 0.25 // of the pressure at rest
	startTime    = 180.0
	leastSudden  = 0.5  // of the change, within startTime
	mostLost     = 0.11 // of a pressure that is shut in
	mostGained   = 0.01
	mostQuick    = 0.025 // of it, within startTime
	firstLook    = 45.0  // s of rest that are looked at
)

// deaf looks for a pressure that does not hear the machine start.
func (l *look) deaf() {
	if l.Day || l.step <= 0 || l.suspect("D14") || l.suspect("D8") {
		return
	}
	low, high := l.pressure(cycle.SuctionPressure), l.pressure(cycle.DischargePressure)
	drawn, raised := l.start(low), l.start(high)
	switch {
	case drawn < 1-leastStarted && l.shut(high):
		l.notHeard(cycle.DischargePressure, "low", drawn)
	case raised > 1+leastStarted && l.shut(low):
		l.notHeard(cycle.SuctionPressure, "high", raised)
	}
}

// pressure is a channel over the visit, without gaps.
func (l *look) pressure(q cycle.Quantity) (x []float64) {
	for i := l.From; i < l.To; i++ {
		if v := l.Columns.At(q, i); v == v {
			x = append(x, v)
		}
	}
	return x
}

// ends are the levels of a pressure at rest and over the latter half of the visit; NaN where
// there are too few values.
func (l *look) ends(x []float64) (rest, late float64) {
	n := max(3, int(firstLook/l.step))
	if len(x) < 4*n {
		return math.NaN(), math.NaN()
	}
	rest, errR := robust.Median(x[:n])
	late, errL := robust.Median(x[len(x)/2:])
	if errR != nil || errL != nil {
		return math.NaN(), math.NaN()
	}
	return rest, late
}

// start is the later level of a pressure over that at rest, where most of the change came
// with a start; 1 where it did not.
func (l *look) start(x []float64) float64 {
	rest, late := l.ends(x)
	within := max(1, int(startTime/l.step))
	most := 0.0
	for i := 0; i+within < len(x)/2; i++ {
		if d := (x[i+within] - x[i]) / (late - rest); d > most {
			most = d
		}
	}
	if !(most >= leastSudden) {
		return 1
	}
	return late / rest
}

// shut tells whether a pressure keeps the level it had at rest.
func (l *look) shut(x []float64) bool {
	rest, late := l.ends(x)
	within := max(1, int(startTime/l.step))
	for i := 0; i+within < len(x); i++ {
		if math.Abs(x[i+within]-x[i]) > mostQuick*rest {
			return false
		}
	}
	return late < rest*(1+mostGained) && late > rest*(1-mostLost)
}

func (l *look) notHeard(q cycle.Quantity, other string, by float64) {
	l.doubt(Doubt{
		Rule: "D14", Channels: about(q), Hides: true,
		Evidence: fmt.Sprintf("when the machine started the %s pressure went to %.0f %% of that at rest, and the %s stays as it was", other, 100*by, ChannelOf(q)),
		Remedy:   "open the hose's valve, check its core depressor, and log again",
	})
}
