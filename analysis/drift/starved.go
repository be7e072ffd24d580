package drift

import (
	"math"
	"slices"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// Starved is the kind of finding about an evaporator that gets too little refrigerant where
// what was logged does not tell why. Lost charge, a restriction and a valve that closes too
// far all look like it there; they part before the valve, where subcooling falls under the
// first and rises under the others, and where a receiver keeps subcooling nothing but its
// level or the liquid line itself tells.
const Starved = "starved evaporator"

// starves lists the kinds that starve an evaporator.
var starves = []string{ChargeLoss, Restriction, Valve}

// clearly is the share of the group's probability that one of it has where it is told apart.
const clearly = 0.67

// starved is what rows of one decision say of those kinds together; not ok where none of
// them shows at the evaporator, or one is told apart.
func starved(rows []table.Cause) (c table.Cause, ok bool) {
	odds, sure, p := math.Inf(-1), math.Inf(-1), 0.0
	for _, r := range rows {
		if !slices.Contains(starves, r.Kind) {
			continue
		}
		if odds = logSum(odds, r.Odds); !ok || r.Odds > c.Odds {
			c, ok = r, true
		}
		p += r.Probability
		if !math.IsNaN(r.Sure) {
			sure = math.Max(sure, r.Sure)
		}
	}
	if !ok || c.Size < 0 || c.Feature != Superheat && c.Feature != EvaporatorTD {
		return c, false
	}
	if c.Kind != ChargeLoss && c.Probability > clearly*p {
		return c, false
	}
	nan := math.NaN()
	c.Kind, c.Odds, c.Sure, c.Probability, c.Note, c.CalibratedBy = Starved, odds, sure, math.Min(1-mistaken, p), "", 0
	c.Lost, c.LostLo, c.LostHi, c.LossPct, c.LossPctLo, c.LossPctHi = nan, nan, nan, nan, nan, nan
	return c, true
}

// distinct tells whether a cause is told from those that look like it. Lost charge is where
// subcooling or the receiver shows it; what shows at the evaporator alone is that only behind
// what is known to be a fixed opening, which passes on at once what a valve makes up for. Where a finding is open
// already that looks alike, another is no more than the way this goes on.
func (w *walk) distinct(c table.Cause, d decision) bool {
	switch {
	case c.Kind == ChargeLoss && (c.Feature == Subcooling || c.Feature == Level):
		return true
	case c.Kind == EvaporatorFouling && !d.fed(c):
		return false
	}
	return !w.rivalled(c.Kind) && (c.Kind != ChargeLoss || fixed(w.system))
}

// fed tells whether dirt on an evaporator is told from a line or a valve that lets too little
// through, which widens the coil's difference as well: by what superheat does. So does lost
// charge that would stand in its place, rather than beside it. The next visit may tell, since
// all of them go on.
func (d decision) fed(c table.Cause) bool {
	all := c.Probability + d.cause(Restriction).Probability + d.cause(Valve).Probability
	if lost := d.cause(ChargeLoss).Probability; c.Probability+lost <= 1 {
		all += lost
	}
	return c.Probability > clearly*all
}

// fixed tells whether the register says that the expansion device is a fixed opening.
func fixed(s register.System) bool {
	return s.Expansion == register.Orifice || s.Expansion == register.Capillary
}

// lookAlike are groups of kinds that are mistaken for each other.
var lookAlike = [][]string{starves, {Gas, Overcharge}}

// rivalled tells whether a finding is open that looks like one of a kind. One that names no
// kind gives way to one that does.
func (w *walk) rivalled(kind string) bool {
	for _, group := range lookAlike {
		if !slices.Contains(group, kind) && (kind != Starved || !slices.Contains(group, ChargeLoss)) {
			continue
		}
		for _, other := range group {
			if other != kind && w.open[other] != nil {
				return true
			}
		}
	}
	return false
}

// tellApart closes the finding that names no kind once one is named.
func (w *walk) tellApart(kind string, d decision) {
	if p, ok := find(Starved); ok && slices.Contains(starves, kind) && w.open[Starved] != nil {
		w.close(p, d, "closed: told apart since: "+kind)
	}
}
