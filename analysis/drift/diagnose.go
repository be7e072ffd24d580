package drift

import (
	"math"
	"slices"
	"time"

	"rimelog/pipeline/register"
)

// A diagnosis is what may be wrong with a machine as of one day.
type diagnosis struct {
	suspects map[string]*suspect // by kind
	tracks   map[string]track    // by gauge
	start    time.Time
	now      float64 // years since start
}

// A suspect is one kind of fault.
type suspect struct {
	odds        float64 // logarithm of its odds against its not being there: against nothing being wrong, or the leading fault alone
	norm        float64 // logarithm of the sum over all
	sure        float64 // the same, whichever one of the last visits is left out
	probability float64 // against everything else
	best        candidate
	all         []candidate
}

// A candidate is a fault with an onset.
type candidate struct {
	fault *fault
	log   float64 // evidence over that of no change, with how often it happens
	begins
	late begins // of the gauges that the fault reaches only later
}

// begins is an onset with what every gauge says of a change after it.
type begins struct {
	onset     float64
	readings  map[string]reading
	condenser [shows]reading // by how much of a fault shows behind head pressure control
}

// of is what a gauge says under a fault.
func (b begins) of(gauge string, f *fault) reading {
	if gauge == CondenserTD {
		return b.condenser[f.behind]
	}
	return b.readings[gauge]
}

// of is when a gauge begins to move under a candidate.
func (c candidate) of(gauge string) begins {
	if c.fault.reaches(gauge) {
		return c.late
	}
	return c.begins
}

// reading is what a gauge says of its change under a candidate.
func (c candidate) reading(gauge string) reading { return c.of(gauge).of(gauge, c.fault) }

// onsetsTried is how many onsets of a slow change are tried at most: a visit too early or
// too late makes little difference to one. Of a sudden one each among the latest is tried.
const (
	onsetsTried = 12
	eachOfLast  = 20
)

// diagnose weighs what may be wrong, from points in time order; not ok where there are
// too few.
func diagnose(s register.System, events []register.Event, points []point) (diagnosis, bool) {
	d := diagnosis{suspects: map[string]*suspect{}, tracks: map[string]track{}}
	if len(points) < leastTrack {
		return d, false
	}
	d.start = points[0].at
	d.now = d.years(points[len(points)-1].at)
	for _, g := range append(gauges(s), receiverLevel(s)) {
		if tr, ok := newTrack(g, points, events, d.start); ok {
			if g.column == CondenserTD {
				tr.hold(known(g, points), floor(s, features()[2], points))
			}
			d.tracks[g.column] = tr
		}
	}
	list := faults(s, d.pinned(), slices.Contains(d.tracks[CondenserTD].held, true))
	if _, ok := d.tracks[Level]; ok {
		list = levelled(list)
	}
	onsets := d.onsets(points)
	for _, c := range d.candidates(list, onsets, events) {
		d.suspect(c)
	}
	lead := d.lead()
	d.share(lead, d.beside(lead, func(rest diagnosis) []candidate { return rest.candidates(list, onsets, events) }))
	return d, len(d.suspects) > 0
}

func (d diagnosis) years(t time.Time) float64 { return float64(t.Sub(d.start)) / year }

// A gap is a time between two points in which a change may have begun.
type gap struct{ from, width float64 }

// onsets are the gaps that are tried; two points at least must lie after one.
func (d diagnosis) onsets(points []point) (out [forms][]gap) {
	stride := max(1, (len(points)+onsetsTried-3)/onsetsTried)
	for f := range forms {
		for k := 0; k < len(points)-2; {
			next := k + stride
			if f == sudden {
				next = max(k+1, min(next, len(points)-eachOfLast))
			}
			from := d.years(points[k].at)
			if width := d.years(points[min(len(points)-1, next)].at) - from; width > 0 {
				out[f] = append(out[f], gap{from, width})
			}
			k = next
		}
	}
	return out
}

// candidates weighs every fault at every onset after it was last put right.
func (d diagnosis) candidates(list []fault, onsets [forms][]gap, events []register.Event) []candidate {
	var all [forms][]begins
	for k := range forms {
		for _, at := range onsets[k] {
			all[k] = append(all[k], d.begins(at.from, k))
		}
	}
	out := make([]candidate, 0, len(onsets[sudden])*len(list))
	for k := range list {
		f := &list[k]
		ended := d.ended(f.kind, events)
		late := f.late(all[f.form])
		for i, at := range onsets[f.form] {
			if at.from+at.width <= ended {
				continue
			}
			own := all[f.form][i]
			c := candidate{f, math.Log(f.hazard * at.width), own, own}
			for _, g := range order {
				if !f.reaches(g) {
					c.log += f.weigh(g, own)
				}
			}
			if late != nil {
				log, best := later(late[i:])
				c.log += log
				c.late = all[f.form][i+best]
			}
			out = append(out, c)
		}
	}
	return out
}

// begins asks all tracks about changes after an onset.
func (d diagnosis) begins(onset float64, f form) begins {
	out := begins{onset: onset, readings: make(map[string]reading, len(d.tracks))}
	for name, tr := range d.tracks {
		if name == CondenserTD {
			out.condenser = tr.readBehind(onset, f)
		} else {
			out.readings[name] = tr.read(onset, f, hidden)
		}
	}
	return out
}

// late is the evidence of the gauges that a fault reaches only later, by when it does; nil
// where there are none.
func (f *fault) late(all []begins) []float64 {
	if !f.delays {
		return nil
	}
	out := make([]float64, len(all))
	for i := range all {
		for _, g := range order {
			if f.reaches(g) {
				out[i] += f.weigh(g, all[i])
			}
		}
	}
	return out
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

// order is that of the gauges, so that sums come out the same.
var order = [...]string{Subcooling, Superheat, CondenserTD, EvaporatorTD, Efficiency, Level}

// ended is when a kind of fault was last put right, years since start.
func (d diagnosis) ended(kind string, events []register.Event) float64 {
	last := math.Inf(-1)
	p, ok := find(kind)
	if !ok {
		return last
	}
	for _, e := range events {
		if p.closedBy(e.Kind) {
			last = math.Max(last, d.years(e.Time))
		}
	}
	return last
}

func (d *diagnosis) suspect(c candidate) {
	s := d.suspects[c.fault.kind]
	if s == nil {
		s = &suspect{odds: math.Inf(-1), sure: math.NaN(), best: c, all: make([]candidate, 0, 2*eachOfLast)}
		d.suspects[c.fault.kind] = s
	}
	s.odds = logSum(s.odds, c.log)
	s.norm = s.odds
	s.all = append(s.all, c)
	if c.log > s.best.log {
		s.best = c
	}
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
	return d.tracks[gauge].shown(c.of(gauge).onset, d.now)
}

// noLiquid is the subcooling below which a machine has none to lose, K.
const noLiquid = 2.0

// pinned tells whether no liquid stands behind the condenser, so that subcooling stays
// where it is.
func (d diagnosis) pinned() bool {
	tr, ok := d.tracks[Subcooling]
	return ok && tr.level() < noLiquid
}

// leftOut is how many of the last points must each be dispensable to a finding: one
// wild visit may fit anything.
const leftOut = 4

// confirm works out how sure each suspect is with any one of the last points left out.
func (d diagnosis) confirm(s register.System, events []register.Event, points []point) {
	for _, x := range d.suspects {
		x.sure = x.odds
	}
	for k := len(points) - 1; k >= max(leastTrack, len(points)-leftOut); k-- {
		rest := append(append([]point{}, points[:k]...), points[k+1:]...)
		without, ok := diagnose(s, events, rest)
		for kind, x := range d.suspects {
			if y := without.suspects[kind]; ok && y != nil {
				x.sure = math.Min(x.sure, y.odds)
			} else {
				x.sure = math.Inf(-1)
			}
		}
	}
}
