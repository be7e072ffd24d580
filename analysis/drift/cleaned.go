package drift

import (
	"math"
	"slices"
	"time"

	"rimelog/pipeline/register"
)

// A history is what was done to a machine. Rows of the register do not say which of its coils
// was cleaned, nor which part was changed; what was logged before and after it at the same
// visit does, in the same weather and with the same instruments.
type history struct {
	events []register.Event
	spared map[act]bool       // whether it left the coil, or superheat, as it was
	kept   map[time.Time]bool // by the time of an act that may let gas out, whether what there was of it stayed
}

// An act is something done to a machine as the gauge of a coil sees it.
type act struct {
	kind  register.EventKind
	at    time.Time
	gauge string
}

// leaves tells whether an act left what it might have ended of a kind of fault.
func (h history) leaves(e register.Event, kind string) bool {
	return h.spares(e, coilOf(kind)) || kind == Gas && h.kept[e.Time] || kind == Valve && h.spares(e, Superheat)
}

// spares tells whether an act left the coil of a gauge as it was.
func (h history) spares(e register.Event, gauge string) bool {
	return h.spared[act{e.Kind, e.Time, gauge}]
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

// remember looks at each act that may have put coils right for those that it left as they
// were, and at each that may let gas out for what stayed.
func (w *weighing) remember() history {
	h := history{w.events, map[act]bool{}, map[time.Time]bool{}}
	for _, e := range w.events {
		if letsOut(e.Kind) {
			h.kept[e.Time] = keptGas(w.points, e.Time)
		}
		if before, after, ok := parted(w.points, e.Time); ok {
			warm, cold := w.band.fall(before, after), fall(before, after)
			h.spared[act{e.Kind, e.Time, CondenserTD}] = warm.sparedBy(e.Kind, cold)
			h.spared[act{e.Kind, e.Time, EvaporatorTD}] = cold.sparedBy(e.Kind, warm)
			h.spared[act{e.Kind, e.Time, Superheat}] = e.Kind == register.SetpointChanged && sameSuperheat(before, after)
		}
	}
	return h
}

// sparedBy tells whether an act left a coil as it was, by which share its difference fell and
// that of the other one: a cleaning that put the other one right, or nobody knows, where this
// one stayed; a part that was changed for none of the coils, nor their fans, where it neither
// fell nor rose.
func (r reading) sparedBy(kind register.EventKind, other reading) bool {
	switch kind {
	case register.CoilCleaned:
		return r.none() && (other.clear() || other.unknown())
	case register.PartChanged:
		return r.none() && r.times(-1).none()
	}
	return false
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

// sameSuperheat tells whether superheat stayed where it was: what was set was the room or the
// water then, and a valve that is stuck is so still.
func sameSuperheat(before, after *point) bool {
	return math.Abs(after.values[atSuperheat]-before.values[atSuperheat]) < superheatEffect/2
}

// fall is by which share a condenser's difference fell, as with full flow of air.
func (b band) fall(before, after *point) reading {
	open := func(p *point) float64 { return b.at(p).opened(p.values[atCondenser], p.condensing) }
	v := after.values[atCondenser]
	return reading{open(before) - open(after), repeats / (math.Max(leastDifference, v) * b.at(after).shows(v, after.condensing))}
}

// fall is by which share an evaporator's difference fell.
func fall(before, after *point) reading {
	v := math.Max(leastDifference, after.values[atEvaporator])
	return reading{math.Log(math.Max(leastDifference, before.values[atEvaporator]) / v), repeats / v}
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
		case !math.IsNaN(p.values[atSubcooling]) && (after == 0 || math.IsNaN(subcooled[1])):
			subcooled[after] = p.values[atSubcooling]
		}
	}
	return subcooled[1] > subcooled[0]-gasEffect
}

// airedBy is how far the pressure at rest lies above saturation at most without gas, K: of
// 1,251 stays at simulated machines without it 99 % lay lower.
const airedBy = 2.2
