package drift

import (
	"math"
	"slices"
	"time"

	"rimelog/analysis/robust"
)

// A diagnosis is what may be wrong with a machine as of one day.
type diagnosis struct {
	suspects map[string]*suspect // by kind
	tracks   map[string]track    // by gauge
	given    []*fault            // that are taken as there
	ends     map[string]float64  // by kind: when it was last put right, years since start
	fills    []float64           // when refrigerant was added, years since start
	start    time.Time
	now      float64 // years since start
	stays    bool    // a logger stays at it
	keep     *memory
}

// A memory is what a diagnosis stands in: its tracks, what they say, and its candidates.
type memory struct {
	robust.Workspace
	begins robust.Slab[begins]
	found  robust.Slab[candidate]
}

// Reset makes all of it free again.
func (m *memory) Reset() {
	m.Workspace.Reset()
	m.begins.Reset()
	m.found.Reset()
}

// A suspect is one kind of fault.
type suspect struct {
	odds        float64 // logarithm of its odds against its not being there: against nothing being wrong, or the leading fault alone
	sure        float64 // the same, whichever one of the last visits is left out
	probability float64 // against everything else
	best        candidate
	all         []candidate
	beside      *diagnosis // in which the leading fault is taken as there; nil: it is judged alone
}

// A candidate is a fault with an onset.
type candidate struct {
	fault *fault
	log   float64 // evidence over that of no change, with how often it happens
	*begins
	late *begins // of the gauges that the fault reaches only later
}

// of is when a gauge begins to move under a candidate.
func (c candidate) of(gauge string) *begins {
	if c.fault.reaches(gauge) {
		return c.late
	}
	return c.begins
}

// reading is what a gauge says of its change under a candidate.
func (c candidate) reading(gauge string) reading {
	return c.of(gauge).of(gauge, c.fault.behind).reading
}

// onsetsTried is how many onsets of a slow change are tried at most: a visit too early or
// too late makes little difference to one. Of a sudden one each among the latest is tried.
const (
	onsetsTried = 12
	eachOfLast  = 20
)

// diagnose weighs what may be wrong, from points in time order; not ok where there are
// too few. What its tracks and candidates stand in is written over by the next diagnosis in the
// same memory; the odds stay.
func (w *weighing) diagnose(points []point, keep *memory) (diagnosis, bool) {
	keep.Reset()
	d := diagnosis{suspects: map[string]*suspect{}, tracks: map[string]track{}, keep: keep}
	if len(points) < leastTrack {
		return d, false
	}
	d.start = points[0].at
	d.now, d.stays = d.years(points[len(points)-1].at), logged(points)
	past := w.remember()
	d.ends, d.fills = d.ended(past), d.toppedUp(w.fills)
	points = w.band.raised(settled(w.system, w.events, weathered(points)))
	for _, g := range w.gauges {
		if tr, ok := newTrack(g, points, past, d.start, w.band, &w.space, &keep.Workspace); ok {
			if g.column == CondenserTD && !tr.banded {
				tr.hold(known(g, points), floor(w.system, features()[atCondenser], points))
			}
			if tr.filled = d.now; len(d.fills) > 0 {
				tr.filled = d.fills[0]
			}
			d.tracks[g.column] = tr
		}
	}
	b, onsets := w.book(d.setting()), d.onsets(points)
	d.suspect(d.candidates(b, onsets))
	d.share(d.accompanied(d.lead(), b, onsets))
	return d, len(d.suspects) > 0
}

func (d diagnosis) years(t time.Time) float64 { return float64(t.Sub(d.start)) / year }

// A gap is a time between two points in which a change may have begun. It is the last where
// only one point lies after it.
type gap struct {
	from, width float64
	last        bool
}

// onsets are the gaps that are tried; two points at least must lie after one, but of what is
// told at first sight.
func (d diagnosis) onsets(points []point) (out [forms][]gap) {
	stride := max(1, (len(points)+onsetsTried-3)/onsetsTried)
	out[topped] = d.additions(points)
	for f := range topped {
		for k := 0; k < len(points)-2; {
			next := k + stride
			if f == sudden {
				next = max(k+1, min(next, len(points)-eachOfLast))
			}
			from := d.years(points[k].at)
			if width := d.years(points[min(len(points)-1, next)].at) - from; width > 0 {
				out[f] = append(out[f], gap{from: from, width: width})
			}
			k = next
		}
	}
	from := d.years(points[len(points)-2].at)
	if width := d.now - from; width > 0 {
		out[sudden] = append(out[sudden], gap{from: from, width: width, last: true})
	}
	return out
}

// setting is what the faults' moves depend on.
func (d diagnosis) setting() setting {
	_, levelled := d.tracks[Level]
	_, rested := d.tracks[Standstill]
	condenser := d.tracks[CondenserTD]
	return setting{d.pinned(), d.supplied(), d.dry(), slices.Contains(condenser.held, true), condenser.banded, levelled, rested}
}

// candidates weighs every fault at every onset after it was last put right; none that moves
// the same as one that is taken as there.
func (d diagnosis) candidates(b *book, onsets [forms][]gap) []candidate {
	e := d.evidence(b, onsets)
	out := d.keep.found.Take(b.most(onsets))[:0]
	var space [len(order)][]float64
	for k := range b.faults {
		f := &b.faults[k]
		if slices.ContainsFunc(d.given, f.alike) {
			continue
		}
		all, ended := e.all[f.form], d.endOf(f.kind)
		own, late := e.own(space[:0], k), e.late(k)
		for i, at := range onsets[f.form] {
			if f.over(at, ended) || at.last && !f.sighted {
				continue
			}
			if d.grew(f, &all[i]) {
				continue
			}
			c := candidate{f, f.begins(at), &all[i], &all[i]}
			c.log += d.together(f, own, i)
			if late != nil {
				log, best := later(late[i:])
				c.log += log
				c.late = &all[i+best]
			}
			out = append(out, c)
		}
	}
	return out
}

// mostBeside is what each gauge besides the one that moved most may say at most, where a logger
// stays, for a change that no known fault explains: as much as it takes to say all that a witness
// may.
const mostBeside = mostWitness / half

// together is what gauges say of a fault at an onset. No machine follows the lines of a known fault
// quite, and where a logger stays each gauge tells so with certainty: that others are a little off
// them is no evidence for what follows no lines.
func (d diagnosis) together(f *fault, gauges [][]float64, onset int) (sum float64) {
	most := math.Inf(-1)
	for _, logs := range gauges {
		sum += logs[onset]
		most = max(most, logs[onset])
	}
	if !d.stays || f.kind != Unclear || !f.moves[Subcooling].carries {
		return sum
	}
	for _, logs := range gauges {
		if l := logs[onset]; l < most {
			sum -= math.Max(0, l-mostBeside)
		}
	}
	return sum
}

// logged tells whether a logger stays at a machine: on average, points follow each other soon.
func logged(points []point) bool {
	n := len(points)
	return n > 1 && points[n-1].at.Sub(points[0].at) <= time.Duration(n-1)*soon
}

// over tells whether a fault that began in a gap was put right since; not by what began it.
func (f *fault) over(at gap, ended float64) bool {
	if f.form == topped {
		return at.from+at.width < ended-dayLong
	}
	return at.from+at.width <= ended
}

// dayLong is a day, in years.
const dayLong = 1 / 365.25

// begins is how likely a fault begins in a gap, as a logarithm.
func (f *fault) begins(at gap) float64 {
	if f.form == topped { // each addition may be the one
		return math.Log(f.hazard)
	}
	return math.Log(f.hazard * at.width)
}

// atOnce is how often a fault that may reach gauges later reaches them from its onset on.
const atOnce = 0.5

// later sums the evidence of what begins at the first of some onsets, or any other. It
// gives the likeliest too.
func later(logs []float64) (log float64, best int) {
	log = logs[0]
	if rest := len(logs) - 1; rest > 0 {
		log += math.Log(atOnce)
		share, most := math.Log((1-atOnce)/float64(rest)), log
		for i, l := range logs[1:] {
			if l+share > most {
				most, best = l+share, i+1
			}
			log = logSum(log, l+share)
		}
	}
	return log, best
}

// ended is when each kind of fault was last put right, years since start; none that never was.
func (d diagnosis) ended(past history) map[string]float64 {
	if len(past.events) == 0 {
		return nil
	}
	out := map[string]float64{}
	for _, p := range patterns() {
		for _, e := range past.events {
			if !p.closedBy(e.Kind) || past.leaves(e, p.kind) {
				continue
			}
			if last, ok := out[p.kind]; !ok || d.years(e.Time) > last {
				out[p.kind] = d.years(e.Time)
			}
		}
	}
	return out
}

// endOf is when a kind of fault was last put right; -Inf where it never was.
func (d diagnosis) endOf(kind string) float64 {
	if at, ok := d.ends[kind]; ok {
		return at
	}
	return math.Inf(-1)
}

// suspect gathers candidates by their kind of fault; those of one kind come in one run.
func (d diagnosis) suspect(all []candidate) {
	for len(all) > 0 {
		kind := all[0].fault.kind
		n := 1
		for n < len(all) && all[n].fault.kind == kind {
			n++
		}
		d.suspects[kind] = newSuspect(all[:n:n])
		all = all[n:]
	}
}

// newSuspect sums the candidates of one kind.
func newSuspect(all []candidate) *suspect {
	s := &suspect{odds: math.Inf(-1), sure: math.NaN(), best: all[0], all: all}
	for _, c := range all {
		s.odds = logSum(s.odds, c.log)
		if c.log > s.best.log {
			s.best = c
		}
	}
	return s
}

// kinds lists the kinds of fault, the same order always.
var kinds = [...]string{ChargeLoss, CondenserFouling, EvaporatorFouling, Restriction, Wear, Gas, Overcharge, Valve, Unclear}

// size is how far a gauge has moved under a candidate, with its uncertainty.
func (d diagnosis) size(c candidate, gauge string) reading {
	r := c.reading(gauge)
	if c.fault.form == slow {
		span := d.span(c, gauge)
		return reading{r.size * span, r.sd * span}
	}
	return r
}

// span is for how long a gauge has moved under a slow candidate, years.
func (d diagnosis) span(c candidate, gauge string) float64 {
	tr := d.tracks[gauge]
	return tr.shown(c.of(gauge).onset, d.now)
}

// noLiquid is the subcooling below which a machine has none to lose, K.
const noLiquid = 2.0

// pinned tells whether no liquid stands behind the condenser, in no season, so that
// subcooling stays where it is.
func (d diagnosis) pinned() bool {
	tr, ok := d.tracks[Subcooling]
	return ok && tr.level() < noLiquid && tr.often() < 1.5*noLiquid
}

// superheld is how far superheat may have risen while its valve still holds it, K.
const superheld = 1.0

// supplied tells whether what charge is left feeds the evaporator: superheat in like weather is
// what it was, which a valve holds until it is fully open; at the last visit too where no liquid
// stands behind the condenser. Of 64 simulated machines with valves and no receiver that had lost
// 5 % of their charge or more and had nothing else that narrows an evaporator, none had one wider
// by more than 0.6 K while superheat had risen by less than 1 K, subcooled or not; by 2 K in the
// middle where it had risen by more than 3 K.
func (d diagnosis) supplied() bool {
	_, ok := d.tracks[Subcooling]
	gas, held := d.tracks[Superheat]
	if !ok || !held {
		return false
	}
	values := gas.alike()
	usual, _ := robust.Median(values)
	last := values[max(0, len(values)-3):]
	rise, _ := robust.Median(last)
	if d.dry() {
		rise = math.Max(rise, last[len(last)-1])
	}
	return rise-usual < superheld
}

// dry tells whether no liquid stands behind the condenser.
func (d diagnosis) dry() bool {
	liquid, ok := d.tracks[Subcooling]
	return ok && liquid.latest() < noLiquid
}

// leftOut is how many of the last points must each be dispensable to a finding: one
// wild visit may fit anything.
const leftOut = 4

// confirm works out how sure each suspect is with any one of the last points left out.
func (w *weighing) confirm(d diagnosis) {
	points := w.points
	for _, x := range d.suspects {
		x.sure = x.odds
	}
	for k := len(points) - 1; k >= max(leastTrack, len(points)-leftOut); k-- {
		without := w.without(k)
		for kind, x := range d.suspects {
			if y := without[kind]; y != nil {
				x.sure = math.Min(x.sure, y.odds)
			} else {
				x.sure = math.Inf(-1)
			}
		}
	}
}

// without is the suspects with one of the points left out. Without the last, where no event
// came since, they are those of the decision before.
func (w *weighing) without(k int) map[string]*suspect {
	n := len(w.points) - 1
	if k == n && w.before.from(n, w.events, w.band) {
		return w.before.suspects
	}
	rest := append(append(make([]point, 0, n), w.points[:k]...), w.points[k+1:]...)
	d, _ := w.diagnose(rest, &w.other)
	return d.suspects
}
