package drift

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// Causes weighs after each visit of a system what may be wrong with it, from visits
// and events up to it only. Visits may come in any order; those closer than
// Options.DecideEvery share one decision. The rows come by time, then by kind.
func Causes(s register.System, events []register.Event, visits []table.Visit, o Options) []table.Cause {
	out, _ := causesAfter(Known{}, s, events, visits, o)
	return out
}

// causesAfter takes over the rows of decisions that stand. It says too at which charge
// seemed to be lost first.
func causesAfter(known Known, s register.System, events []register.Event, visits []table.Visit, o Options) ([]table.Cause, time.Time) {
	o.EnsureDefaults()
	w := weighing{system: s, gauges: append(gauges(s), receiverLevel(s), atStandstill()), books: map[setting]*book{}, out: []table.Cause{}}
	for era, seg := range segments(bothWays(visits), events) {
		for from, to := range seg.decisions(o.DecideEvery) {
			w.points = append(w.points, pool(seg[from:to], features(), era)...)
			decided := seg[to-1].Start
			if known.stands(decided) {
				w.takeOver(known, decided)
				continue
			}
			w.catchUp()
			w.events = until(events, decided)
			w.fills = fillings(w.events)
			w.split()
			w.decide(decided)
		}
	}
	return w.out, w.leaks
}

// takeOver takes over a decision that stands.
func (w *weighing) takeOver(known Known, on time.Time) {
	if w.grown() {
		w.take()
		w.behind = true
	}
	w.out = append(w.out, known.causes(on)...)
	if known.Leaks.Equal(on) {
		w.leaks = on
	}
}

// until is the events up to a time.
func until(events []register.Event, t time.Time) (out []register.Event) {
	for _, e := range events {
		if !e.Time.After(t) {
			out = append(out, e)
		}
	}
	return out
}

// A weighing is the state while going through the visits.
type weighing struct {
	system register.System
	gauges []gauge
	books  map[setting]*book
	space  robust.Workspace // of one fit
	memory memory           // of a decision
	other  memory           // of those without one of the points
	before earlier
	points []point
	events []register.Event
	fills  []time.Time // when somebody wrote down that refrigerant was added
	out    []table.Cause
	band   band // in which fans hold head pressure up, as it was found
	found  int  // from how many points
	behind bool // by decisions that were taken over: it is still to be found from them

	coldest coldest // of all points
	foundTo float64 // the coldest of those that the band was found from, °C

	leaks   time.Time // the first decision at which charge seemed to be lost; zero: none yet
	unasked time.Time // the latest addition that nobody wrote down; zero: none
}

// Earlier is what the decision before came to, from how many points, which events and band.
type earlier struct {
	suspects map[string]*suspect
	points   int
	events   []register.Event
	band     band
}

// from tells whether it came from so many points, and from events and a band like these.
func (e earlier) from(points int, events []register.Event, b band) bool {
	alike := func(a, b register.Event) bool { return a.Kind == b.Kind && a.Time.Equal(b.Time) }
	return e.points == points && e.band == b && slices.EqualFunc(e.events, events, alike)
}

// What is kept of a decision: suspects with such odds or probability, and where any is, the
// two likeliest kinds, so that what is named first never stands alone. Where one has the odds
// to be looked into, it is confirmed.
const (
	leastOdds        = -1.0
	leastProbability = 0.05
	leastNamed       = 2
	oddsToConfirm    = 0.5
)

func (w *weighing) decide(on time.Time) {
	w.hold()
	d, ok := w.diagnose(w.points, &w.memory)
	if !ok {
		return
	}
	if d.strongest() >= oddsToConfirm {
		w.confirm(d)
	}
	w.before = earlier{d.suspects, len(w.points), w.events, w.band}
	if x := d.suspects[ChargeLoss]; w.leaks.IsZero() && x != nil && x.odds >= leastLead {
		w.leaks = on
	}
	from := len(w.out)
	for _, kind := range d.kept() {
		x := d.suspects[kind]
		w.out = append(w.out, w.row(d, x, x.carrier(), on))
	}
	if c, ok := starved(w.out[from:]); ok {
		w.out = append(w.out, c)
	}
}

// kept lists the kinds that are kept, in their order.
func (d diagnosis) kept() (out []string) {
	var rest []string
	named := 0
	for _, kind := range kinds {
		x := d.suspects[kind]
		switch {
		case x == nil || x.carrier() == "":
		case x.odds >= leastOdds || x.probability >= leastProbability:
			out, named = append(out, kind), named+int(is(kind != Unclear))
		case kind != Unclear:
			rest = append(rest, kind)
		}
	}
	if len(out) == 0 {
		return nil
	}
	slices.SortStableFunc(rest, func(a, b string) int {
		return cmp.Compare(d.suspects[b].probability, d.suspects[a].probability)
	})
	out = append(out, rest[:min(len(rest), max(0, leastNamed-named))]...)
	slices.SortFunc(out, func(a, b string) int { return cmp.Compare(rankOf(a), rankOf(b)) })
	return out
}

// rankOf is where a kind of fault stands in their order.
func rankOf(kind string) int { return slices.Index(kinds[:], kind) }

// row writes a suspect down, by the tracks in which it is judged.
func (w *weighing) row(d diagnosis, x *suspect, carrier string, on time.Time) table.Cause {
	if x.beside != nil {
		d = *x.beside
	}
	nan := math.NaN()
	c := table.Cause{
		DecidedOn: on, Kind: x.best.fault.kind, Probability: x.probability, Odds: x.odds, Sure: x.sure,
		Sudden: x.best.fault.form != slow, Since: d.since(x.best.fault.kind, w.points), Suspected: d.timeAfter(x.best.onset, w.points),
		PerYear: nan, PerYearLo: nan, PerYearHi: nan, Noise: nan, Warmer: nan,
		Lost: nan, LostLo: nan, LostHi: nan, LossPct: nan, LossPctLo: nan, LossPctHi: nan,
	}
	g, per := carrier, 1.0
	c.Feature = g
	if c.Kind == Wear {
		g, c.Feature, per = Efficiency, DischargeSuperheat, hotter(w.points)
	}
	size := d.size(x.best, g).times(per)
	c.Size, c.SizeLo, c.SizeHi = size.size, size.size-normal95*size.sd, size.size+normal95*size.sd
	if r := x.best.reading(g).times(per); !c.Sudden {
		c.PerYear, c.PerYearLo, c.PerYearHi = r.size, r.size-normal95*r.sd, r.size+normal95*r.sd
	}
	if tr, ok := d.tracks[g]; ok {
		c.Visits, c.Noise = int64(len(tr.t)), tr.fit.Scatter*math.Abs(per)
	}
	c.Others = d.others(x.best, g)
	if c.Kind == CondenserFouling {
		c.Warmer = warmer(w.points)
	}
	if c.Kind == ChargeLoss {
		w.loss(d, x).fill(&c)
		if !w.unasked.IsZero() {
			c.Note = join(c.Note, StepUnrecorded+" on "+day(w.unasked)+": the loss is told apart before and after it")
		}
	}
	return c
}

// warmer is the share of points at which the medium entered the condenser colder than at the
// latest at which that is known; NaN where it never is.
func warmer(points []point) float64 {
	var media []float64
	for i := range points {
		if m := points[i].entering(); !math.IsNaN(m) {
			media = append(media, m)
		}
	}
	colder := 0
	for _, m := range media {
		colder += int(is(m < media[len(media)-1]))
	}
	return float64(colder) / float64(len(media))
}

// times is a reading in another unit.
func (r reading) times(per float64) reading { return reading{r.size * per, r.sd * math.Abs(per)} }

// hotter is by how many K the discharge temperature changes for each point of isentropic
// efficiency at the last visit at which all is known: as the efficiency falls, the gas
// warms by so much more, (T2 - T1)/efficiency for constant heat capacity. A usual
// machine's where none is known (common practice, no source).
func hotter(points []point) float64 {
	for _, p := range slices.Backward(points) {
		rise := p.condensing + p.values[atDischarge] - p.evaporating - p.values[atSuperheat]
		if per := -rise / (100 * p.efficiency); per < 0 {
			return per
		}
	}
	return -0.8
}

// normal95 is the factor on a standard uncertainty within which 95 % of normal errors lie.
const normal95 = 1.959963984540054

// carrier is the gauge that speaks most for a suspect, of those that tell it and moved its
// way: one that it always moves, or else any. Lost charge may show in one of several. It is
// empty where none did.
func (x *suspect) carrier() string {
	if g := x.liquid(); g != "" {
		return g
	}
	if x.best.fault.kind == Wear && x.best.reading(Efficiency).size >= 0 {
		return "" // a compressor that does better is not worn
	}
	best, most, always := "", math.Inf(-1), false
	for _, g := range order {
		m, r := x.best.fault.moves[g], x.best.reading(g)
		if told := toldBy(x.best.fault.kind); told != "" && told != g || x.best.fault.kind == Gas && !presses(g, r) || !m.carries || g == Efficiency || g == Standstill || m.sign*r.size < 0 {
			continue
		}
		if l, sure := m.weigh(r.sighted()), m.stays <= mostlyMoves || x.best.fault.kind == ChargeLoss; sure && !always || sure == always && l > most {
			best, most, always = g, l, sure
		}
	}
	return best
}

// toldBy is the gauge without which a kind of fault is not told, whatever moved besides; empty
// where any of several will do. A coil's fault shows in its own difference, and behind a fixed
// opening so much else follows that superheat alone named a condenser which was clean; too
// much charge stands in the condenser as liquid.
func toldBy(kind string) string {
	if kind == Overcharge {
		return Subcooling
	}
	return coilOf(kind)
}

// presses tells whether a gauge shows a condensing pressure that gas raised. What it does to an
// evaporator behind a fixed opening tells no gas by itself.
func presses(gauge string, r reading) bool {
	return r.size > 0 && (gauge == CondenserTD || gauge == Subcooling)
}

// tellsLoss is how much subcooling or the receiver must speak for lost charge to tell it,
// whatever else does: both are where it goes first.
const tellsLoss = 1.0

// liquid is the gauge of the liquid that tells a loss of charge; empty where none does.
func (x *suspect) liquid() string {
	if x.best.fault.kind != ChargeLoss {
		return ""
	}
	for _, g := range []string{Level, Subcooling} {
		if m, r := x.best.fault.moves[g], x.best.reading(g); m.sign*r.size > 0 && m.weigh(r.sighted()) >= tellsLoss {
			return g
		}
	}
	return ""
}

// mostlyMoves is how often a gauge may stay under a fault that always moves it.
const mostlyMoves = 0.2

// strongest is the odds of the likeliest named fault.
func (d diagnosis) strongest() float64 {
	most := math.Inf(-1)
	for kind, x := range d.suspects {
		if kind != Unclear {
			most = math.Max(most, x.odds)
		}
	}
	return most
}

// since is the first point after a kind of fault was last put right.
func (d diagnosis) since(kind string, points []point) time.Time {
	ended := d.endOf(kind)
	for _, p := range points {
		if d.years(p.at) >= ended {
			return p.at
		}
	}
	return points[len(points)-1].at
}

// timeAfter is the first point after an onset.
func (d diagnosis) timeAfter(onset float64, points []point) time.Time {
	for _, p := range points {
		if d.years(p.at) > onset {
			return p.at
		}
	}
	return points[len(points)-1].at
}

// others says how the gauges besides the carrier moved.
func (d diagnosis) others(c candidate, carrier string) string {
	var out []string
	for _, g := range order {
		if _, ok := d.tracks[g]; !ok {
			if g != Efficiency && g != Level && g != Standstill {
				out = append(out, Words(g)+" "+NotJudged)
			}
			continue
		}
		if g == carrier {
			continue
		}
		out = append(out, movement(g, d.size(c, g)))
	}
	return strings.Join(out, "; ")
}

// movement is how a gauge moved, in words.
func movement(g string, r reading) string {
	unit, name, verdict := MeasuredIn(g), Words(g), Noise
	if g == Efficiency {
		unit, name = "points", "isentropic efficiency"
	}
	if r.sd > 0 && math.Abs(r.size) > normal95*r.sd {
		verdict = direction(r.size)
	}
	return fmt.Sprintf("%s %s (%+.1f %s)", name, verdict, r.size, unit)
}

// leastTold is the least probability that is told.
const leastTold = 0.001

// told lists causes with their probabilities, the likeliest first, then what names none, and
// what is left over to nothing being wrong.
func told(rows []table.Cause) string {
	sorted := slices.DeleteFunc(slices.Clone(rows), func(c table.Cause) bool { return c.Kind == Starved })
	slices.SortStableFunc(sorted, func(a, b table.Cause) int {
		if a, b := a.Kind == Unclear, b.Kind == Unclear; a != b {
			return int(is(a) - is(b))
		}
		return cmp.Compare(b.Probability, a.Probability)
	})
	rest := 1.0
	var out []string
	for i, r := range sorted {
		rest -= r.Probability
		switch {
		case r.Probability >= 0.005:
			out = append(out, fmt.Sprintf("%s %.2f", r.Kind, r.Probability))
		case i < leastNamed && r.Kind != Unclear:
			out = append(out, fmt.Sprintf("%s %.1g", r.Kind, math.Max(leastTold, r.Probability)))
		}
	}
	if rest >= 0.005 {
		out = append(out, fmt.Sprintf("nothing %.2f", rest))
	}
	return strings.Join(out, "; ")
}
