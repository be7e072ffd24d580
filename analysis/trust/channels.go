package trust

import (
	"fmt"
	"iter"
	"math"
	"slices"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
)

// built are the channels that tell how a machine is built: a compressor of one speed has none,
// an air-cooled condenser no water, a machine without receiver no level in it.
var built = [...]cycle.Quantity{cycle.Speed, cycle.ReceiverLevel, cycle.SinkInlet, cycle.SourceInlet, cycle.EvaporatorAirOn, cycle.EvaporatorAirOff}

// How often a channel of them is logged that no visit before had, and one is missing that all
// of them had, at the machine itself and at another. Engineering choice, no source.
const (
	newHere      = 0.02
	newElsewhere = 0.3
	goneHere     = 0.15
	goneThere    = 0.5
	fewestSeen   = 3 // visits before
)

// own are the visits that tell of the machine itself: not another machine's log.
func own(visits []Facts) iter.Seq[*Facts] {
	return func(yield func(*Facts) bool) {
		for i := range visits {
			if v := &visits[i]; len(v.Mean) > 0 && !v.says("D32") && !yield(v) {
				return
			}
		}
	}
}

// strangeChannels is how many times likelier a visit's channels are at another machine.
func (h history) strangeChannels() float64 {
	times := 1.0
	for _, q := range built {
		seen, of := 0, 0
		for v := range own(h.all) {
			of++
			seen += count(!math.IsNaN(v.mean(q)))
		}
		has := !math.IsNaN(h.now.mean(q))
		switch {
		case of < fewestSeen:
		case has && seen == 0:
			times *= newElsewhere / newHere
		case !has && seen == of:
			times *= goneThere / goneHere
		}
	}
	return times
}

func count(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// unlogged says that the outdoor temperature is missing, which all visits before had: machines
// between two waters run without it, and their results follow the weather all the same.
func (h history) unlogged() {
	if h.now.Day || !math.IsNaN(h.now.mean(cycle.OutdoorTemp)) || h.now.says("D23") || h.now.hides(cycle.OutdoorTemp) {
		return
	}
	of := 0
	for v := range own(h.all) {
		if of++; math.IsNaN(v.mean(cycle.OutdoorTemp)) && !v.says("D23") {
			return
		}
	}
	if of > 0 {
		h.now.doubt(Doubt{
			Rule: "D23", Channels: about(cycle.OutdoorTemp), Evidence: fmt.Sprintf("outdoor_temp was not logged, and was at each of the %d visits before: the weather cannot be taken out of comparisons", of),
			Remedy: "log it at the next visit",
		})
	}
}

// A log in which nearly everything is impossible, of a machine of which nothing was, is
// another machine's, in whatever mode that one ran.
const (
	strangeAll    = 25.0 // sum of squares beyond the bands of what machines show
	strangeBefore = 2.0  // the same of the visits before, on the median
)

// elsewhere says that a log is another machine's where no mistake explains how far it is from
// what any machine shows with this refrigerant.
func (h history) elsewhere() {
	if h.now.says("D32") || len(h.all) < fewestBefore || h.goesOn() || h.explained() {
		return
	}
	now := h.now.implausibility()
	var before []float64
	for v := range own(h.all) {
		before = append(before, v.implausibility())
	}
	usual, err := robust.Median(before)
	if low := h.now.lowSide(); err != nil || low == 0 || h.all[len(h.all)-1].implausibility() > now/2 || len(before) < fewestBefore || now < strangeAll || usual > strangeBefore {
		return
	}
	h.now.drop(append([]string{"D5", "D7", "D10", "D14"}, weak...)...)
	h.now.doubt(Doubt{
		Rule: "D32", Hides: true,
		Evidence: fmt.Sprintf("with %s it would have superheat %.1f K, subcooling %.1f K, %.1f K between evaporating and the medium, and %.1f K between condensing and the medium: no machine has, nor had this one at %d visits before",
			h.system.RefrigerantName, h.now.mean(cycle.Superheat), h.now.mean(cycle.Subcooling), h.now.mean(cycle.EvaporatorTD), h.now.mean(cycle.CondenserTD), len(before)),
		Remedy: foreignRemedy,
	})
}

// explained tells whether a mistake that was said explains impossible values by itself. Other
// units of temperature do where the pressures are the machine's own.
func (h history) explained() bool {
	return slices.ContainsFunc(h.now.Doubts, func(d Doubt) bool {
		switch d.Rule {
		case "D1", "D2":
			return true
		case "D5":
			return h.ownPressure()
		}
		return d.Hides && !slices.Contains(weak, d.Rule)
	})
}

// sameEvaporating is within what of the machine's usual one a log's evaporating temperature is
// its own, K.
const sameEvaporating = 15.0

// ownPressure tells whether the evaporating temperature is what the machine's visits show.
func (h history) ownPressure() bool {
	var x []float64
	for i := range h.all {
		if v := h.all[i].mean(cycle.Evaporating); !math.IsNaN(v) && !h.all[i].hides(cycle.Evaporating) {
			x = append(x, v)
		}
	}
	m, err := robust.Median(x)
	return err != nil || !(math.Abs(h.now.mean(cycle.Evaporating)-m) > sameEvaporating)
}

// implausibility is that of a visit's means.
func (f *Facts) implausibility() float64 {
	row := cycle.NewRow()
	for q := cycle.Quantity(0); q < cycle.Quantities; q++ {
		row[q] = f.mean(q)
	}
	return implausibility(&row)
}

// lowSide is the implausibility of superheat and of what is cooled over evaporating: gas in the
// condenser, or a fan that fails, moves the high side alone.
func (f *Facts) lowSide() float64 {
	row := cycle.NewRow()
	row[cycle.Superheat], row[cycle.EvaporatorTD] = f.mean(cycle.Superheat), f.mean(cycle.EvaporatorTD)
	return implausibility(&row)
}
