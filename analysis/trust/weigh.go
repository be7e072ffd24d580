package trust

import (
	"cmp"
	"errors"
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

// weighed are the quantities that are held against history, as far as they are known. Where a
// machine heats the other way round, its media are not those of its coils.
func (h history) weighed() []cycle.Quantity {
	list := []cycle.Quantity{
		cycle.Superheat, cycle.Subcooling, cycle.DischargeSuperheat, cycle.Power, cycle.CondenserMedium,
		cycle.SinkInlet, cycle.Speed, lowAtRest, highAtRest, airAtRest,
	}
	if h.now.Mode == Heating {
		return append(list, cycle.Evaporating)
	}
	list = append(list, cycle.EvaporatorTD, cycle.CondenserTD)
	if math.IsNaN(h.now.mean(cycle.EvaporatorTD)) || h.sure(cycle.EvaporatorTD) {
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
		if math.IsNaN(off) || q == cycle.SinkInlet && math.Abs(off) > otherWater || h.sure(q) {
			continue
		}
		e.of, e.off, e.sd, e.know = append(e.of, q), append(e.off, off), append(e.sd, x.sd), append(e.know, x)
	}
	return e
}

// otherWater is from how far off the water that enters the condenser is that of another use, such
// as hot water instead of heat, and says nothing of the weather, K. Common practice, no source.
const otherWater = 6.0

// weak are rules that speak of one visit alone by levels, which history may explain better.
var weak = []string{"D1", "D2", "D25", "D26", "D27", "D28", "D29", "D30"}

// sure tells whether a rule that is sure of itself hides a quantity. Other units of temperature
// explain nothing where the pressures are not the machine's own either.
func (h history) sure(q cycle.Quantity) bool {
	certain := Facts{Doubts: slices.DeleteFunc(slices.Clone(h.now.Doubts), func(d Doubt) bool {
		return slices.Contains(weak, d.Rule) || d.Rule == "D5" && len(h.all) >= fewestBefore && !h.ownPressure()
	})}
	return certain.hides(q)
}

// shift is what one unit of an explanation adds to what is known: what it moves, less what
// history would then have expected, since a wrong condition misleads it.
func (e evidence) shift(along map[cycle.Quantity]float64) []float64 {
	out := make([]float64, len(e.of))
	for i, q := range e.of {
		outdoor := e.know[i].outdoor
		if q == cycle.CondenserTD {
			outdoor = math.Max(outdoor, heldUp)
		}
		out[i] = along[q] - outdoor*along[cycle.OutdoorTemp] - e.know[i].condensing*along[cycle.Condensing]
		switch q {
		case cycle.OutdoorTemp: // shown above the air at the coil
			out[i] = along[q] - along[cycle.EvaporatorAirOn]
		case cycle.CondenserMedium: // the outdoor air for the season
			out[i] = along[cycle.OutdoorTemp]
		}
	}
	return out
}

// heldUp is how the condenser's difference follows the outdoor air where the pressure is held up,
// K/K: nothing makes it follow more.
const heldUp = -1.0

// How often things happen at a visit that has a history, and what a machine that changed
// may do from one visit to the next, in standard deviations. Common practice, no source.
const (
	changed       = 0.05  // the machine changed
	changedServed = 0.3   // the same after somebody worked on it
	servedTimes   = 1.5   // larger are changes then
	mistaken      = 0.005 // one kind of mistake was made
)

// moves is by how much quantities move.
type moves = map[cycle.Quantity]float64

// A way is one in which machines change, with how often they do beside the others.
type way struct {
	often float64
	along moves
}

// gasOften is how often gas that does not condense gets in beside other changes: a circuit must
// have been open, or run below the air's pressure. Common practice, no source.
const gasOften = 0.05

// ways are those of a machine that changed: valve, charge, air over the evaporator, air or
// control of the condenser, compressor, set point, capacity, charge that is far too little,
// a valve that is stuck, where the probe outdoors hangs, the water that takes the heat, the
// speed, a low side without liquid at rest, gas that does not condense.
func ways() []way {
	return []way{
		{1, moves{cycle.Superheat: 2.5, cycle.DischargeSuperheat: 2.2, cycle.EvaporatorTD: 0.8, cycle.Evaporating: -0.8}},
		{1, moves{cycle.Superheat: -0.4, cycle.Subcooling: 2}},
		{1, moves{cycle.EvaporatorTD: 2.5, cycle.Evaporating: -2.5, cycle.Superheat: -0.4}},
		{1, moves{cycle.CondenserTD: 4, cycle.Subcooling: 0.5}},
		{1, moves{cycle.DischargeSuperheat: 5}},
		{1, moves{cycle.EvaporatorMedium: 2.5, cycle.Evaporating: 2}},
		{1, moves{cycle.EvaporatorTD: 2, cycle.Evaporating: -2, cycle.CondenserTD: 2, cycle.Power: 0.3}},
		{1, moves{cycle.Superheat: 3, cycle.Subcooling: -2.5, cycle.EvaporatorTD: 2.5, cycle.Evaporating: -2.5, cycle.CondenserTD: -2, cycle.DischargeSuperheat: 4}},
		{1, moves{cycle.Superheat: 6, cycle.DischargeSuperheat: 14, cycle.CondenserTD: -3}},
		{1, moves{cycle.OutdoorTemp: 1}},
		{1, moves{cycle.SinkInlet: 3}},
		{1, moves{cycle.Speed: 6}},
		{1, moves{lowAtRest: 5}},
		{gasOften, moves{highAtRest: 3, cycle.CondenserTD: 3, cycle.Subcooling: 3}},
	}
}

// another is how machines differ from each other, in standard deviations.
var another = map[cycle.Quantity]float64{
	cycle.Superheat: 6, cycle.Subcooling: 6, cycle.EvaporatorTD: 8, cycle.CondenserTD: 8, cycle.DischargeSuperheat: 18,
	cycle.Power: 1, cycle.Evaporating: 14, cycle.EvaporatorMedium: 14, cycle.OutdoorTemp: 8, cycle.CondenserMedium: 1,
	cycle.SinkInlet: 8, cycle.Speed: 10, lowAtRest: 3, highAtRest: 3, airAtRest: 3,
}

// A suspicion is a mistake that a visit seems to hold.
type suspicion struct {
	explanation
	size float64 // of it, in its unit
	odds float64 // its chance over that of all in which it was not made
}

// A scenario is a way in which a visit may have come about: nothing happened, the machine
// changed, one mistake was made or two. Surprises are -2 ln of chances.
type scenario struct {
	mistakes []int // numbers of explanations
	sizes    []float64
	surprise float64
}

// suspicions weighs all scenarios and lists the mistakes of the likeliest one, each with the
// odds that it was made.
func (h history) suspicions(e evidence, list []explanation) (found []suspicion) {
	all := h.scenarios(e, list)
	best := slices.MinFunc(all, func(a, b scenario) int { return cmp.Compare(a.surprise, b.surprise) })
	for k, i := range best.mistakes {
		var with, without float64
		for _, s := range all {
			c := math.Exp((best.surprise - s.surprise) / 2)
			if slices.ContainsFunc(s.mistakes, func(j int) bool { return list[j].same(list[i]) }) {
				with += c
			} else {
				without += c
			}
		}
		found = append(found, suspicion{list[i], best.sizes[k], with / without})
	}
	return found
}

// scenarios lists all of them. Two mistakes are tried where one leaves something over.
func (h history) scenarios(e evidence, list []explanation) (all []scenario) {
	states, err := h.states(e)
	if err != nil {
		return []scenario{{}}
	}
	for _, s := range states {
		all = append(all, scenario{surprise: s.Surprise(e.off) + s.prior})
	}
	for i, x := range list {
		if x.machine {
			all = append(all, scenario{[]int{i}, []float64{0}, h.foreign(e) - 2*math.Log(x.usual())})
			continue
		}
		along := e.shift(x.along)
		for _, s := range states {
			surprise, size := s.Moved(e.off, along, x.from, x.to)
			all = append(all, scenario{[]int{i}, []float64{size}, surprise + s.besides - 2*math.Log(x.usual())})
		}
	}
	s := slices.MinFunc(all, func(a, b scenario) int { return cmp.Compare(a.surprise, b.surprise) })
	if len(s.mistakes) == 0 || !list[s.mistakes[0]].machine && e.left(list[s.mistakes[0]], s.sizes[0]).beyond(worthWeighing) == 0 {
		return all
	}
	return append(all, e.pairs(list)...)
}

// pairs are the scenarios of two mistakes on different channels.
func (e evidence) pairs(list []explanation) (all []scenario) {
	for j, y := range list {
		if y.machine {
			continue
		}
		along := e.shift(y.along)
		mode := make([]float64, len(along))
		rest := slices.Clone(e.off)
		for k, v := range along {
			mode[k], rest[k] = (y.to-y.from)/math.Sqrt(12)*v, rest[k]-(y.from+y.to)/2*v
		}
		g, err := robust.NewGaussian(e.sd, mode)
		if err != nil {
			continue
		}
		for i, x := range list[:j] {
			if x.machine || x.shares(y) {
				continue
			}
			surprise, size := g.Moved(rest, e.shift(x.along), x.from, x.to)
			other := e.left(x, size).sizeOf(y)
			all = append(all, scenario{[]int{i, j}, []float64{size, other}, surprise - 2*math.Log(x.usual()*y.usual())})
		}
	}
	return all
}

// left is the evidence without what an explanation of a size makes of it.
func (e evidence) left(x explanation, size float64) evidence {
	off := slices.Clone(e.off)
	for i, v := range e.shift(x.along) {
		off[i] -= size * v
	}
	e.off = off
	return e
}

// sizeOf is the likeliest size of an explanation.
func (e evidence) sizeOf(x explanation) float64 {
	chance, err := robust.NewGaussian(e.sd)
	if err != nil {
		return x.from
	}
	_, size := chance.Moved(e.off, e.shift(x.along), x.from, x.to)
	return size
}

// usual is how often the mistake is made at a visit.
func (x explanation) usual() float64 {
	if x.often > 0 {
		return x.often
	}
	return mistaken
}

// shares tells whether two explanations are about one channel.
func (x explanation) shares(y explanation) bool {
	return slices.ContainsFunc(x.channels, func(q cycle.Quantity) bool { return slices.Contains(y.channels, q) })
}

// same tells whether two explanations say the same of the same channel.
func (x explanation) same(other explanation) bool {
	return x.rule == other.rule && x.channels[0] == other.channels[0]
}

// A state is how the machine itself may be at a visit: as it was, or changed in one way or in
// several at once.
type state struct {
	*robust.Gaussian
	prior   float64 // surprise of it
	besides float64 // the same, where a mistake may explain what no machine reaches
}

// severalWays is the share of changes that go more than one way.
const severalWays = 0.2

// states are all of them.
func (h history) states(e evidence) ([]state, error) {
	share, times := changed, 1.0
	if h.served() {
		share, times = changedServed, servedTimes
	}
	var modes [][]float64
	list, all := ways(), 0.0
	for _, w := range list {
		m := make([]float64, len(e.of))
		for i, q := range e.of {
			m[i] = times * w.along[q]
		}
		modes, all = append(modes, m), all+w.often
	}
	still, err := robust.NewGaussian(e.sd)
	several, errS := robust.NewGaussian(e.sd, modes...)
	rare := -2 * math.Log(share*severalWays)
	states := []state{{still, 0, 0}, {several, rare + e.excess(), rare}}
	for i, m := range modes {
		one, errO := robust.NewGaussian(e.sd, m)
		rare := -2 * math.Log(share*(1-severalWays)*list[i].often/all)
		states, err = append(states, state{one, rare + e.excess(), rare}), errors.Join(err, errO)
	}
	return states, errors.Join(err, errS)
}

// reaches is how far a machine that changed may be off at most: what its worst faults do.
// Common practice, no source.
var reaches = map[cycle.Quantity]float64{
	cycle.Superheat: 25, cycle.Subcooling: 12, cycle.EvaporatorTD: 15, cycle.CondenserTD: 15, cycle.DischargeSuperheat: 45,
	cycle.Power: 0.8, cycle.Evaporating: 14, cycle.EvaporatorMedium: 12, cycle.OutdoorTemp: 5, cycle.CondenserMedium: 30,
	cycle.SinkInlet: 20, cycle.Speed: 30, lowAtRest: 15, highAtRest: 15, airAtRest: 5,
}

// excess is how surprising it is, besides, that a machine goes beyond what it may reach.
func (e evidence) excess() (sum float64) {
	for i, q := range e.of {
		if over := math.Abs(e.off[i]) - reaches[q]; over > 0 {
			sum += math.Pow(4*over/reaches[q], 2)
		}
	}
	return sum
}

// foreign is how surprising what a visit shows is if it is another machine's, one of the same
// kind or of a far one, which has other channels, too.
func (h history) foreign(e evidence) float64 {
	var chance float64
	for _, times := range []float64{1, 3} {
		sd := make([]float64, len(e.of))
		for i, q := range e.of {
			sd[i] = math.Hypot(e.sd[i], times*another[q])
		}
		g, err := robust.NewGaussian(sd)
		if err != nil {
			return math.Inf(1)
		}
		chance += math.Exp(-g.Surprise(e.off)/2) / 2
	}
	return -2 * math.Log(chance*h.strangeChannels())
}
