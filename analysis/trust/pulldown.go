package trust

import (
	"fmt"
	"math"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
)

// standIn is what stands in for the medium that is cooled: what leaves the evaporator, but in rooms below
// freezing, where a defrost warms it; else the evaporating temperature.
func (l *look) standIn() cycle.Quantity {
	if l.has(cycle.EvaporatorAirOff) && l.Circuit.System.Kind != register.FreezerRoom {
		return cycle.EvaporatorAirOff
	}
	return cycle.Evaporating
}

// A pull-down: the medium that is cooled falls all through the visit, by more than a
// thermostat's swing; or does so once that swing is taken out of it. A room is pulled down
// within the order of half an hour, a thermostat's swing lasts from some minutes to half an
// hour (common practice, no source).
const (
	leastFall     = 1.3    // K between the means of the first and the last third
	largeFall     = 2.5    // K: no thermostat's swing, so it may bend on its way
	fallSteps     = 0.7    // of the steps that go down
	shortestPull  = 720.0  // s: longer than half a thermostat's swing
	pullTime      = 1500.0 // s, in which the distance from the set point falls to 1/e
	leastFallen   = 2.4    // K of a fall beside a swing
	fallTimes     = 4.0    // of what such a fit leaves over
	shortestSwing = 700.0  // s
	longestSwing  = 2400.0 // s
	swingStep     = 1.1    // from one period that is tried to the next
	fewestFall    = 12     // means that tell a fall from a swing
	goesAlong     = 0.3    // of the fall of what stands in for the medium, that suction gas shows too
)

// pulledDown looks for a medium (or else what stands in for it) that falls all through the visit.
func (l *look) pulledDown() {
	q := cycle.EvaporatorMedium
	if !l.has(q) {
		q = l.standIn()
	}
	if l.Day || l.Circuit.System.Kind.Heats() || l.mode() == Heating || float64(l.bins.count)*l.bins.step < shortestPull || !l.has(cycle.PressureRatio) {
		return
	}
	fall := l.descentOf(q)
	by := fall.by
	if fall.by < leastFall || !fall.even && !(fall.by > largeFall && fall.sinks) {
		by = l.fallen(q)
	}
	if by == 0 || q == cycle.Evaporating && l.has(cycle.SuctionTemp) && l.descentOf(cycle.SuctionTemp).by < goesAlong*fall.by {
		return
	}
	l.doubt(Doubt{
		Rule: "D19", Hides: true, Channels: nil,
		Evidence: fmt.Sprintf("%s fell by %.1f K while it ran", q, by),
		Remedy:   "log again when the room or water is at its set point",
	})
}

// fallen is by how much a quantity falls beside a thermostat's swing; 0 where it does not, or
// that cannot be told.
func (l *look) fallen(q cycle.Quantity) float64 {
	y := l.slowMeans(q)
	step := float64(l.bins.slow()) * l.bins.step
	if len(y) < fewestFall {
		return 0
	}
	one, fall, re, im := make([]float64, len(y)), make([]float64, len(y)), make([]float64, len(y)), make([]float64, len(y))
	for k := range y {
		one[k], fall[k] = 1, math.Exp(-float64(k)*step/pullTime)
	}
	best, by := math.Inf(1), 0.0
	for period := shortestSwing; period <= math.Min(longestSwing, float64(len(y))*step/0.8); period *= swingStep {
		for k := range y {
			im[k], re[k] = math.Sincos(2 * math.Pi * float64(k) * step / period)
		}
		f, err := robust.LeastSquares(y, one, fall, re, im)
		if err != nil {
			continue
		}
		if f.Scale < best {
			best, by = f.Scale, f.Coefficients[1]*(1-fall[len(y)-1])
		}
	}
	if by < math.Max(leastFallen, fallTimes*best) {
		return 0
	}
	return by
}
