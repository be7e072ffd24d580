package drift

import (
	"math"

	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A band is the condensing temperatures over which fans or a valve slow the medium down, to
// hold head pressure up. The zero band holds nothing.
type band struct {
	middle, width float64
	swing         float64 // of the weather about one value held, K; 0: fans or a valve over the width
	reverses      bool    // the machine may heat as well
}

// The medium's least flow in a band, as a share (common practice, no source), and how far what
// is found of a band may be off.
const (
	leastFlow  = 0.12
	perFlowSD  = 0.06 // of how the conductance follows the flow
	bandMiddle = 0.7  // of the middle, K
)

// A coil's heat by kelvin of its difference is C (1 - exp(-UA/C)), of a medium's flow of heat
// C (Kays & London, Compact Heat Exchangers, 3rd ed. 1984, table 2-2): with full flow it is of
// some transfer units, and UA falls with the root of the air's speed (common practice, no source).
const (
	transferUnits = 1.0
	perSpeed      = 0.5
)

// conductance is the logarithm of a coil's heat by kelvin of its difference, with a share of
// full flow over that with full flow, and its slope by the logarithm of the share.
func conductance(share float64) (log, slope float64) {
	units := transferUnits * math.Pow(share, perSpeed-1)
	log = math.Log(share * math.Expm1(-units) / math.Expm1(-transferUnits))
	return log, 1 + (perSpeed-1)*units/math.Expm1(units)
}

// knee is how soft the upper end of a band is, K: visits are means over some swing.
const knee = 0.4

// flow is the medium's share of full flow at a condensing temperature, and by which share it
// grows for each kelvin.
func (b band) flow(condensing float64) (share, perK float64) {
	if b.width == 0 || math.IsNaN(condensing) {
		return 1, 0
	}
	slope := (1 - leastFlow) / b.width
	below := (b.middle + b.width/2 - condensing) / knee // of the upper end
	share = 1 - slope*knee*math.Log1p(math.Exp(math.Min(below, 700)))
	if share <= leastFlow {
		return leastFlow, slope / leastFlow
	}
	return share, slope / share / (1 + math.Exp(-below))
}

// at is the band at a point: a reversed machine's condenser is the other coil, which no fan
// slows down.
func (b band) at(p *point) band {
	if heated(b.reverses, p) {
		return band{}
	}
	return b
}

// bandOf finds the band, or the value held by flooding, that explains a record best: about the
// pressure in the register, or above the lowest condensing temperature.
func bandOf(s register.System, points []*point) band {
	if len(points) == 0 {
		return band{}
	}
	middle, known := heldTemp(s)
	about := []float64{-1, 0, 1}
	if !known {
		middle = math.Inf(1)
		for _, p := range points {
			middle = math.Min(middle, p.condensing)
		}
		about = []float64{-1, 0, 1, 2, 3}
	}
	best, least := band{}, math.Inf(1)
	for _, width := range []float64{2, 3, 4.5, 6, 7.5, 10} {
		for _, off := range about {
			b := band{middle: middle + off, width: width, reverses: reverses(s)}
			if m := b.misses(points); m < least {
				best, least = b, m
			}
		}
	}
	if b, m := floodedOf(values(middle, about), reverses(s), points); m < lessMissed*least {
		return b
	}
	return best
}

// values are the temperatures at which one may be held, finer than those of the middles of
// bands.
func values(middle float64, about []float64) (out []float64) {
	for at := about[0]; at <= about[len(about)-1]; at += valueStep {
		out = append(out, middle+at)
	}
	return out
}

// valueStep is how far they lie apart, K.
const valueStep = 0.25

// hold finds the band of a system's fans again where its record has grown by a third, or where a
// logger that stays shows what they do in colder weather than any that it was found from: in a
// first winter a pressure that is held up from then on would pass for dirt.
func (w *weighing) hold() {
	if w.grown() {
		w.take()
		w.find()
	}
}

// grown tells whether it has or does, of a system whose fans may hold head pressure up.
func (w *weighing) grown() bool {
	s := w.system
	return s.HeadPressureControl != table.No && !s.Kind.Heats() && (3*len(w.points) >= 4*w.found || logged(w.points) && w.colder())
}

// colderBy is by how much weather must be colder than all before to count as such, K.
const colderBy = 1.0

// colder tells whether the medium entered the condenser colder since the band was found than in
// any of the points that it was found from.
func (w *weighing) colder() bool { return w.coldest.of(w.points) < w.foundTo-colderBy }

// take has the band found from the points so far.
func (w *weighing) take() { w.found, w.foundTo = len(w.points), w.coldest.of(w.points) }

// A coldest is the least temperature at which the medium entered the condenser in points that
// only grow in number: each is looked at once.
type coldest struct {
	least float64 // °C
	seen  int     // points
}

// of is the least temperature in the points, °C; +Inf where none is known.
func (c *coldest) of(points []point) float64 {
	if c.seen == 0 {
		c.least = math.Inf(1)
	}
	for ; c.seen < len(points); c.seen++ {
		if t := points[c.seen].entering(); t < c.least {
			c.least = t
		}
	}
	return c.least
}

// catchUp finds the band that decisions which were taken over would have found last.
func (w *weighing) catchUp() {
	if w.behind {
		w.behind = false
		w.find()
	}
}

// find finds the band in the first points. Where the register says nothing, these must show
// that fans hold head pressure up.
func (w *weighing) find() {
	var known []*point
	for i := range w.points[:w.found] {
		if p := &w.points[i]; !math.IsNaN(p.values[atCondenser]) && !math.IsNaN(p.condensing) && !heated(reverses(w.system), p) {
			known = append(known, p)
		}
	}
	w.band = bandOf(w.system, known)
	if w.system.HeadPressureControl != table.Yes && !w.band.evident(known) {
		w.band = band{}
	}
}

// How a record shows that head pressure is held up: over so many points at least, condensing
// temperatures lie so far off those of no band, and a band misses them by a smaller share.
const (
	leastEvident = 8
	restless     = 1.2 // K
	missedShare  = 0.75
)

// evident tells whether a record shows that fans slow down in a band.
func (b band) evident(points []*point) bool {
	n, free := len(points), band{}.misses(points)
	return n >= leastEvident && free > restless*float64(n) && b.misses(points) < missedShare*free
}

// mostMissed is what a value counts at most that a band does not explain, K.
const mostMissed = 3.0

// misses is by how much condensing temperatures lie off those of a band, in the middle, K.
func (b band) misses(points []*point) float64 {
	if b.flooded() {
		return b.floodedMisses(points, math.Inf(1))
	}
	left := make([]float64, len(points))
	for i, p := range points {
		left[i] = b.opened(p.values[atCondenser], p.condensing)
	}
	m, err := robust.Median(left)
	if err != nil {
		return math.Inf(1)
	}
	sum := 0.0
	for i, p := range points {
		shows := 1.0
		if p.condensing > b.middle-b.width/2 {
			shows = b.shows(p.values[atCondenser], p.condensing)
		}
		sum += math.Min(mostMissed, math.Abs(left[i]-m)*p.values[atCondenser]*shows)
	}
	return sum
}

// opened is the logarithm of a difference as it would be with full flow.
func (b band) opened(difference, condensing float64) float64 {
	if b.flooded() {
		return b.bare(difference, condensing)
	}
	share, _ := b.flow(condensing)
	log, _ := conductance(share)
	return math.Log(math.Max(leastDifference, difference)) + log
}

// answers is by which share a coil's heat by kelvin of its difference grows as the fans answer
// each kelvin of condensing temperature.
func (b band) answers(condensing float64) float64 {
	share, perK := b.flow(condensing)
	_, slope := conductance(share)
	return slope * perK
}

// shows is the share of a change of a condenser's difference that shows: the fans answer the
// rest.
func (b band) shows(difference, condensing float64) float64 {
	if b.flooded() {
		return b.free(condensing)
	}
	return 1 / (1 + b.answers(condensing)*math.Max(leastDifference, difference))
}

// clean is the difference at which a coil of a usual logarithm of it, as it would be with
// full flow, stands against a medium: Newton's method from the lower end of the band, since
// the logarithm bends down all the way above.
func (b band) clean(usual, medium float64) float64 {
	switch {
	case b.flooded():
		return b.stands(usual, medium)
	case b.width == 0:
		return math.Exp(usual)
	}
	v := math.Max(leastDifference, b.middle-b.width/2*(1-leastFlow)-medium)
	for range 12 {
		open := b.opened(v, medium+v)
		step := (usual - open) / (1/v + b.answers(medium+v))
		if v = math.Max(leastDifference, v+step); math.Abs(step) < 0.01 {
			break
		}
	}
	return v
}
