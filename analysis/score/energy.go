package score

import (
	"math"
	"slices"
	"strings"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/table"
)

// Energy is how good the comparison of electricity and heat is, of the whole fleet and
// by what a figure rests on: the heat meter, or the class of the instruments.
type Energy struct {
	EnergyFigures
	ByClass map[string]EnergyFigures `json:"by_class"`
}

// EnergyFigures are those of a part of the fleet. Errors are in %.
type EnergyFigures struct {
	SeasonalCOP    Share  `json:"seasonal_cop"`     // seasons whose 90 % interval holds the true COP; by system
	SystemsCOP     Share  `json:"systems_cop"`      // the same with each system counted once, as the share of its seasons: of n systems
	SeasonalError  Spread `json:"seasonal_error"`   // size of the error of the seasonal COP
	ChangeWithin   Share  `json:"change_within"`    // changes between seasons, instruments unchanged, within 3 % of the true one
	ChangeError    Spread `json:"change_error"`     // size of the error of these changes
	ToldApart      Share  `json:"told_apart"`       // pairs of a group truly 10 % apart or more that are told apart, the right way round
	FalseApart     Share  `json:"false_difference"` // pairs truly within 2 % that are told apart, or any told the wrong way round
	SavingCovered  Share  `json:"saving_covered"`   // 90 % intervals of savings that hold what was truly avoided
	SavingRelative Number `json:"saving_width"`     // median of their width over that of the oracle's
	SavingAlike    Number `json:"saving_alike"`     // the same over the oracle's where that is widened until it holds nine of ten
	SavingOracle   Share  `json:"saving_oracle"`    // the oracle's own intervals that hold it
	SavingTold     Share  `json:"saving_told"`      // intervals that hold it of somebody who is told the course of every fault
	SavingBound    Number `json:"saving_bound"`     // median of the width of the method's over that of theirs
	BoundAlike     Number `json:"bound_alike"`      // the same over theirs where that is widened until it holds nine of ten
}

// laboratoryOrMeter is the class of the best figures: the two are judged as one.
const laboratoryOrMeter = "laboratory or heat meter"

// restsOn is the class of a figure by its route and the system's instruments.
func restsOn(route, class string) string {
	if route == "heat meter" || class == "laboratory" {
		return laboratoryOrMeter
	}
	return class + " instruments"
}

// An energySight is what the score keeps of a system's energy.
type energySight struct {
	seasons []energyCase
	changes []energyCase
	savings []energyCase
	year    map[energyKind]bins // what its latest year truly took and gave
}

// An energyCase is a figure with its error, and whether its interval holds the truth.
type energyCase struct {
	class string
	off   float64 // error, %
	holds bool
	width float64 // of its interval over the oracle's

	oracle, told float64 // how many halves of its interval the oracle is off what a saving was, and somebody who is told
	toldWidth    float64 // of its interval over theirs
}

// An energyKind is what true figures are told apart by.
type energyKind struct {
	heats, fans bool // fans count as well
}

// kindOf is that of a mode and a boundary in the tables' words.
func kindOf(mode, boundary string) energyKind {
	return energyKind{mode == "heating", boundary != "compressor"}
}

// energy holds a system's seasons and savings against the truth.
func (v view) energy() energySight {
	days := v.energyDays()
	k := energySight{year: map[energyKind]bins{}}
	if len(days) == 0 {
		return k
	}
	for _, heats := range []bool{false, true} {
		for _, fans := range []bool{false, true} {
			k.year[energyKind{heats, fans}] = binsOf(lastYear(days), energyKind{heats, fans})
		}
	}
	for _, s := range v.Seasons {
		if s.What == "season" {
			v.season(&k, s, days)
		}
	}
	for _, s := range v.Savings {
		if c, ok := v.saving(s, days); ok {
			k.savings = append(k.savings, c)
		}
	}
	return k
}

// energyDays are the true days of a system's permanent logs, in time order.
func (v view) energyDays() (days []truth.EnergyDay) {
	for _, f := range v.files {
		days = append(days, f.Energy...)
	}
	slices.SortStableFunc(days, func(a, b truth.EnergyDay) int { return a.Day.Compare(b.Day) })
	return days
}

// season adds one season: its COP, and its change against the one before.
func (v view) season(k *energySight, s table.Season, days []truth.EnergyDay) {
	kind, class := kindOf(s.Mode, s.Boundary), restsOn(s.Route, v.class)
	now := between(days, s.From, s.To)
	is := binsOf(now, kind).total().cop()
	if !(is > 0) || math.IsNaN(s.COP) {
		return
	}
	k.seasons = append(k.seasons, energyCase{class: class, off: 100 * (s.COP/is - 1), holds: s.COPLo <= is && is <= s.COPHi})
	if math.IsNaN(s.Change) || strings.Contains(s.Note, "other instruments") {
		return
	}
	before := between(days, s.From.AddDate(-1, 0, 0), s.To.AddDate(-1, 0, 0))
	if change := 100 * (ratio(binsOf(now, kind), binsOf(before, kind)) - 1); !math.IsNaN(change) {
		k.changes = append(k.changes, energyCase{class: class, off: s.Change - change, holds: s.ChangeLo <= change && change <= s.ChangeHi})
	}
}

// changeWithin is by how much a change between seasons may be off, %.
const changeWithin = 3.0

// energy is the score of the comparison of energy; of systems without a permanent log
// nothing is true by the day, and all of it absent.
func (f fleet) energy(rankings []table.Ranking) Energy {
	pairs := f.pairs(rankings)
	e := Energy{EnergyFigures: f.figures("", pairs), ByClass: map[string]EnergyFigures{}}
	for _, class := range f.energyClasses() {
		e.ByClass[class] = f.figures(class, pairs)
	}
	return e
}

func (f fleet) energyClasses() (classes []string) {
	for _, s := range f.subjects {
		for _, c := range slices.Concat(s.use.seasons, s.use.savings) {
			classes = append(classes, c.class)
		}
	}
	slices.Sort(classes)
	return slices.Compact(classes)
}

// figures are those of a class, or of all where it is empty.
func (f fleet) figures(class string, pairs []pair) EnergyFigures {
	var held, within, covered, oracle, known tally
	var errors, changes, widths, bounds, guesses, toldOff []float64
	is := func(c energyCase) bool { return class == "" || c.class == class }
	for _, s := range f.subjects {
		for _, c := range s.use.seasons {
			if is(c) {
				held.add(s.ID, one(c.holds), 1)
				errors = append(errors, math.Abs(c.off))
			}
		}
		for _, c := range s.use.changes {
			if is(c) {
				within.add(s.ID, one(math.Abs(c.off) <= changeWithin), 1)
				changes = append(changes, math.Abs(c.off))
			}
		}
		for _, c := range s.use.savings {
			if is(c) {
				covered.add(s.ID, one(c.holds), 1)
				widths = append(widths, c.width)
				oracle.add(s.ID, one(c.oracle <= 1), 1)
				guesses = append(guesses, c.oracle)
				if c.toldWidth > 0 {
					known.add(s.ID, one(c.told <= 1), 1)
					bounds, toldOff = append(bounds, c.toldWidth), append(toldOff, c.told)
				}
			}
		}
	}
	out := EnergyFigures{
		SeasonalCOP: held.share(), SystemsCOP: held.mean(), SeasonalError: spread(errors), ChangeWithin: within.share(), ChangeError: spread(changes),
		SavingCovered: covered.share(), SavingRelative: median(widths), SavingAlike: alike(widths, guesses), SavingOracle: oracle.share(),
		SavingTold: known.share(), SavingBound: median(bounds), BoundAlike: alike(bounds, toldOff),
	}
	out.ToldApart, out.FalseApart = told(pairs, class)
	return out
}

// alike is the median of widths over those of others whose intervals are widened until they hold
// nine of ten, from how many halves of theirs they are off: intervals that do not keep their
// promise are narrow for nothing.
func alike(widths, off []float64) Number {
	return median(widths) / max(1, quantile(off, 0.9))
}

func one(yes bool) int {
	if yes {
		return 1
	}
	return 0
}
