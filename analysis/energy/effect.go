package energy

import (
	"math"
	"slices"

	"rimelog/analysis/robust"
)

// An effect is how much more electricity a machine used before an event than after it, at
// each outdoor temperature. Days before and after are told together: all of them by a line
// over temperature that may bend every few kelvin, and those before by a further such line,
// times how far what the event ended had come by the day. That may have been there all
// along, or have grown from some day on, in proportion or ever faster: a coil fouls over
// months, and on cold days, when head pressure is held up, nothing shows of it. A mean of
// the days before would take a fault for half of what it was in the end.
type effect struct {
	mixture  *robust.Mixture
	dayTypes bool
	low, top float64   // outdoor temperature that was seen often enough before, °C
	knots    []float64 // where the line of all days may bend
	turns    []float64 // where that of the effect may
	last     int       // day before the event
}

// bendEvery is how far apart the places are where a line may bend, K.
const bendEvery = 3.0

// A growth is how what an event ended may have come.
type growth struct {
	days  float64 // before the event on which it began; infinite: it was there all along
	power float64 // of the share of these days that had gone by
}

// growths are those that are tried, for days that reach back so far: beginnings within them
// and before, even and ever faster (engineering choices, no source: what a coil costs grows
// faster than its loss of air, a lost charge costs nothing until the reserve is gone).
func growths(reach float64) (out []growth) {
	for _, share := range []float64{0.3, 0.45, 0.65, 1, 1.5, 3, 8} {
		out = append(out, growth{share * reach, 1}, growth{share * reach, 1.7}, growth{share * reach, 3})
	}
	return out
}

// always is the growth of what was there all along.
var always = growth{math.Inf(1), 1}

// at is how far it had come, as a share, some days before the event.
func (g growth) at(ago float64) float64 { return math.Pow(pos(1-ago/g.days), g.power) }

// effectOf tells the effect of an event from the days before and after it.
func effectOf(before, after []Observation, dayTypes bool) (*effect, error) {
	before, after = inOrder(before), inOrder(after)
	all := slices.Concat(before, after)
	e := &effect{dayTypes: dayTypes && bothTypes(all), last: before[len(before)-1].Day}
	e.low, e.top = rangeOf(before)
	low, top := rangeOf(all)
	e.knots, e.turns = places(low, top), places(e.low, e.top)
	var y []float64
	var at []int
	for _, o := range all {
		y, at = append(y, o.Y), append(at, o.Day)
	}
	fit := func(g growth) (*robust.Mixture, error) {
		m := e.design(all, len(before), g)
		m.Y, m.At = y, at
		return robust.FitMixed(m)
	}
	steady, err := fit(always)
	if err != nil {
		return e, err
	}
	var grown []*robust.Mixture
	for _, g := range growths(float64(e.last - before[0].Day)) {
		mixture, err := fit(g)
		if err != nil {
			return e, err
		}
		grown = append(grown, mixture)
	}
	e.mixture = robust.Pool(growthTrust, steady, grown...)
	return e, nil
}

func inOrder(days []Observation) []Observation {
	days = slices.Clone(days)
	slices.SortStableFunc(days, func(a, b Observation) int { return a.Day - b.Day })
	return days
}

// places are where a line between two temperatures may bend.
func places(low, top float64) (at []float64) {
	for k := low + bendEvery; k < top-bendEvery/2; k += bendEvery {
		at = append(at, k)
	}
	return at
}

// design is the model under a growth; the first days are those before the event.
func (e *effect) design(days []Observation, before int, g growth) robust.Mixed {
	columns := make([][]float64, e.width())
	for i, o := range days {
		come := 0.0
		if i < before {
			come = g.at(float64(e.last - o.Day))
		}
		for k, v := range e.row(o, 1, come) {
			columns[k] = append(columns[k], v)
		}
	}
	fixed := e.fixed()
	bends := fixed + 2
	turns := bends + len(e.knots)
	return robust.Mixed{Fixed: columns[:fixed], Loose: columns[fixed:bends], Bundles: [][][]float64{columns[bends:turns], columns[turns:]}}
}

// fixed is how many columns have no belief: the line, and the day's type.
func (e *effect) fixed() int {
	if e.dayTypes {
		return 3
	}
	return 2
}

func (e *effect) width() int { return e.fixed() + len(e.knots) + 2 + len(e.turns) }

// row is what a day counts in each column: its line a number of times, and the effect as
// far as it had come.
func (e *effect) row(o Observation, times, come float64) []float64 {
	middle, half := (e.low+e.top)/2, (e.top-e.low)/2
	t := (o.Temp - middle) / half
	row := []float64{times, times * t}
	if e.dayTypes {
		other := 0.0
		if o.Other {
			other = times
		}
		row = append(row, other)
	}
	row = append(row, come, come*t)
	for _, k := range e.knots {
		row = append(row, times*pos(o.Temp-k))
	}
	for _, k := range e.turns {
		row = append(row, come*pos(o.Temp-k))
	}
	return row
}

// How far days are trusted to tell how the fault came, as a power of their likelihood, and
// what they do not tell at all, as a standard uncertainty: the same machine in the same
// weather uses more or less in another half-year for what nobody logs. Engineering choices,
// no source: the lines are wrong by more than the scatter of a good meter, and season and
// age of a fault go together, so that likelihoods alone would name one way of growing and
// be wrong by several of their own standard errors. Intervals with this trust hold the truth
// of drawn years, with faults that were there and faults that came, as often as they say.
const (
	growthTrust = 0.6
	otherDoubt  = 0.0015 // of the electricity
)

// avoided is what some days after the event would have used more had it not been, and its
// standard uncertainty.
func (e *effect) avoided(days []Observation) (kwh, u float64) {
	total := make([]float64, e.width())
	used := 0.0
	for _, o := range days {
		used += o.Y
		for k, v := range e.row(o, 0, 1) {
			total[k] += v
		}
	}
	kwh, u = e.mixture.Sum(total)
	return kwh, math.Hypot(u, otherDoubt*used)
}
