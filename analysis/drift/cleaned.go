package drift

import (
	"math"
	"slices"
	"time"

	"rimelog/pipeline/register"
)

// A history is what was done to a machine. Rows of the register do not say which of its coils
// was cleaned; what was logged before and after it at the same visit does, in the same weather
// and with the same instruments.
type history struct {
	events []register.Event
	spared map[time.Time]string // by the time of a cleaning, the gauge of the coil that it left as it was; none where both may be clean
	kept   map[time.Time]bool   // by the time of an act that may let gas out, whether what there was of it stayed
}

// leaves tells whether an act left what it might have ended of a kind of fault.
func (h history) leaves(e register.Event, kind string) bool {
	return h.spares(e, coilOf(kind)) || kind == Gas && h.kept[e.Time]
}

// spares tells whether a cleaning left the coil of a gauge as it was.
func (h history) spares(e register.Event, gauge string) bool {
	return e.Kind == register.CoilCleaned && h.spared[e.Time] == gauge && gauge != ""
}

// coilOf is the gauge of the coil that a kind of fault fouls; empty where it fouls none.
func coilOf(kind string) string {
	switch kind {
	case CondenserFouling:
		return CondenserTD
	case EvaporatorFouling:
		return EvaporatorTD
	}
	return ""
}

// remember looks at each cleaning for the coil that it left as it was.
func (w *weighing) remember() history {
	h := history{w.events, map[time.Time]string{}, map[time.Time]bool{}}
	for _, e := range w.events {
		if letsOut(e.Kind) {
			h.kept[e.Time] = keptGas(w.points, e.Time)
		}
		if e.Kind != register.CoilCleaned {
			continue
		}
		before, after, ok := parted(w.points, e.Time)
		if !ok {
			continue
		}
		warm, cold := w.band.fall(before, after), fall(before, after)
		switch {
		case cold.none() && (warm.clear() || warm.unknown()):
			h.spared[e.Time] = EvaporatorTD
		case warm.none() && (cold.clear() || cold.unknown()):
			h.spared[e.Time] = CondenserTD
		}
	}
	return h
}

// oneVisit is how far apart the two sides of an act are at most that one visit logged.
const oneVisit = 12 * time.Hour

// parted are the points before and after an act that one visit logged with one set of
// instruments.
func parted(points []point, act time.Time) (before, after *point, ok bool) {
	k := slices.IndexFunc(points, func(p point) bool { return !p.at.Before(act) })
	if k < 1 {
		return nil, nil, false
	}
	before, after = &points[k-1], &points[k]
	return before, after, after.at.Sub(before.at) < oneVisit && before.set == after.set
}

// What two readings of one visit differ by, K, and how much of a coil's difference a cleaning
// takes that was worth it: by the mix of what nobody cleaned (common practice, no source).
const (
	repeats     = 0.2
	leastFallen = 0.03
)

// fall is by which share a condenser's difference fell, as with full flow of air.
func (b band) fall(before, after *point) reading {
	open := func(p *point) float64 { return b.at(p).opened(p.values[2], p.condensing) }
	v := after.values[2]
	return reading{open(before) - open(after), repeats / (math.Max(leastDifference, v) * b.at(after).shows(v, after.condensing))}
}

// fall is by which share an evaporator's difference fell.
func fall(before, after *point) reading {
	v := math.Max(leastDifference, after.values[3])
	return reading{math.Log(math.Max(leastDifference, before.values[3]) / v), repeats / v}
}

// clear tells whether a difference fell; none, whether it did not; unknown, whether nobody
// knows.
func (r reading) clear() bool   { return r.size-2*r.sd > leastFallen }
func (r reading) unknown() bool { return math.IsNaN(r.size) }
func (r reading) none() bool    { return r.size < math.Max(leastFallen, 1.5*r.sd) }

// keptGas tells by what was logged about an act whether a machine kept what gas it may have
// had: the pressure at rest still lies above saturation, or does not say so and the pressure
// of the running machine, which gas raises over all of the liquid, did not fall (Dalton's law).
func keptGas(points []point, act time.Time) bool {
	subcooled := [2]float64{math.NaN(), math.NaN()} // last before, first after
	for _, p := range points {
		after := int(is(!p.at.Before(act)))
		switch {
		case after == 1 && !math.IsNaN(p.atRest):
			return p.atRest > airedBy
		case !math.IsNaN(p.values[0]) && (after == 0 || math.IsNaN(subcooled[1])):
			subcooled[after] = p.values[0]
		}
	}
	return subcooled[1] > subcooled[0]-gasEffect
}

// airedBy is how far the pressure at rest lies above saturation at most without gas, K: of
// 1,251 stays at simulated machines without it 99 % lay lower.
const airedBy = 2.2
