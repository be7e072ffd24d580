package drift

import (
	"math"
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
	odds        float64 // logarithm of its odds against nothing being wrong
	sure        float64 // the same, whichever one of the last visits is left out
	probability float64 // against everything else
	best        candidate
	all         []candidate
}

// A candidate is a fault with an onset.
type candidate struct {
	fault    *fault
	onset    float64
	log      float64 // evidence over that of no change, with how often it happens
	readings map[string]reading
}

// onsetsTried is how many onsets are tried at most.
const onsetsTried = 12

// diagnose weighs what may be wrong, from points in time order; not ok where there are
// too few.
func diagnose(s register.System, events []register.Event, points []point) (diagnosis, bool) {
	d := diagnosis{suspects: map[string]*suspect{}, tracks: map[string]track{}}
	if len(points) < leastTrack {
		return d, false
	}
	d.start = points[0].at
	d.now = d.years(points[len(points)-1].at)
	for _, g := range gauges(s) {
		if tr, ok := newTrack(g, points, events, d.start); ok {
			d.tracks[g.column] = tr
		}
	}
	list := faults(s, d.pinned())
	for _, c := range d.candidates(list, d.onsets(points), events) {
		d.suspect(c)
	}
	d.share()
	return d, len(d.suspects) > 0
}

func (d diagnosis) years(t time.Time) float64 { return float64(t.Sub(d.start)) / year }

// A gap is a time between two points in which a change may have begun.
type gap struct{ from, width float64 }

// onsets are the gaps that are tried; two points at least must lie after one.
func (d diagnosis) onsets(points []point) (out []gap) {
	stride := max(1, (len(points)+onsetsTried-3)/onsetsTried)
	for k := 0; k < len(points)-2; k += stride {
		from := d.years(points[k].at)
		if width := d.years(points[min(len(points)-1, k+stride)].at) - from; width > 0 {
			out = append(out, gap{from, width})
		}
	}
	return out
}

// candidates weighs every fault at every onset after it was last put right.
func (d diagnosis) candidates(list []fault, onsets []gap, events []register.Event) []candidate {
	ended := map[string]float64{}
	for _, f := range list {
		ended[f.kind] = d.ended(f.kind, events)
	}
	out := make([]candidate, 0, len(onsets)*len(list))
	for _, at := range onsets {
		readings := d.read(at.from)
		for k := range list {
			f := &list[k]
			if at.from+at.width <= ended[f.kind] {
				continue
			}
			c := candidate{f, at.from, math.Log(f.hazard * at.width), readings[f.form]}
			for _, g := range order {
				c.log += f.moves[g].weigh(c.readings[g])
			}
			out = append(out, c)
		}
	}
	return out
}

// read asks all tracks about changes after an onset.
func (d diagnosis) read(onset float64) (readings [forms]map[string]reading) {
	for k := range forms {
		readings[k] = make(map[string]reading, len(d.tracks))
		for name, tr := range d.tracks {
			readings[k][name] = tr.read(onset, k)
		}
	}
	return readings
}

// order is that of the gauges, so that sums come out the same.
var order = [...]string{Subcooling, Superheat, CondenserTD, EvaporatorTD, Efficiency}

// ended is when a kind of fault was last put right, years since start.
func (d diagnosis) ended(kind string, events []register.Event) float64 {
	last := math.Inf(-1)
	for _, p := range patterns() {
		if p.kind != kind {
			continue
		}
		for _, e := range events {
			if p.closedBy(e.Kind) {
				last = math.Max(last, d.years(e.Time))
			}
		}
	}
	return last
}

func (d *diagnosis) suspect(c candidate) {
	s := d.suspects[c.fault.kind]
	if s == nil {
		s = &suspect{odds: math.Inf(-1), sure: math.NaN(), best: c, all: make([]candidate, 0, 2*onsetsTried)}
		d.suspects[c.fault.kind] = s
	}
	s.odds = logSum(s.odds, c.log)
	s.all = append(s.all, c)
	if c.log > s.best.log {
		s.best = c
	}
}

// share turns odds into probabilities.
func (d *diagnosis) share() {
	total := 0.0 // nothing wrong
	for _, k := range kinds {
		if s := d.suspects[k]; s != nil {
			total = logSum(total, s.odds)
		}
	}
	for _, s := range d.suspects {
		s.probability = math.Exp(s.odds - total)
	}
}

// kinds lists the kinds of fault, the same order always.
var kinds = [...]string{ChargeLoss, CondenserFouling, EvaporatorFouling, Restriction, Wear, Gas, Overcharge, Valve, Unclear}

// size is how far a gauge has moved under a candidate, with its uncertainty.
func (d diagnosis) size(c candidate, gauge string) reading {
	r := c.readings[gauge]
	if c.fault.form == slow {
		span := d.now - c.onset
		return reading{r.size * span, r.sd * span}
	}
	return r
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
