package drift

import (
	"math"
	"slices"

	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
)

// A coil is what a condenser or evaporator is judged by besides the difference between its
// refrigerant and the medium entering: the difference grows with the heat that passes and
// falls with the medium's flow, Q = G (T - t), so that what a coil has become is the
// logarithm of the difference less those of heat and flow. A fouled coil has lost the same
// share of G in all weather, whatever its difference is.
type coil struct {
	heat  func(*point) float64 // logarithm of the heat it passes, of any unit; NaN: not known
	per   normal               // how far the difference follows the heat, of proportion
	fans  bool                 // they may slow down to hold head pressure up
	knows []influence          // what the difference still follows where the heat that passes is known
	blind []influence          // where it is not
	slow  []influence          // where it is not and head pressure is held up
}

// leastDifference is the difference that smaller ones count as, K: below it a reading says
// nothing about a coil.
const leastDifference = 1.0

// How far a difference follows the heat that passes: less than in proportion, since more
// refrigerant also wets more of the tubes (common practice, no source).
const (
	perHeat   = 0.8
	perHeatSD = 0.2
)

// The same of a heat pump's condenser, whose circulator gives more water to more heat (common
// practice, no source).
const (
	perPumped   = 0.4
	perPumpedSD = 0.3
)

// condenserCoil and evaporatorCoil are the coils of a system.
func condenserCoil(s register.System) *coil {
	load := influence{evaporating, normal{1, 2}, true}
	per := normal{perHeat, perHeatSD}
	if s.Kind.Heats() {
		per = normal{perPumped, perPumpedSD}
	}
	return &coil{
		heat:  func(p *point) float64 { return math.Log(p.power * (1 + coolingCOP(p))) },
		per:   per,
		fans:  !s.Kind.Heats(),
		knows: append(season(0.6, 0.35, 0.35), influence{evaporating, normal{0, 0.7}, true}),
		blind: append(season(6, 3, 5), load),
		slow:  append(season(2, 1, 2), load),
	}
}

func evaporatorCoil() *coil {
	return &coil{
		heat:  func(p *point) float64 { return math.Log(p.power * coolingCOP(p)) },
		per:   normal{perHeat, perHeatSD},
		knows: append(season(0.4, 0.3, 0.3), influence{room, normal{0, 1}, true}),
		blind: append(season(1.5, 1, 1), influence{room, normal{0, 2}, true}),
	}
}

// in is the band that a coil is in: an evaporator in none.
func (c *coil) in(b band) band {
	if !c.fans {
		return band{}
	}
	return b
}

// coolingCOP is about what a machine gives for its power: half of Carnot's (common practice,
// no source). It is NaN where the lift is none.
func coolingCOP(p *point) float64 {
	lift := p.condensing - p.evaporating
	if !(lift > 1) || !(p.power > 0) {
		return math.NaN()
	}
	return 0.5 * (p.evaporating + 273.15) / lift
}

// exchange makes a track that of a coil: by how many kelvins its difference lies off that of
// the record's usual coil in the same weather, and how many each kelvin with full flow makes.
func (tr *track) exchange(b band, g gauge, points []*point) {
	open, at := tr.blank(), tr.blank()
	tr.unit, tr.share = tr.blank(), tr.blank()
	for i, p := range points {
		open[i] = b.at(p).opened(g.of(p), p.condensing)
	}
	usual := sound(open)
	tr.full = math.Exp(usual)
	for i, p := range points {
		b := b.at(p)
		v := math.Max(leastDifference, g.of(p))
		clean := b.clean(usual, p.condensing-v)
		at[i] = p.condensing - v + clean
		tr.share[i] = b.shows(clean, at[i])
		tr.belief.Y[i] = v - clean
		tr.unit[i] = clean * tr.share[i] / tr.full
		if away := open[i] - usual; math.Abs(away) > 0.01 {
			tr.unit[i] = (v - clean) / away / tr.full
		}
	}
	tr.banded = b.holds()
	switch {
	case b.flooded():
		tr.floods(b, points, at)
	case b.holds():
		tr.add(normal{0, perFlowSD}, func(i int) float64 {
			flow, _ := b.at(points[i]).flow(at[i])
			return tr.full * math.Log(flow)
		})
		tr.add(normal{0, bandMiddle}, func(i int) float64 {
			return tr.full * b.at(points[i]).answers(at[i])
		})
	}
}

// raised writes down by how much each condenser's difference lies above that of the clean
// coil where fans hold head pressure up.
func (b band) raised(points []point) []point {
	if !b.holds() {
		return points
	}
	var open []float64
	for _, p := range points {
		if !math.IsNaN(p.values[atCondenser]) {
			open = append(open, b.at(&p).opened(p.values[atCondenser], p.condensing))
		}
	}
	if len(open) == 0 {
		return points
	}
	usual := sound(open)
	points = slices.Clone(points)
	for i := range points {
		if p := &points[i]; !math.IsNaN(p.values[atCondenser]) {
			p.raised = p.values[atCondenser] - b.at(p).clean(usual, p.entering())
		}
	}
	return points
}

// sound is what a coil's logarithm was while it was well: about the lowest of the record, or
// as at first, since hardly anything but a repair lowers it.
func sound(open []float64) float64 {
	open = slices.DeleteFunc(slices.Clone(open), math.IsNaN)
	if len(open) == 0 {
		return math.Log(leastDifference) // held all the time
	}
	low, _ := robust.Quantile(open, 0.3)
	first, _ := robust.Median(open[:min(len(open), leastTrack+1)])
	return math.Min(low, first)
}

// passes lets a coil follow the heat that passes. Where that is not known it counts as what
// it mostly is at such an outdoor temperature, and the value as so much less sure.
func (tr *track) passes(c *coil, points []*point) {
	heat := tr.blank()
	for i, p := range points {
		heat[i] = c.heat(p)
	}
	was := slices.Clone(heat)
	also := c.blind
	if tr.banded {
		also = c.slow
	}
	if sd, ok := filled(heat, points); ok {
		also = c.knows
		m, _ := robust.Median(heat)
		tr.add(normal{c.per.mean * tr.full, c.per.sd * tr.full}, func(i int) float64 { return heat[i] - m })
		for i := range points {
			if heat[i] != was[i] {
				tr.unsure[i] = math.Hypot(tr.unsure[i], c.per.mean*tr.full*tr.unit[i]*sd)
			}
		}
	}
	for _, f := range also {
		tr.follow(f, points)
	}
}
