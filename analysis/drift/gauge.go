package drift

import (
	"math"

	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
)

// A gauge is a feature as the search for causes watches it: where it stands in a
// machine that is well, what it follows, and how far visits scatter about that. These
// are wide beliefs of the trade (common practice, no source); the record narrows them,
// and where it is short they keep a few visits from fitting anything.
type gauge struct {
	column  string
	of      func(*point) float64
	doubt   func(*point) float64 // standard uncertainty of one set of instruments
	level   normal
	scatter float64 // of visits that are not wild
	wild    float64 // of those that are: a probe that fell off, swapped hoses
	drifts  float64 // how far instruments drift in a year
	follows []influence
	coil    *coil                         // of a difference that is judged as that of a coil; nil: as it is
	voids   func(register.EventKind) bool // what ends a fault of this side of the machine
}

// A normal is a belief: mean and standard deviation.
type normal struct{ mean, sd float64 }

// Efficiency is the gauge of the compressor, in percent; the others have the names of
// their features.
const Efficiency = "isentropic_efficiency"

// gauges lists what is watched at a system.
func gauges(s register.System) []gauge {
	feature := func(k int, level normal, wild float64, voids func(register.EventKind) bool, follows ...influence) gauge {
		return gauge{
			features()[k].column, func(p *point) float64 { return p.values[k] }, func(p *point) float64 { return p.doubts[k] },
			level, usualScatter(features()[k].column), wild, instrumentDrift, append(follows, modes(s)...), nil, voids,
		}
	}
	of := func(c *coil, g gauge) gauge {
		g.coil = c
		return g
	}
	return []gauge{
		feature(atSubcooling, normal{6, 4}, 6, mends, append(tilted(tilt(s), 1, 2), influence{evaporating, normal{0, 1.5}, true}, influence{condenserTD, normal{1, 1}, true})...),
		feature(atSuperheat, normal{7, 5}, 8, mends, append(season(feeds(s), 1, 2), influence{room, normal{0, feeds(s)}, true})...),
		of(condenserCoil(s), feature(atCondenser, normal{11, 6}, 6, cleans)),
		of(evaporatorCoil(), feature(atEvaporator, normal{9, 5}, 6, feedsAgain)),
		{
			Efficiency, (*point).isentropic, func(*point) float64 { return 2 }, normal{65, 10}, usualScatter(Efficiency), 15, 0.5,
			append(season(3, 2, 2), influence{lift, normal{0, 5}, true}, influence{superheat, normal{0, 4}, true}), nil, mends,
		},
	}
}

// isentropic is the efficiency of the compressor, %. One above that of a reversible compressor
// says that liquid was drawn in, or where a probe sits, and nothing of the compressor.
func (p *point) isentropic() float64 {
	if p.efficiency >= 1 {
		return math.NaN()
	}
	return 100 * p.efficiency
}

// usualScatter is how far visits scatter in a gauge that are not wild, as it is believed
// beforehand: K, points of efficiency, percent of a receiver.
func usualScatter(gauge string) float64 {
	switch gauge {
	case Subcooling:
		return 0.5
	case Superheat:
		return 0.6
	case CondenserTD:
		return 0.4
	case EvaporatorTD:
		return 0.35
	}
	return 2
}

// scatterCounts is how many visits count as much as what is believed of scatter. Subcooling's
// differs most from machine to machine and from hand to hand, so that the record has more say:
// one that scatters a lot must not pass for a change because others scatter less.
func (g gauge) scatterCounts() float64 {
	if g.column == Subcooling {
		return leastTrack - 1
	}
	return leastTrack
}

// sways is how far a gauge may move with outdoor temperature, K per K: by its season's line,
// which comes first; a coil's season is its own.
func (g gauge) sways() float64 {
	if g.coil != nil || len(g.follows) == 0 {
		return 0
	}
	line := g.follows[0].per
	return (math.Abs(line.mean) + line.sd) / 10
}

// instrumentDrift is how far readings drift with their instruments in a year, K: a
// third of what pressure transmitters of service quality may be off.
const instrumentDrift = 0.2

// What ends a fault of the circuit, and of the coils.
var (
	mends  = oneOf(register.Repaired, register.PartChanged, register.Install, register.Retrofit)
	cleans = oneOf(register.CoilCleaned, register.PartChanged, register.Install, register.Retrofit)
	// feedsAgain ends what moves the evaporator: one that lost charge starved is fed again. With the
	// acts that clean alone, one of 71 simulated ones more was found in time at visits, and three clean
	// ones of loggers that stay passed for dirty in 180 system-years, which do not so.
	feedsAgain = oneOf(register.CoilCleaned, register.PartChanged, register.Install, register.Retrofit, register.Repaired, register.ChargeAdded)
)

// least is how many values a track of the gauge needs: where it is known beforehand where a
// machine that is well stands, one says something.
func (g gauge) least() int {
	if g.column == Standstill {
		return 1
	}
	return leastTrack
}

// known is the points at which a gauge and all it must follow are known.
func known(g gauge, points []point) []*point {
	out := make([]*point, 0, len(points))
	for i := range points {
		p := &points[i]
		ok := !math.IsNaN(g.of(p))
		for _, f := range g.follows {
			ok = ok && (f.relative || !math.IsNaN(f.of(p)))
		}
		if ok {
			out = append(out, p)
		}
	}
	return out
}

// Bounds of what one set of instruments is believed to be off, K.
const (
	leastOff = 0.3
	mostOff  = 2.0
)

// ordinaryOff is the share of what a coil's difference may be off by that is no gross error: those
// count as wild. Of the visits to 800 simulated machines sets with fair instruments were off by
// 0.44 K where 0.6 to 0.7 is stated.
const ordinaryOff = 0.7

// off is what one set of instruments is believed to be off.
func (g gauge) off(points []*point) float64 {
	doubts := make([]float64, len(points))
	for i, p := range points {
		doubts[i] = g.doubt(p)
	}
	off, err := robust.Median(doubts)
	if err != nil {
		off = mostOff / 2
	}
	if g.coil != nil {
		off *= ordinaryOff
	}
	return math.Max(leastOff, math.Min(mostOff, off))
}

// ageing is the share of what instruments may be off by which they drift in a year (as data
// sheets of pressure transmitters have it; common practice, no source).
const ageing = 0.3

// ages is how far a gauge drifts with its instruments in a year: good ones drift less.
func (g gauge) ages(points []*point) float64 {
	if g.coil == nil {
		return g.drifts
	}
	return math.Min(g.drifts, ageing*g.off(points))
}

// moved is how far an act may move a gauge for good: a coil stands where it stood once it is
// clean again, and nearly so whatever is done about the charge or the thermostat. As little
// does subcooling move for good with a coil that is clean or a thermostat that is set anew:
// it follows the condenser's difference and the evaporating temperature by itself.
func (g gauge) moved(by register.EventKind) float64 {
	switch {
	case by == register.PartChanged && g.column == Subcooling:
		return filledAnew
	case (by == register.CoilCleaned || by == register.SetpointChanged) && g.column == Subcooling:
		return leastMoved
	case g.column == Standstill:
		return aired
	case by == register.SetpointChanged && g.coil != nil:
		return setAnew
	case g.coil == nil, by == register.PartChanged, by == register.Install, by == register.Retrofit:
		return g.level.sd
	}
	return leastMoved
}

// filledAnew is how far a part that was changed moves subcooling, K: the charge is weighed in
// again, to within some percent.
const filledAnew = 2.0

// setAnew is how far a thermostat that is set anew moves a coil's difference, K, beyond what the
// room and the heat that passes tell of it.
const setAnew = 0.4

// leastMoved is how far acts move a coil's difference, or subcooling, that have nothing to do
// with it, K.
const leastMoved = 0.5
