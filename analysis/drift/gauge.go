package drift

import (
	"math"
	"slices"
	"time"

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

// An influence is what a gauge follows, and by how much per unit.
type influence struct {
	of       func(*point) float64
	per      normal
	relative bool // counts from its middle in the record; a gap counts as the middle
}

// Efficiency is the gauge of the compressor, in percent; the others have the names of
// their features.
const Efficiency = "isentropic_efficiency"

// gauges lists what is watched at a system.
func gauges(s register.System) []gauge {
	feature := func(k int, level normal, scatter, wild float64, voids func(register.EventKind) bool, follows ...influence) gauge {
		return gauge{
			features()[k].column, func(p *point) float64 { return p.values[k] }, func(p *point) float64 { return p.doubts[k] },
			level, scatter, wild, instrumentDrift, append(follows, modes(s)...), nil, voids,
		}
	}
	of := func(c *coil, g gauge) gauge {
		g.coil = c
		return g
	}
	return []gauge{
		feature(0, normal{6, 4}, 0.5, 6, mends, append(season(3, 1, 2.5), influence{evaporating, normal{0, 1.5}, true}, influence{condenserTD, normal{1, 1}, true})...),
		feature(1, normal{7, 5}, 0.6, 8, mends, append(season(feeds(s), 1, 2), influence{room, normal{0, feeds(s)}, true})...),
		of(condenserCoil(s), feature(2, normal{11, 6}, 0.4, 6, cleans)),
		of(evaporatorCoil(), feature(3, normal{9, 5}, 0.35, 6, cleans)),
		{
			Efficiency, func(p *point) float64 { return 100 * p.efficiency }, func(*point) float64 { return 2 }, normal{65, 10}, 2, 15, 0.5,
			append(season(3, 2, 2), influence{lift, normal{0, 5}, true}, influence{superheat, normal{0, 4}, true}), nil, mends,
		},
	}
}

// instrumentDrift is how far readings drift with their instruments in a year, K: a
// third of what pressure transmitters of service quality may be off.
const instrumentDrift = 0.2

// season is what a gauge follows outdoors, per 10 K: a line that may bend where head
// pressure control lets go.
func season(line, ten, twenty float64) []influence {
	return []influence{
		{func(p *point) float64 { return (p.outdoor - 15) / 10 }, normal{0, line}, false},
		{func(p *point) float64 { return math.Max(0, p.outdoor-10) / 10 }, normal{0, ten}, false},
		{func(p *point) float64 { return math.Max(0, p.outdoor-20) / 10 }, normal{0, twenty}, false},
	}
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
		return []influence{{func(p *point) float64 { return (p.condensing - p.values[2]) / 10 }, normal{0, 1.5}, true}}
	case s.Kind == register.AirConditioning || s.Kind == register.KindUnknown:
		return []influence{{reversed, normal{0, 5}, false}}
	}
	return nil
}

// reversed tells whether an air conditioner heated: its log says so, or it evaporated well
// below cold outdoor air, or condensed far above it.
func reversed(p *point) float64 {
	cold := p.outdoor < 12 && p.evaporating < p.outdoor-5.5
	far := p.outdoor < 18 && p.condensing > 42 && p.condensing > p.outdoor+25
	return is(p.heats || cold || far)
}

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
	return (p.values[2] - p.raised + math.Max(-pressureErrs, math.Min(pressureErrs, p.raised))) / 5
}

// pressureErrs is how far visits err in condensing temperature, K.
const pressureErrs = 1.0

func room(p *point) float64      { return p.room / 5 }
func superheat(p *point) float64 { return p.values[1] / 5 }
func lift(p *point) float64      { return (p.condensing - p.evaporating) / 10 }

// What ends a fault of the circuit, and of the coils.
var (
	mends  = oneOf(register.Repaired, register.PartChanged, register.Install, register.Retrofit)
	cleans = oneOf(register.CoilCleaned, register.PartChanged, register.Install, register.Retrofit)
)

// A track is the record of one gauge, ready to be asked about changes.
type track struct {
	t      []float64 // years since the record's first point
	belief robust.Belief
	fit    *robust.Estimate
	added  []int     // the column of each event that reset; -1 where it is in none
	hidden []stretch // when all there was to lose was used up
	held   []bool    // by value: something else holds it, so that no fault moves it; nil: nothing does
	full   float64   // of a coil: the difference that units are of, K
	banded bool      // fans hold the condensing pressure up, as reckoned with
	unit   []float64 // by value: how far it moves for one that usual ones move by 1; nil: as far
	share  []float64 // by value: what shows of a change of the condensing pressure itself; nil: all
	unsure []float64 // by value: standard uncertainty of what it was reckoned from in place of what was not logged
	sure   []float64 // by value: what it counts, 1 at most
	spare  []float64 // a change's column
}

// leastTrack is how many values a track needs.
const leastTrack = 4

// newTrack puts a gauge's record together; not ok where there is too little of it.
func newTrack(g gauge, all []point, events []register.Event, start time.Time, held band, space *robust.Workspace) (track, bool) {
	var tr track
	points := known(g, all)
	if len(points) < leastTrack {
		return tr, false
	}
	tr.belief = robust.Belief{Wild: wildShare, WildSD: g.wild, Scatter: g.scatter, ScatterWeight: leastTrack, Space: space}
	tr.t, tr.belief.Y = make([]float64, len(points)), make([]float64, len(points))
	tr.unsure = make([]float64, len(points))
	for i, p := range points {
		if g.column == EvaporatorTD {
			tr.unsure[i] = p.guessed
		}
		tr.t[i], tr.belief.Y[i] = float64(p.at.Sub(start))/year, g.of(p)
	}
	level := g.level
	if g.coil != nil {
		tr.exchange(g.coil.in(held), g, points)
		level.mean = 0
	}
	tr.add(level, func(int) float64 { return 1 })
	for _, f := range g.follows {
		tr.follow(f, points)
	}
	if g.coil != nil {
		tr.passes(g.coil, points)
	}
	middle := (tr.t[0] + tr.t[len(tr.t)-1]) / 2
	tr.plainly(normal{0, g.ages(points)}, func(i int) float64 { return tr.t[i] - middle })
	tr.instruments(g, points)
	tr.eras(g, points, events)
	tr.bend()
	tr.believe(g.scatter)
	switch g.column {
	case Subcooling:
		tr.belief.AtMost = upTo(spent, tr.belief.Y) // in mild weather more of the charge is elsewhere
		tr.usedUp(spent, resets(events, start))
	case Level:
		tr.usedUp(empty, resets(events, start))
	}
	var err error
	tr.fit, err = tr.belief.Fit()
	tr.spare = make([]float64, len(tr.t))
	return tr, err == nil
}

// resets are when events that reset came, years since a start.
func resets(events []register.Event, start time.Time) (out []float64) {
	for _, e := range events {
		if e.Kind.Resets() {
			out = append(out, float64(e.Time.Sub(start))/year)
		}
	}
	return out
}

// wildShare is how many visits are believed to be wild.
const wildShare = 0.1

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

// add gives the belief another column of what moves the gauge, if it says anything.
func (tr *track) add(believed normal, of func(i int) float64) {
	tr.plainly(believed, func(i int) float64 { return of(i) * tr.per(i) })
}

// per is how far the gauge moves at a value for one that usual ones move by 1.
func (tr *track) per(i int) float64 {
	if tr.unit == nil {
		return 1
	}
	return tr.unit[i]
}

// believe lets values count less that were reckoned without what was not logged.
func (tr *track) believe(scatter float64) {
	tr.sure = make([]float64, len(tr.t))
	for i, u := range tr.unsure {
		tr.sure[i] = scatter / math.Hypot(scatter, u)
		tr.belief.Y[i] *= tr.sure[i]
	}
	for _, cols := range [][][]float64{tr.belief.Columns, tr.belief.Bend} {
		for _, col := range cols {
			for i := range col {
				col[i] *= tr.sure[i]
			}
		}
	}
}

// plainly gives the belief another column, of what instruments show, if it says anything.
func (tr *track) plainly(believed normal, of func(i int) float64) {
	col := make([]float64, len(tr.t))
	varies := len(tr.belief.Columns) == 0
	for i := range col {
		col[i] = of(i)
		varies = varies || col[i] != col[0]
	}
	if varies {
		tr.belief.Columns = append(tr.belief.Columns, col)
		tr.belief.Mean, tr.belief.SD = append(tr.belief.Mean, believed.mean), append(tr.belief.SD, believed.sd)
	}
}

// farthest is how many units from its middle an influence is followed.
const farthest = 4

func (tr *track) follow(f influence, points []*point) {
	x := make([]float64, len(points))
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

// Bounds of what one set of instruments is believed to be off, K.
const (
	leastOff = 0.3
	mostOff  = 2.0
)

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

// instruments gives each set its own offset, within what it is known to err by.
func (tr *track) instruments(g gauge, points []*point) {
	s := series{set: make([]string, len(points))}
	for i, p := range points {
		s.set[i] = p.set
	}
	groups := s.groups()
	off := g.off(points)
	done := map[int]bool{}
	for _, k := range groups {
		if !done[k] {
			done[k] = true
			tr.plainly(normal{0, off}, func(i int) float64 { return is(groups[i] == k) })
		}
	}
}

// eras lets each event that resets set the level anew, and each that ends a fault
// leave a slope of its own before it. Events without a visit between them share a level.
func (tr *track) eras(g gauge, points []*point, events []register.Event) {
	var from time.Time
	first, col := -1, -1
	for _, e := range events {
		if !e.Kind.Resets() {
			continue
		}
		if k := firstFrom(points, e.Time); k != first {
			first, col = k, tr.anew(g.moved(e.Kind), k)
		}
		tr.added = append(tr.added, col)
		if col >= 0 && g.voids(e.Kind) {
			tr.ramps(g, firstFrom(points, from), first, float64(e.Time.Sub(points[0].at))/year)
			from = e.Time
		}
	}
}

// rampsTried is how many onsets a fault may have had that somebody put right.
const rampsTried = 3

// ramps lets a gauge have moved before an act that put a fault right, from some onset on. A
// coil is again what it was; of anything else its step at the act tells where it stands.
func (tr *track) ramps(g gauge, from, to int, act float64) {
	last := -1
	for r := range rampsTried {
		k := from + r*(to-from)/rampsTried
		if k == last || r > 0 && to-k < betweenBends {
			continue
		}
		last = k
		tr.add(normal{0, slopeBefore}, func(i int) float64 {
			ramp := math.Max(0, tr.t[i]-tr.t[k])
			if g.coil == nil {
				ramp -= tr.t[0] + act - tr.t[k]
			}
			return is(i < to) * ramp
		})
	}
}

// firstFrom is the first point from a time on; how many there are where none is.
func firstFrom(points []*point, at time.Time) int {
	k := 0
	for k < len(points) && points[k].at.Before(at) {
		k++
	}
	return k
}

// anew lets the level change at a value; it returns the column, -1 where the record does
// not go on both sides of it.
func (tr *track) anew(sd float64, k int) int {
	before := len(tr.belief.Columns)
	tr.add(normal{0, sd}, func(i int) float64 { return is(i >= k) })
	if len(tr.belief.Columns) == before {
		return -1
	}
	return before
}

// moved is how far an act may move a gauge for good: a coil stands where it stood once it is
// clean again, and nearly so whatever is done about the charge or the thermostat.
func (g gauge) moved(by register.EventKind) float64 {
	switch by {
	case register.PartChanged, register.Install, register.Retrofit:
		return g.level.sd
	}
	if g.coil == nil {
		return g.level.sd
	}
	return leastMoved
}

// leastMoved is how far acts move a coil's difference that have nothing to do with it, K.
const leastMoved = 1.0

// slopeBefore is how steep a fault may have been that somebody put right, K a year.
const slopeBefore = 4.0

// level is the value in the middle of the record.
func (tr track) level() float64 {
	m, _ := robust.Median(tr.belief.Y)
	return m
}

// healthy is the value in the middle of the record before an onset; of all of it where
// nothing lies before.
func (tr track) healthy(onset float64) float64 {
	n := 0
	for n < len(tr.t) && tr.t[n] <= onset {
		n++
	}
	if n < 2 {
		n = min(len(tr.t), leastTrack)
	}
	m, _ := robust.Median(tr.belief.Y[:n])
	return m
}

// latest is the value in the middle of the last three.
func (tr track) latest() float64 {
	m, _ := robust.Median(tr.belief.Y[max(0, len(tr.belief.Y)-3):])
	return m
}

// bend lets the record bend every few visits while wild ones are found out: a fault
// must not look wild, and one wild visit must not look like a fault.
func (tr *track) bend() {
	last := 0
	for k := 2; k < len(tr.t)-2; k++ {
		if k-last < betweenBends || tr.t[k]-tr.t[last] < bendYears {
			continue
		}
		last = k
		col := make([]float64, len(tr.t))
		for i := k; i < len(col); i++ {
			col[i] = (tr.t[i] - tr.t[k]) * tr.per(i)
		}
		tr.belief.Bend = append(tr.belief.Bend, col)
	}
	tr.belief.BendSD = slopeBefore
}

const (
	betweenBends = 3
	bendYears    = 0.15
)

// A form is how a change goes on after its onset.
type form int

const (
	slow   form = iota // at an even rate
	sudden             // at once
	forms
)

// A reading is what a record says of a gauge's change after an onset, before anything
// is believed of it: K a year, or K at once. The zero reading says nothing.
type reading struct{ size, sd float64 }

// read asks a track about a change.
func (tr *track) read(onset float64, f form, s visibility) reading {
	tr.fill(tr.spare, onset, f, s)
	size, sd, ok := tr.fit.Change(tr.spare)
	if !ok {
		return reading{}
	}
	return reading{size, sd}
}

// hold marks the values at which head pressure control held the condensing temperature up,
// whatever the condenser is like.
func (tr *track) hold(points []*point, limit float64) {
	tr.held = make([]bool, len(points))
	for i, p := range points {
		tr.held[i] = p.condensing <= limit
	}
}

// A stretch is a time during which a gauge lies on its floor, years; to is +Inf where it
// still does.
type stretch struct{ from, to float64 }

// shown is for how long a slow change has shown by some time: what is used up falls no more.
func (tr *track) shown(onset, t float64) float64 {
	years := t - onset
	for _, h := range tr.hidden {
		if h.from > onset {
			years -= math.Max(0, math.Min(t, h.to)-h.from)
		}
	}
	return years
}

// unseen is for how long the gauge has lain on its floor by now, years.
func (tr track) unseen(now float64) float64 {
	if n := len(tr.hidden); n > 0 && math.IsInf(tr.hidden[n-1].to, 1) {
		return now - tr.hidden[n-1].from
	}
	return 0
}

// When a loss may have used up subcooling without anybody knowing: it fell below a share of
// what it had been, and lay there for some visits. Instruments may be off by as much.
const (
	lowShare    = 0.55
	leastFlat   = 3
	floorsTried = 8
)

// floors are the track with subcooling not used up since its last act, and used up at some
// times since it became low.
func (tr track) floors(healthy float64) []track {
	y, n := tr.belief.Y, len(tr.belief.Y)
	if tr.latest() > lowShare*healthy {
		return []track{tr}
	}
	if k := len(tr.hidden); k > 0 && math.IsInf(tr.hidden[k-1].to, 1) {
		tr.hidden = tr.hidden[:k-1]
	}
	first := n
	for first > 0 && (y[first-1] < lowShare*healthy || first > 1 && y[first-2] < lowShare*healthy) {
		first--
	}
	for k := len(tr.hidden); k > 0 && first < n && tr.t[first] < tr.hidden[k-1].to; first++ {
	}
	out := []track{tr}
	stride := max(1, (n-leastFlat-first+floorsTried)/floorsTried)
	for k := first; k <= n-leastFlat; k += stride {
		with := tr
		with.hidden = append(slices.Clone(tr.hidden), stretch{tr.t[k], math.Inf(1)})
		out = append(out, with)
	}
	return out
}

// How many values show that a gauge has reached its floor: more while it may be a few bad
// visits than where somebody saw to it.
const (
	leastUsed = 4
	usedThen  = 2
)

// usedUp finds when a gauge lay on a floor that it had been well above, up to each act and
// now.
func (tr *track) usedUp(floor float64, acts []float64) {
	y := tr.belief.Y
	if above, _ := robust.Median(y[:min(len(y), leastUsed-1)]); above <= 2*floor {
		return
	}
	from := 0
	for _, end := range append(acts, math.Inf(1)) {
		to := from
		for to < len(y) && tr.t[to] < end {
			to++
		}
		k := to
		for k > from && (y[k-1] < floor || k-1 > from && y[k-2] < floor) { // one wild value is none
			k--
		}
		least := usedThen
		if math.IsInf(end, 1) {
			least = leastUsed
		}
		if to-k >= least && k > 0 {
			tr.hidden = append(tr.hidden, stretch{tr.t[k], end})
		}
		from = to
	}
}

// before is the value in the middle of the last two before a time; NaN where none lies before.
func (tr track) before(at float64) float64 {
	n := 0
	for n < len(tr.t) && tr.t[n] < at {
		n++
	}
	m, err := robust.Median(tr.belief.Y[max(0, n-2):n])
	if err != nil {
		return math.NaN()
	}
	return m
}

// column is a change of one unit after an onset.
func (tr *track) column(onset float64, f form, s visibility) []float64 {
	col := make([]float64, len(tr.t))
	tr.fill(col, onset, f, s)
	return col
}

// fill writes down a change of one unit after an onset.
func (tr *track) fill(col []float64, onset float64, f form, s visibility) {
	for i, t := range tr.t {
		switch {
		case t <= onset:
			col[i] = 0
		case f == slow:
			col[i] = tr.shown(onset, t)
		default:
			col[i] = 1
		}
		switch {
		case tr.held != nil && tr.held[i]:
			col[i] *= s.share()
		case tr.unit != nil && s == wholly:
		case tr.unit != nil && s == partly:
			col[i] *= tr.share[i]
		default:
			col[i] *= tr.per(i)
		}
		col[i] *= tr.sure[i]
	}
}

// upTo marks the values that are not above a limit.
func upTo(limit float64, y []float64) []bool {
	out := make([]bool, len(y))
	for i, v := range y {
		out[i] = v <= limit
	}
	return out
}
