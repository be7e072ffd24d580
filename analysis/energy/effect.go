package energy

import (
	"math"
	"slices"

	"rimelog/analysis/robust"
)

// An effect is how much more electricity a machine used before an event than after it, at
// each outdoor temperature. Days before and after are told together: all of them by a line
// over temperature that may bend every few kelvin, and those before by a further such line,
// times how far what the event ended had come by the day (growth). A mean of the days before
// would take a fault for half of what it was in the end. The machine may meanwhile have
// changed for another reason, which the event did not end (change): a condenser is cleaned
// while charge leaks, and what that costs more after the event is no saving less.
type effect struct {
	mixture  *robust.Mixture
	dayTypes bool
	low, top float64   // outdoor temperature that was seen often enough before, °C
	knots    []float64 // where the line of all days may bend
	turns    []float64 // where that of the effect may
	on       int       // day of the event
	ground   *Model    // of the days before, of which a share goes with each kelvin of the ground; nil where heat comes from the air
	unit     float64   // kWh of all electricity, in what is believed of a loose column
	curve    float64   // by how much a column of a bend counts less, so that the effect's bends together are as large as is believed
	growths  []growth
	changes  []change
}

// bendEvery is how far apart the places are where a line may bend, K.
const bendEvery = 3.0

// effectOf tells the effect of an event on a day from the days before, of which there is a model,
// and after it.
func effectOf(on int, before, after []Observation, dayTypes bool, m *Model) (*effect, error) {
	before, after = inOrder(before), inOrder(after)
	all := slices.Concat(before, after)
	e := &effect{dayTypes: dayTypes && bothTypes(all), on: on}
	if slices.ContainsFunc(all, func(o Observation) bool { return o.Ground != 0 }) {
		e.ground = m
	}
	e.low, e.top = rangeOf(before)
	low, top := rangeOf(all)
	e.knots, e.turns = places(low, top), places(e.low, e.top)
	e.curve = e.curveOf(before)
	e.growths = growths(float64(on - before[0].Day))
	e.changes = changes(before[0].Day, on, all[len(all)-1].Day)
	err := e.fit(all, len(before), m.noise())
	return e, err
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

// fit weighs every growth with every change; the first days are those before the event. Noise
// is the scatter of a day, for the size of changes.
func (e *effect) fit(days []Observation, before int, noise float64) error {
	var y []float64
	var at []int
	mean := 0.0
	for _, o := range days {
		y, at, mean = append(y, o.Y), append(at, o.Day), mean+o.Y/float64(len(days))
	}
	e.unit = mean / (robust.LooseSpread * noise)
	m := robust.NewMixed(y, at, e.columns(days, before))
	grown := make([][]*robust.Mixture, len(e.changes)) // of each change, by growth
	for k := range e.growths {
		models, err := m.Fit(e.design(k))
		if err != nil {
			return err
		}
		for i, x := range models {
			grown[i] = append(grown[i], x)
		}
	}
	e.mixture = e.pool(grown)
	return nil
}

// pool weighs models of each change, by growth.
func (e *effect) pool(grown [][]*robust.Mixture) *robust.Mixture {
	var slow, sudden []*robust.Mixture
	for i, g := range grown {
		once := 1 + len(suddenDays)
		m := robust.Pool(trust, growthBelief, g[0], g[once:]...)
		m = robust.Pool(trust, onceBelief, m, g[1:once]...)
		if i == 0 || !e.changes[i].sudden() {
			slow = append(slow, m)
		} else {
			sudden = append(sudden, m)
		}
	}
	return robust.Pool(trust, suddenBelief, robust.Pool(trust, slowBelief, slow[0], slow[1:]...), sudden...)
}

// columns are those of all models: the line, its bends, each growth times what the effect
// counts, each change.
func (e *effect) columns(days []Observation, before int) [][]float64 {
	columns := make([][]float64, e.width())
	for k := range columns {
		columns[k] = make([]float64, len(days))
	}
	for i, o := range days {
		row := e.line(o)
		for _, g := range e.growths {
			come := 0.0
			if i < before {
				come = g.at(float64(e.on - o.Day))
			}
			row = append(row, e.counts(o, come)...)
		}
		for _, c := range e.changes {
			x := c.at(o.Day) * changeSpread * e.unit
			row = append(row, x, x*e.of(o))
		}
		for k, v := range row {
			columns[k][i] = v
		}
	}
	return columns
}

// of is where a day's temperature lies between the bounds, from -1 to 1.
func (e *effect) of(o Observation) float64 { return (2*o.Temp - e.low - e.top) / (e.top - e.low) }

// line is what a day counts in the line of all days, in its bends, and by the ground.
func (e *effect) line(o Observation) []float64 {
	row := []float64{1, e.of(o)}
	switch {
	case e.dayTypes && o.Other:
		row = append(row, 1)
	case e.dayTypes:
		row = append(row, 0)
	}
	row = append(row, bends(o.Temp, 1, e.knots)...)
	if e.ground != nil {
		row = append(row, o.Ground*e.ground.Value(o))
	}
	return row
}

// counts is what a day counts in the effect, as far as that had come.
func (e *effect) counts(o Observation, come float64) []float64 {
	size := come * effectSpread * e.unit
	return append([]float64{size, size * e.of(o)}, bends(o.Temp, size*e.curve, e.turns)...)
}

// curveOf is bendSpread over effectSpread, for bends that are one together in the mean of
// days: in the root of the mean of their squares.
func (e *effect) curveOf(days []Observation) float64 {
	square := 0.0
	for _, o := range days {
		for _, x := range bends(o.Temp, 1, e.turns) {
			square += x * x / float64(len(days))
		}
	}
	return bendSpread / effectSpread / math.Sqrt(math.Max(square, 1e-300))
}

func bends(temp, times float64, at []float64) (row []float64) {
	for _, k := range at {
		row = append(row, times*pos(temp-k))
	}
	return row
}

// fixed is how many columns have no belief: the line, and the day's type.
func (e *effect) fixed() int {
	if e.dayTypes {
		return 3
	}
	return 2
}

// straight is how many columns are of the line and its bends, common how many with the ground's.
func (e *effect) straight() int { return e.fixed() + len(e.knots) }
func (e *effect) common() int {
	if e.ground != nil {
		return e.straight() + 1
	}
	return e.straight()
}

// growth is the first column of a growth; change that of a change.
func (e *effect) growth(k int) int { return e.common() + k*(2+len(e.turns)) }
func (e *effect) change(k int) int { return e.growth(len(e.growths)) + 2*k }
func (e *effect) width() int       { return e.change(len(e.changes)) }

// design is the models of a growth, one for each change.
func (e *effect) design(growth int) robust.Design {
	from := e.growth(growth)
	d := robust.Design{
		Fixed: upTo(0, e.fixed()), Loose: upTo(from, e.growth(growth+1)),
		Bundles: [][]int{upTo(e.fixed(), e.straight())},
	}
	if e.ground != nil {
		d.Bundles = append(d.Bundles, upTo(e.straight(), e.common()))
	}
	for i := range e.changes {
		d.Last = append(d.Last, upTo(e.change(i), e.change(i+1)))
	}
	return d
}

// upTo are the whole numbers from one to below another.
func upTo(from, to int) (list []int) {
	for k := from; k < to; k++ {
		list = append(list, k)
	}
	return list
}

// How far days are trusted to tell how the fault came and whether the machine changed
// besides, as a power of their likelihood, and what they do not tell at all, as standard
// uncertainties: the same machine in the same weather uses more or less in another half-year
// for what nobody logs, more so where heat comes from the ground; and a fault costs something
// else on days of other load, and beside other faults, than on those on which it was seen, the
// larger it is. Engineering choices, no source: the lines are wrong by more than the scatter of a
// good meter, and season and age of a fault go together, so that likelihoods alone would name one
// way of growing and be wrong by several of their own standard errors. Intervals with this trust
// hold the truth of drawn years, with faults that were there and faults that came, as often as
// they say. Machines of invented fleets that have several faults at a time and hardly scatter
// were off by about a percent of the electricity, ground heat pumps by 3, and an air conditioner
// that had lost half of its charge for nine days, which cost a quarter, by 3 as well.
const (
	trust       = 0.6
	otherDoubt  = 0.008 // of the electricity
	groundDoubt = 0.02  // of the electricity
	effectDoubt = 0.4   // of the effect, times its share of the electricity
)

// avoided is what some days after the event would have used more had it not been, and its
// standard uncertainty.
func (e *effect) avoided(days []Observation) (kwh robust.Total, u float64) {
	times := make([]float64, e.width())
	used := 0.0
	for _, o := range days {
		used += o.Y
		for k := range e.growths {
			for i, v := range e.counts(o, 1) {
				times[e.growth(k)+i] += v
			}
		}
	}
	mean, u := e.mixture.Sum(times)
	untold := e.untold(mean, used)
	return e.mixture.Total(times, untold), math.Hypot(u, untold)
}

// untold is the standard uncertainty of an effect by what days do not tell.
func (e *effect) untold(effect, used float64) float64 {
	other := otherDoubt
	if e.ground != nil {
		other = groundDoubt
	}
	return math.Hypot(other*used, effectDoubt*effect*effect/used)
}
