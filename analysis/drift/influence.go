package drift

import (
	"math"

	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
)

// An influence is what a gauge follows, and by how much per unit.
type influence struct {
	of       func(*point) float64
	per      normal
	relative bool // counts from its middle in the record; a gap counts as the middle
}

// season is what a gauge follows outdoors, per 10 K: a line that may bend where head
// pressure control lets go.
func season(line, ten, twenty float64) []influence { return tilted(normal{0, line}, ten, twenty) }

// tilted is a season of which it is known how far the line leans.
func tilted(line normal, ten, twenty float64) []influence {
	return []influence{
		{func(p *point) float64 { return (p.outdoor - 15) / 10 }, line, false},
		{func(p *point) float64 { return math.Max(0, p.outdoor-10) / 10 }, normal{0, ten}, false},
		{func(p *point) float64 { return math.Max(0, p.outdoor-20) / 10 }, normal{0, twenty}, false},
	}
}

// tilt is how far subcooling follows outdoor temperature, K per 10 K, while the charge stays:
// as it gets warmer the evaporator holds more gas and liquid, which a condenser that is small
// against it misses; one of an air-cooled chiller is large, and its difference grows with the
// load (mass balances of plants with usual coils; no published source).
func tilt(s register.System) normal {
	switch s.Kind {
	case register.KindUnknown:
		return normal{0, 3}
	case register.AirHeatPump:
		return normal{-3.5, 1.5}
	case register.GroundHeatPump, register.WaterHeatPump:
		return normal{-2, 1.5}
	case register.Chiller:
		return normal{0.5, 1.2}
	}
	return normal{-1, 1.2}
}

// feeds is how far superheat follows outdoor temperature and room, per 10 and 5 K: a
// valve holds it, a fixed opening does not.
func feeds(s register.System) float64 {
	if controls(s) {
		return 2
	}
	return 5
}

// controls tells whether the expansion device is a valve that holds superheat.
func controls(s register.System) bool {
	return s.Expansion == register.Thermostatic || s.Expansion == register.Electronic
}

// modes is what tells the modes of a machine apart: a heat pump's condenser follows
// its water, and a reversed unit is another machine.
func modes(s register.System) []influence {
	switch {
	case s.Kind.Heats():
		return []influence{{func(p *point) float64 { return p.entering() / 10 }, normal{0, 1.5}, true}}
	case s.Kind == register.AirConditioning:
		return []influence{{reversed, normal{0, 5}, false}, {reversedWeather, normal{0, 2}, false}}
	case s.Kind == register.KindUnknown:
		return []influence{{reversed, normal{0, 5}, false}}
	}
	return nil
}

// reverses tells whether a system may be an air conditioner that heats as well.
func reverses(s register.System) bool {
	return s.Kind == register.AirConditioning || s.Kind == register.KindUnknown
}

// reversed tells whether an air conditioner heated: its log says so, or it evaporated well
// below cold outdoor air, or condensed far above it.
func reversed(p *point) float64 {
	cold := p.outdoor < 12 && p.evaporating < p.outdoor-5.5
	far := p.outdoor < 18 && p.condensing > 42 && p.condensing > p.outdoor+25
	return is(p.heats || cold || far)
}

// heated tells whether a machine that can heat did so: its coils have then changed places.
func heated(can bool, p *point) bool { return can && reversed(p) > 0 }

// reversedWeather is how warm it is outdoors, per 10 K, where the machine heats from there.
func reversedWeather(p *point) float64 { return reversed(p) * (p.outdoor - 5) / 10 }

func is(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

func evaporating(p *point) float64 { return p.evaporating / 5 }

// condenserTD is the condenser's difference as weather and load make it. What it lies above
// that counts as far as readings of pressure err, which move subcooling as well.
func condenserTD(p *point) float64 {
	return (p.values[atCondenser] - p.raised + math.Max(-pressureErrs, math.Min(pressureErrs, p.raised))) / 5
}

// pressureErrs is how far visits err in condensing temperature, K.
const pressureErrs = 1.0

func room(p *point) float64      { return p.room / 5 }
func superheat(p *point) float64 { return p.values[atSuperheat] / 5 }
func lift(p *point) float64      { return (p.condensing - p.evaporating) / 10 }

// farthest is how many units from its middle an influence is followed.
const farthest = 4

func (tr *track) follow(f influence, points []*point) {
	x := tr.blank()
	for i, p := range points {
		x[i] = f.of(p)
	}
	middle := 0.0
	if f.relative {
		var err error
		if middle, err = robust.Median(x); err != nil {
			return // known at no visit
		}
	}
	tr.add(f.per, func(i int) float64 {
		if math.IsNaN(x[i]) {
			return 0
		}
		return math.Max(-farthest, math.Min(farthest, x[i]-middle))
	})
}
