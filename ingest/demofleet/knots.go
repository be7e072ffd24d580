package demofleet

import (
	"fmt"
	"math"
	"slices"
	"time"

	"rimelog/ingest/demofleet/plant"
	"rimelog/ingest/demofleet/truth"
)

// A knot is a moment of a record at which the operating point is solved.
type knot struct {
	at    time.Time
	mode  *mode
	c     plant.Conditions
	p     plant.Point
	out   float64 // outdoor air, °C
	run   reading // running at rest
	still reading // standing still
}

// How far knots are apart at first, how far the point halfway may be from the
// mean of its neighbours, and how often a gap is halved to get there.
const (
	knotsOfVisit     = 5 * time.Minute
	knotsOfPermanent = 20 * time.Minute
	knotsWithin      = 0.02 // K
	knotsHalved      = 6
)

// pullDownLag is how fast a warm room is pulled down, s.
const pullDownLag = 1500

// gap is how far the knots of the visit are apart at first.
func (t *trace) gap() time.Duration {
	if t.v.cycling {
		return knotsOfPermanent
	}
	return knotsOfVisit
}

// solve works out the knots. Between two of them all conditions go evenly from one
// to the other; where the plant does not, there are more knots: at kinks, such as
// a valve that is fully open.
func (t *trace) solve() error {
	m, v := t.m, t.v
	var near knot
	t.knots, m.spare = slices.Grow(m.spare[:0], 2*int(v.length/t.gap())+3), nil // as many again in between, mostly
	for at := v.start; ; at = at.Add(t.gap()) {
		c := m.conditions(at, t.ran(at))
		c.Source += v.warm * decay(t.ran(at).Seconds(), pullDownLag)
		c.Speed *= v.step.at(at)
		c.Faults.EvaporatorFouling = 1 - (1-c.Faults.EvaporatorFouling)*(1-t.frost(at))
		k, err := t.knot(at, m.modeAt(at), c, m.weather.outdoor(at), near)
		if err != nil {
			return err
		}
		if len(t.knots) == 0 {
			k.mode.last = k
		}
		if len(t.knots) > 0 && k.mode == near.mode {
			if err := t.fill(near, k, knotsHalved); err != nil {
				return err
			}
		}
		t.knots = append(t.knots, k)
		near = k
		if at.After(v.end()) {
			return nil
		}
	}
}

// knot solves the operating point at a moment from one nearby.
func (t *trace) knot(at time.Time, run *mode, c plant.Conditions, out float64, near knot) (knot, error) {
	if near.mode != run {
		near = run.near(c)
	}
	p, err := run.plant.Solve(c, near.p, near.c)
	if err != nil {
		return knot{}, fmt.Errorf("%s, %s: %w", t.m.truth.ID, at.Format(time.DateTime), err)
	}
	return knot{at, run, c, p, out, t.m.read(p, c, at, out), t.m.rest(p.Level, c, at, out)}, nil
}

// fill puts knots between two, if it takes more.
func (t *trace) fill(a, b knot, halvings int) error {
	if halvings == 0 || a.alike(b) {
		return nil
	}
	at := a.at.Add(b.at.Sub(a.at) / 2)
	near := knot{mode: a.mode, p: a.p.Midway(b.p), c: a.c.Toward(b.c, 0.5)}
	k, err := t.knot(at, a.mode, near.c, (a.out+b.out)/2, near)
	if err != nil {
		return err
	}
	enough := k.halfway(a, b) && ends(a.p) == ends(b.p)
	if !enough {
		if err := t.fill(a, k, halvings-1); err != nil {
			return err
		}
	}
	t.knots = append(t.knots, k)
	if !enough {
		return t.fill(k, b, halvings-1)
	}
	return nil
}

// Changes of conditions between two knots that are too small to bend anything, as long
// as nothing opens, closes or runs dry in between (TestKnotsAreNearEnough holds them to
// that).
const (
	smallTemp   = 0.6   // K
	smallSpeed  = 0.03  // share of full speed
	smallCharge = 0.002 // share of the charge
	smallFault  = 0.01
)

// alike tells whether the plant goes evenly from one knot to the other: nearly the same
// conditions, and the same parts of it at their ends.
func (k knot) alike(b knot) bool {
	x, y := k.c, b.c
	small := func(a, b, most float64) bool { return math.Abs(a-b) <= most }
	return small(x.Source, y.Source, smallTemp) && small(x.Sink, y.Sink, smallTemp) && small(x.Speed, y.Speed, smallSpeed) &&
		small(x.Charge/y.Charge, 1, smallCharge) && small(x.SourceFlow, y.SourceFlow, smallFault) &&
		small(x.Faults.EvaporatorFouling, y.Faults.EvaporatorFouling, smallFault) && x.Faults.ValveStuck == y.Faults.ValveStuck &&
		ends(k.p) == ends(b.p)
}

// ends tells which parts of a plant are at an end of their range.
func ends(p plant.Point) [8]bool {
	return [8]bool{p.ValveQuality > 0, p.Opening >= 1, p.FanFlow >= 1, p.Subcooling > 0, p.ExitQuality > 0, p.Level > 0, p.Flooded > 0, p.Superheat < 0}
}

// halfway tells whether the knot is near the mean of two others; pressures are mixed.
func (k knot) halfway(a, b knot) bool {
	p, x, y, f := k.p, a.p, b.p, k.mode.plant.Fluid
	for _, d := range []float64{
		p.SuctionDew - f.Dew((x.SuctionPressure+y.SuctionPressure)/2),
		p.DischargeDew - f.Dew((x.DischargePressure+y.DischargePressure)/2),
		p.Suction - (x.Suction+y.Suction)/2,
		p.Liquid - (x.Liquid+y.Liquid)/2,
	} {
		if math.Abs(d) > knotsWithin {
			return false
		}
	}
	return true
}

// stand makes the knots of a machine that is off.
func (t *trace) stand() {
	t.knots = nil
	for at := t.v.start; len(t.knots) < 2 || !at.After(t.v.end()); at = at.Add(t.gap()) {
		out := t.m.weather.outdoor(at)
		c := t.m.conditions(at, 0)
		rest := t.m.rest(t.m.levelWith(c.Charge), c, at, out)
		t.knots = append(t.knots, knot{at: at, run: rest, still: rest})
	}
}

// points are the true operating points at the knots.
func (t *trace) points() []truth.Point {
	if t.tripped {
		return nil
	}
	list := make([]truth.Point, len(t.knots))
	for i, k := range t.knots {
		list[i] = t.m.truly(k.p, k.c, k.at, k.out)
	}
	return list
}

// mix goes evenly from one knot to the next, running or standing still.
func (t *trace) mix(now time.Time, running bool, of []quantity) (x reading) {
	if now.Before(t.knots[t.latest].at) {
		t.latest = 0
	}
	for t.latest+2 < len(t.knots) && !now.Before(t.knots[t.latest+1].at) {
		t.latest++
	}
	a, b := &t.knots[t.latest], &t.knots[t.latest+1]
	w := float64(now.Sub(a.at)) / float64(b.at.Sub(a.at))
	from, to := &a.still, &b.still
	if running {
		from, to = &a.run, &b.run
	}
	for _, q := range of {
		x[q] = from[q] + w*(to[q]-from[q])
	}
	return x
}
