package trust

import (
	"math"
	"slices"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
)

// What a visit shows off its history is held against all that could explain it: chance,
// a machine that changed, and each mistake. A mistake moves what rests on its channel and
// nothing else, as far as saturation lines make it; a machine that changes moves by ways of
// its own, and takes the discharge gas along. A mistake is told where it is by far the
// likeliest.

// evidence is by how much quantities are off their history.
type evidence struct {
	of   []cycle.Quantity
	off  []float64
	sd   []float64
	know []expectation
}

// weighed are the quantities that are held against history, as far as they are known.
func (h history) weighed() []cycle.Quantity {
	list := []cycle.Quantity{cycle.Superheat, cycle.Subcooling, cycle.EvaporatorTD, cycle.CondenserTD, cycle.DischargeSuperheat, cycle.Power}
	if math.IsNaN(h.now.mean(cycle.EvaporatorTD)) {
		list = append(list, cycle.Evaporating)
	}
	switch {
	case h.system.Kind.Heats():
		list = append(list, cycle.OutdoorTemp)
	case h.now.Mode == "":
		list = append(list, cycle.EvaporatorMedium)
	}
	return list
}

// evidence collects what is known of a visit, but for what its own rules are sure is wrong.
func (h history) evidence() (e evidence) {
	for _, q := range h.weighed() {
		x := h.expected(q)
		off := h.now.shown(q) - x.mean
		if math.IsNaN(off) || h.sure(q) {
			continue
		}
		e.of, e.off, e.sd, e.know = append(e.of, q), append(e.off, off), append(e.sd, x.sd), append(e.know, x)
	}
	return e
}

// weak are rules that speak of one visit alone by levels, which history may explain better.
var weak = []string{"D1", "D2", "D25", "D26", "D27", "D28", "D29", "D30"}

// sure tells whether a rule that is sure of itself hides a quantity.
func (h history) sure(q cycle.Quantity) bool {
	certain := Facts{Doubts: slices.DeleteFunc(slices.Clone(h.now.Doubts), func(d Doubt) bool { return slices.Contains(weak, d.Rule) })}
	return certain.hides(q)
}

// shift is what one unit of an explanation adds to what is known: what it moves, less what
// history would then have expected, since a wrong condition misleads it.
func (e evidence) shift(along map[cycle.Quantity]float64) []float64 {
	out := make([]float64, len(e.of))
	for i, q := range e.of {
		out[i] = along[q] - e.know[i].outdoor*along[cycle.OutdoorTemp] - e.know[i].condensing*along[cycle.Condensing]
		if q == cycle.OutdoorTemp {
			out[i] = along[q]
		}
	}
	return out
}

// How often things happen at a visit that has a history, and what a machine that changed
// may do from one visit to the next, in standard deviations. Common practice, no source.
const (
	changed       = 0.05  // the machine changed
	changedServed = 0.3   // the same after somebody worked on it
	servedTimes   = 2.0   // larger are changes then
	mistaken      = 0.005 // one kind of mistake was made
	rungs         = 24    // steps in which the size of a mistake is tried
)

// ways are those of a machine that changed: valve, charge, air over the evaporator, air or
// control of the condenser, compressor, set point, capacity, charge that is far too little,
// a valve that is stuck, where the probe outdoors hangs.
func ways() []map[cycle.Quantity]float64 {
	return []map[cycle.Quantity]float64{
		{cycle.Superheat: 2.5, cycle.DischargeSuperheat: 2.2, cycle.EvaporatorTD: 0.8, cycle.Evaporating: -0.8},
		{cycle.Superheat: -0.4, cycle.Subcooling: 2},
		{cycle.EvaporatorTD: 2.5, cycle.Evaporating: -2.5, cycle.Superheat: -0.4},
		{cycle.CondenserTD: 4, cycle.Subcooling: 0.5},
		{cycle.DischargeSuperheat: 5},
		{cycle.EvaporatorMedium: 2.5, cycle.Evaporating: 2},
		{cycle.EvaporatorTD: 2, cycle.Evaporating: -2, cycle.CondenserTD: 2, cycle.Power: 0.3},
		{cycle.Superheat: 3, cycle.Subcooling: -2.5, cycle.EvaporatorTD: 2.5, cycle.Evaporating: -2.5, cycle.CondenserTD: -2, cycle.DischargeSuperheat: 4},
		{cycle.Superheat: 6, cycle.DischargeSuperheat: 14, cycle.CondenserTD: -3},
		{cycle.OutdoorTemp: 1},
	}
}

// another is how machines differ from each other, in standard deviations.
var another = map[cycle.Quantity]float64{
	cycle.Superheat: 6, cycle.Subcooling: 6, cycle.EvaporatorTD: 8, cycle.CondenserTD: 8, cycle.DischargeSuperheat: 18,
	cycle.Power: 1, cycle.Evaporating: 14, cycle.EvaporatorMedium: 14, cycle.OutdoorTemp: 8,
}

// A suspicion is the likeliest mistake at a visit.
type suspicion struct {
	explanation
	size float64 // of it, in its unit
	odds float64 // its chance over that of all else
}

// likeliest weighs all explanations. Chances are kept as -2 ln, less their best.
func (h history) likeliest(e evidence, list []explanation) (best suspicion, ok bool) {
	chance, err := robust.NewGaussian(e.sd)
	if err != nil || len(list) == 0 {
		return best, false
	}
	all := []float64{chance.Surprise(e.off), h.machine(e)}
	null, least := len(all), math.Inf(1)
	for _, x := range list {
		s, size := x.surprise(e, chance)
		if all = append(all, s); s < least {
			least, best = s, suspicion{explanation: x, size: size}
		}
	}
	least = slices.Min(all)
	var theirs, others float64
	for i, s := range all {
		if c := math.Exp((least - s) / 2); i >= null && list[i-null].same(best.explanation) {
			theirs += c
		} else {
			others += c
		}
	}
	best.odds = theirs / others
	return best, true
}

// same tells whether two explanations say the same of the same channel.
func (x explanation) same(other explanation) bool {
	return x.rule == other.rule && x.channels[0] == other.channels[0]
}

// machine is how surprising a visit is if the machine changed.
func (h history) machine(e evidence) float64 {
	share, times := changed, 1.0
	if h.served() {
		share, times = changedServed, servedTimes
	}
	var modes [][]float64
	for _, way := range ways() {
		m := make([]float64, len(e.of))
		for i, q := range e.of {
			m[i] = times * way[q]
		}
		modes = append(modes, m)
	}
	g, err := robust.NewGaussian(e.sd, modes...)
	if err != nil {
		return math.Inf(1)
	}
	return g.Surprise(e.off) - 2*math.Log(share)
}

// surprise is how surprising a visit is if an explanation holds, over all its sizes, and
// the likeliest size.
func (x explanation) surprise(e evidence, chance *robust.Gaussian) (surprise, size float64) {
	if x.machine {
		return x.foreign(e), 0
	}
	along, rest := e.shift(x.along), make([]float64, len(e.off))
	least := math.Inf(1)
	var tries []float64
	for k := range rungs + 1 {
		d := x.from + (x.to-x.from)*float64(k)/rungs
		for i := range rest {
			rest[i] = e.off[i] - d*along[i]
		}
		s := chance.Surprise(rest)
		if tries = append(tries, s); s < least {
			least, size = s, d
		}
	}
	var sum float64
	for _, s := range tries {
		sum += math.Exp(-(s-least)/2) / float64(len(tries))
	}
	return least - 2*math.Log(sum) - 2*math.Log(mistaken), size
}

// foreign is how surprising a visit is if it is another machine's.
func (x explanation) foreign(e evidence) float64 {
	sd := make([]float64, len(e.of))
	for i, q := range e.of {
		sd[i] = math.Hypot(e.sd[i], another[q])
	}
	g, err := robust.NewGaussian(sd)
	if err != nil {
		return math.Inf(1)
	}
	return g.Surprise(e.off) - 2*math.Log(mistaken)
}
