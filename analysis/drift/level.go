package drift

import (
	"maps"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// Level is the gauge of a receiver: its liquid level, percent of the receiver. What a
// machine with a receiver loses is gone there first, and nowhere else until it is empty.
const Level = "receiver_level_pct"

// receiverLevel is the gauge of a system's receiver. It stands where whoever filled it left
// it, and follows outdoor temperature and load: liquid goes to and fro between receiver,
// condenser and evaporator, farthest where head pressure is held up by flooding the
// condenser (common practice, no source). Its sensor is the machine's own: no set of
// instruments brings another.
func receiverLevel(s register.System) gauge {
	swing := 1.0
	if s.HeadPressureControl != table.No {
		swing = 2
	}
	return gauge{
		column: Level, of: func(p *point) float64 { return p.level }, doubt: func(*point) float64 { return sensorOff },
		level: normal{50, 20}, scatter: usualScatter(Level), wild: 20, drifts: 1,
		follows: append(season(6*swing, 3*swing, 5*swing), influence{evaporating, normal{0, 4}, true}, influence{condensing, normal{0, 5}, true}),
		voids:   mends,
	}
}

// sensorOff is what a level sensor may be off with one set of instruments and not with
// another: nothing but the logger's own input, %.
const sensorOff = 0.5

func condensing(p *point) float64 { return p.condensing / 10 }

// levelled adds to faults how each moves the level of a receiver, where that is logged.
// Receivers hold from a quarter to half of the charge, half full: losses of some 5 to 25 %
// of the charge a year are as many percent of the level and more. Until the receiver is
// empty nothing else moves (common practice, no source).
func levelled(list []fault) []fault {
	for i := range list {
		f := &list[i]
		f.moves = maps.Clone(f.moves)
		switch {
		case f.kind == ChargeLoss && f.form == slow:
			f.moves[Level] = tells(-15, 10, -1, 0.02)
		case f.kind == ChargeLoss:
			f.moves[Level] = tells(-20, 15, -1, 0.05)
		case f.kind == Overcharge:
			f.moves[Level] = tells(15, 10, 1, 0.05)
		case f.kind == Unclear:
			f.moves[Level] = tells(0, 6*f.moves[Subcooling].sd, 0, 0.6)
		default:
			f.moves[Level] = speaks(0, 4, 0, 0.5)
		}
		if f.kind != ChargeLoss {
			continue
		}
		for _, g := range []string{Subcooling, Superheat, EvaporatorTD} {
			f.moves[g] = f.moves[g].staying(untilEmpty)
		}
	}
	return list
}

// levelEffect is the fall of the level that is worth a visit, %: from a receiver that is half
// full about a tenth of what it holds, 3 to 5 % of the charge. A loss that is sure is worth as
// much wherever it shows: it is gas in the air, and goes on (see lossEffect). How far weather,
// load and the sensor move the level is in its scatter, which limits ask for as well.
const levelEffect = 4.0

// MeasuredIn is the unit of a feature, by its column in visits, and of its changes.
func MeasuredIn(feature string) string {
	if feature == Level {
		return "%"
	}
	return "K"
}

// empty is the level below which a receiver holds nothing, %.
const empty = 2.0

// untilEmpty is how often a loss shows in the receiver alone.
const untilEmpty = 0.9
