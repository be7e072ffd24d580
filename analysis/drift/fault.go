package drift

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"rimelog/pipeline/register"
)

// A fault is how a machine's gauges move when something is wrong with it.
type fault struct {
	kind    string
	form    form
	hazard  float64         // how often it begins, a year, or at an addition
	moves   map[string]move // by gauge; one that is not listed stays
	delays  bool            // it reaches the evaporator only later, if at all
	ties    map[string]tie  // by gauge that moves with another one
	behind  visibility      // how it shows at the condenser where head pressure is held
	sighted bool            // one visit may tell it, or stands against one that does
}

// A tie says that a gauge moves as far as another one does, or a share of it.
type tie struct {
	to     string
	per    float64 // of the other's move
	sd     float64 // about that, K
	spread float64 // about that, of the other's move
	own    float64 // the only way the gauge itself goes; 0 for either
}

// under is the move of a gauge that is tied to one with a reading, which counts as far as
// it goes the only way it may; 0 for either.
func (t tie) under(to reading, sign float64) move {
	size := to.size
	if sign*size < 0 {
		size = 0
	}
	return tells(t.per*size, math.Hypot(t.sd+t.spread*math.Abs(size), t.per*to.sd), t.own, 0)
}

// Visibility is how much of what a fault does to the condenser shows where head pressure
// control holds the condensing temperature up: none of it under a control that holds one
// value, a part under fans that slow down over a band of some kelvins (common practice, no
// source), and all of what is added to the pressure itself.
type visibility int

const (
	hidden visibility = iota
	partly
	wholly
	shows
)

// share is the part of a move that shows.
func (s visibility) share() float64 { return [shows]float64{0, 0.45, 1}[s] }

// reaches tells whether a fault moves a gauge only later: a valve feeds the evaporator
// until it is fully open (NIST SP 1087, from memory), while subcooling falls already.
func (f *fault) reaches(gauge string) bool {
	return f.delays && (gauge == Superheat || gauge == EvaporatorTD || gauge == Efficiency)
}

// A move is how far a gauge moves under a fault, a year or at once.
type move struct {
	normal
	sign    float64 // the only way it goes; 0 for either
	stays   float64 // how often it stays all the same
	carries bool    // the fault is told by it; the others only speak for or against
	logs
}

// logs are logarithms of a move's chances, worked out once.
type logs struct{ stays, goes, sign, far float64 }

// Faults are of no usual size: some of them move a gauge several times as far, with an
// uncertainty to match.
const (
	farShare = 0.15
	farTimes = 3.0
	farSD    = 4.0
)

// logFar and logUsual are the logarithms of how many faults are so and of how many are not.
var logFar, logUsual = math.Log(farShare), math.Log1p(-farShare)

// far is what is believed of a move of a fault that is unusually large.
func (m *move) far() normal { return normal{farTimes * m.mean, farSD * m.sd} }

// tells is the move of a gauge by which a fault is told.
func tells(mean, sd, sign, stays float64) move {
	m := move{normal: normal{mean, sd}, sign: sign, carries: true}
	if sign != 0 {
		m.logs.sign = logPhi(sign * mean / sd)
		m.logs.far = logPhi(sign * farTimes * mean / (farSD * sd))
	}
	return m.staying(stays)
}

// speaks is the move of one that only speaks for or against it.
func speaks(mean, sd, sign, stays float64) move {
	m := tells(mean, sd, sign, stays)
	m.carries = false
	return m
}

// staying is the move with another chance to stay.
func (m move) staying(stays float64) move {
	m.stays, m.logs.stays, m.logs.goes = stays, math.Log(stays), math.Log1p(-stays)
	return m
}

// Unclear is what may be wrong where nothing known fits.
const Unclear = "unclear"

// faults lists what may be wrong with a system, those of one kind together. Signs are those of Rossi & Braun 1997
// for fixed orifices and of NIST SP 1087 (2008, from memory) for valves; sizes are what
// months bring (common practice, no source): subcooling falls by 0.3 to 0.4 K and
// behind a fixed opening superheat rises by 1 K for each percent of the charge (Li &
// Braun 2009; Breuker & Braun 1998), at losses of some 5 to 25 % a year. A valve that
// is not yet fully open holds superheat, and starves nothing as long as it does; a machine
// without liquid left behind its condenser has no subcooling to lose.
// Fans of a room, or a pump, may run otherwise from some day on, which nobody writes down: no
// fault, and the evaporator's difference changes at once and then no more, while dirt grows.
// Where the register does not say what feeds the evaporator, it may be either.
func faults(s register.System, at setting) []fault {
	if s.Expansion != register.ExpansionUnknown {
		return faultsBehind(s, at)
	}
	var list []fault
	for _, may := range eitherDevice {
		s.Expansion = may.be
		for _, f := range faultsBehind(s, at) {
			f.hazard *= may.share
			list = append(list, f)
		}
	}
	slices.SortStableFunc(list, func(a, b fault) int { return cmp.Compare(rankOf(a.kind), rankOf(b.kind)) })
	return list
}

// eitherDevice is what feeds an evaporator of which nobody says it: mostly a valve (common
// practice, no source).
var eitherDevice = [...]struct {
	be    register.Expansion
	share float64
}{{register.Thermostatic, 0.75}, {register.Orifice, 0.25}}

// faultsBehind are those of a system with an expansion device that is known.
func faultsBehind(s register.System, at setting) []fault {
	holds := 0.03
	quiet, free := speaks(0, 0.7, 0, 0.5), speaks(0, 3, 0, 0.7)
	less := speaks(-0.7, 0.7, -1, 0.4)
	passesLess := speaks(-0.2, 0.3, 0, 0.5) // an evaporator behind a fouled condenser, besides what follows from the heat that it passes
	starves, gives := tells(4, 4, 1, 0.65), tells(2, 3, 1, 0.65)
	floods, floodsBy, liquid := quiet, speaks(0, 1, 0, 0.5), speaks(0, 1.5, 0, 0.4)
	backs := map[string]tie{Subcooling: {CondenserTD, 0.1, 0.2, 0.09, 0}}
	if feeds(s) > 2 { // a fixed opening passes what the pressures make it
		starves, gives = tells(4, 5, 1, 0.2), gives.staying(0.3)
		floods, floodsBy, liquid = tells(-4, 4, -1, 0.2), tells(-6, 6, -1, 0.1), speaks(-1, 1.5, 0, 0.3)
	}
	if at.pinned { // what subcooling cannot tell, the evaporator must
		holds = 0.5
		if feeds(s) > 2 {
			starves, gives = starves.staying(0.2), tells(2, 3, 1, 0.2)
		}
	}
	starved := map[string]tie{EvaporatorTD: {Superheat, 0.55, 0.3, 0.3, 0}}
	leaks := map[string]move{Subcooling: tells(-3.5, 2.5, -1, holds), Superheat: starves, CondenserTD: less, EvaporatorTD: gives, Efficiency: free}
	bursts := map[string]move{Subcooling: tells(-5, 4, -1, holds), Superheat: tells(5, 5, 1, 0.4), CondenserTD: less, EvaporatorTD: tells(3, 3, 1, 0.4), Efficiency: free}
	lacks := starved
	if at.supplied && controls(s) && !(at.dry && s.Kind.Heats()) { // a heat pump's superheat follows the weather too far to tell without liquid
		lacks = nil
		for _, moves := range []map[string]move{leaks, bursts} {
			moves[Superheat], moves[EvaporatorTD] = quiet, quiet
		}
	}
	any := func(sd float64) map[string]move {
		m := tells(0, sd, 0, 0.6)
		return map[string]move{Subcooling: m, Superheat: m, CondenserTD: m, EvaporatorTD: m, Efficiency: m}
	}
	colder := map[string]tie{Superheat: {EvaporatorTD, 0.3, 0.5, 0.25, 0}, Subcooling: {EvaporatorTD, 0.25, 0.4, 0.3, 0}}
	if feeds(s) > 2 {
		colder = map[string]tie{Superheat: {EvaporatorTD, -2.2, 0.7, 0.6, 0}}
	}
	fouls := map[string]move{CondenserTD: tells(4, 3, 1, 0), Superheat: floods, EvaporatorTD: passesLess, Efficiency: free}
	overfilled, presses := map[string]move{Subcooling: tells(4, 3, 1, 0), CondenserTD: tells(1, 1, 1, 0.2), Superheat: floodsBy, EvaporatorTD: quiet, Efficiency: free}, map[string]tie{CondenserTD: {Subcooling, 0.15, 0.5, 0.15, 1}}
	airs, airsToo := map[string]move{Subcooling: tells(4, 4, 1, 0), CondenserTD: tells(4, 4, 1, 0), Superheat: floods, EvaporatorTD: quiet, Efficiency: free}, map[string]tie{CondenserTD: {Subcooling, 0.95, 0.5, 0.2, 1}}
	if feeds(s) > 2 { // the pressure pushes liquid on into the evaporator, so that less of it stands behind the condenser
		airs[Subcooling], airsToo = tells(1.5, 3, 0, 0.1), map[string]tie{Subcooling: {CondenserTD, 0.6, 1, 0.5, 0}}
	}
	clogged := fault{kind: CondenserFouling, form: slow, hazard: 0.06, moves: fouls, ties: backs}
	list := []fault{
		{kind: ChargeLoss, form: slow, hazard: 0.06, moves: leaks, delays: lacks != nil, ties: lacks},
		{kind: ChargeLoss, form: sudden, hazard: 0.01, moves: bursts, ties: lacks},
		{kind: EvaporatorFouling, form: slow, hazard: 0.03, moves: map[string]move{EvaporatorTD: tells(3, 3, 1, 0), Superheat: floodsBy, Subcooling: liquid, CondenserTD: less, Efficiency: free}, ties: colder},
		{kind: Restriction, form: slow, hazard: 0.015, moves: map[string]move{Superheat: tells(5, 4, 1, 0), Subcooling: tells(1.5, 1.5, 1, 0.1), EvaporatorTD: tells(1.5, 1.5, 1, 0.3), CondenserTD: less, Efficiency: free}, ties: starved},
		{kind: Wear, form: slow, hazard: 0.01, moves: map[string]move{Efficiency: tells(-5, 5, -1, 0), EvaporatorTD: tells(-0.7, 0.7, -1, 0.2), CondenserTD: less, Superheat: floods, Subcooling: liquid}},
		{kind: Gas, form: sudden, hazard: 0.01, moves: airs, ties: airsToo, behind: wholly},
		{kind: Overcharge, form: sudden, hazard: 0.005, moves: overfilled, ties: presses},
		{kind: Overcharge, form: topped, hazard: overfills, moves: overfilled, ties: presses},
		{kind: Valve, form: sudden, hazard: 0.005, moves: map[string]move{Superheat: tells(8, 6, 1, 0), Subcooling: tells(2, 3, 1, 0.1), EvaporatorTD: tells(2, 2, 1, 0.1), CondenserTD: less, Efficiency: free}, ties: starved},
		{kind: Valve, form: sudden, hazard: 0.005, moves: map[string]move{Superheat: tells(-4, 3, -1, 0), EvaporatorTD: tells(-1, 1, -1, 0.2), Subcooling: tells(-3, 3, -1, 0.4), CondenserTD: quiet, Efficiency: free}},
		{kind: Unclear, form: sudden, hazard: 0.01, moves: any(3), behind: wholly, sighted: feeds(s) > 2},
		{kind: Unclear, form: sudden, hazard: 0.01, moves: any(15), behind: wholly, sighted: feeds(s) > 2}, // a probe or an entry, rather than the machine
		{kind: Unclear, form: slow, hazard: 0.01, moves: any(1.5), behind: wholly},
		{kind: Unclear, form: sudden, hazard: 0.02, moves: map[string]move{EvaporatorTD: tells(0.5, 1.5, 0, 0), Superheat: floodsBy, Subcooling: liquid, CondenserTD: less, Efficiency: free}, ties: colder}, // fans or a pump that run otherwise
	}
	if fixed(s) { // nothing moves in an opening
		list = slices.DeleteFunc(list, func(f fault) bool { return f.kind == Valve })
	}
	if feeds(s) > 2 {
		k := slices.IndexFunc(list, func(f fault) bool { return f.kind == Gas })
		list[k].hazard /= 2
		list = slices.Insert(list, k, muchGas(list[k]))
	}
	if at.banded { // fans may answer gas as they answer fouling, the whole pressure, or not at all
		list = answered(list)
	}
	if !at.held { // all of it shows
		return append(list, clogged)
	}
	clogged.hazard /= float64(shows)
	for clogged.behind = range shows {
		list = append(list, clogged)
	}
	return list
}

// muchGas is what much of it does behind a fixed opening: subcooling rises after all, and so much
// liquid passes that the evaporator floods and its difference falls. One visit may tell it.
func muchGas(little fault) fault {
	f := little
	f.moves, f.sighted = maps.Clone(little.moves), true
	f.moves[Subcooling], f.moves[EvaporatorTD] = tells(2.5, 3, 1, 0.1), tells(-2, 2.5, -1, 0.1)
	f.ties = map[string]tie{Subcooling: {CondenserTD, 0.55, 0.7, 0.3, 1}}
	return f
}

// answered are faults with gas as fans may answer it: not at all, in part, or wholly.
func answered(list []fault) (out []fault) {
	for _, f := range list {
		if f.kind != Gas {
			out = append(out, f)
			continue
		}
		f.hazard /= float64(shows)
		for f.behind = range shows {
			out = append(out, f)
		}
	}
	return out
}

// still is how far a gauge moves under a fault that does not move it: what the
// baseline gets wrong.
const still = 0.5

// Gauges that only speak for or against a fault count half, since they err together,
// and within bounds.
const (
	half        = 0.5
	mostWitness = 3.0
)

// weigh is the logarithm of the evidence of a reading under a move over that of no
// change.
func (m *move) weigh(r sighting) float64 {
	if r.sd == 0 {
		return 0
	}
	l := r.stays
	if m.stays < 1 && m.sd > 0 {
		l = logSum(m.logs.stays+l, m.logs.goes+m.explains(r.reading)-r.none)
	}
	if m.carries {
		return l
	}
	return max(-mostWitness, min(mostWitness, half*l))
}

// explains is the logarithm of the density of a reading under what is believed of the
// move, of one sign where it has one.
func (m *move) explains(r reading) float64 {
	l := m.normal.explains(r, m.sign, m.logs.sign)
	if m.sign == 0 || m.mean == 0 {
		return l
	}
	return logSum(logUsual+l, logFar+m.far().explains(r, m.sign, m.logs.far))
}

// nearer is what is believed of a move of a fault with such a reading: of a usual one or of
// one that is unusually large.
func (m *move) nearer(r reading) normal {
	if m.mean*(r.size-2*m.mean) > 0 {
		return m.far()
	}
	return m.normal
}

// explains is the logarithm of the density of a reading under a belief, cut to one sign of
// which it has the chance, as a logarithm.
func (n normal) explains(r reading, sign, chance float64) float64 {
	v, p := r.sd*r.sd, n.sd*n.sd
	l := logDensity(r.size-n.mean, v+p)
	if sign != 0 {
		post := v * p / (v + p)
		at := post * (r.size/v + n.mean/p)
		l += logPhi(sign*at/math.Sqrt(post)) - chance
	}
	return l
}

func logDensity(x, variance float64) float64 { return -(x*x/variance + math.Log(variance)) / 2 }

// logPhi is the logarithm of the normal distribution.
func logPhi(x float64) float64 {
	if x < -30 {
		return -x*x/2 - math.Log(-x) - math.Log(2*math.Pi)/2
	}
	if x > surely {
		return 0
	}
	return math.Log(math.Erfc(-x/math.Sqrt2) / 2)
}

// surely is the value from which on the distribution is 1 to the last digit: what is left to
// it is 1e-17.
const surely = 8.5

// negligible is the logarithm of a share that leaves no trace in a sum.
const negligible = -50.0

// logSum is the logarithm of the sum of two exponentials.
func logSum(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	if math.IsInf(b, -1) || b-a < negligible {
		return a
	}
	return a + math.Log1p(math.Exp(b-a))
}
