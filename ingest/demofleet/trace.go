package demofleet

import (
	"errors"
	"math"
	"math/rand/v2"
	"time"

	"rimelog/ingest/demofleet/plant"
	"rimelog/ingest/demofleet/truth"
)

// A trace is how a system runs through a visit, without any instrument: operating
// points at rest at knots some minutes apart, with starts, stops and a hunting
// valve laid over them.
type trace struct {
	m       *machine
	v       visit
	knots   []knot
	latest  int  // knot before the latest time
	tripped bool // the safety chain has it off

	turns  []turn      // still to come
	melted []time.Time // when the evaporator was free of frost: the first before the record, the others ends of defrosts
	on     bool
	since  time.Time // the latest turn
	carry  reading   // values at the latest turn
	asked  time.Time // for electricity, last
}

// A turn is a start or a stop of the compressor.
type turn struct {
	at time.Time
	on bool
}

// Lags after a start, s: discharge gas warms the shell first and is still moving
// a quarter of an hour later; the rest settles within minutes.
var lag = reading{
	suctionPressure: 40, dischargePressure: 60, suctionTemp: 75, dischargeTemp: 400, liquidTemp: 80,
	outdoorTemp: 1, sourceIn: 60, sourceOut: 60, source2In: 60, source3In: 60, sinkIn: 60, sinkOut: 60, power: 20, speed: 2, level: 90, opening: 30,
}

// Lags after a stop, s.
var ease = reading{
	suctionPressure: 150, dischargePressure: 220, suctionTemp: 400, dischargeTemp: 900, liquidTemp: 500,
	outdoorTemp: 1, sourceIn: 120, sourceOut: 60, source2In: 120, source3In: 120, sinkIn: 60, sinkOut: 60, power: 1, speed: 1, level: 200, opening: 5,
}

// newTrace solves the operating points of a visit. Where there is none, the
// safety chain has the compressor off, and the record is of standstill.
func newTrace(m *machine, v visit, r *rand.Rand) (*trace, error) {
	t := &trace{m: m, v: v, since: v.start, asked: v.start}
	t.schedule(r)
	err := t.solve()
	if v.cycling && err == nil {
		t.cycle(r)
	}
	if errors.Is(err, plant.ErrNoPoint) {
		t.turns, t.on, t.tripped = nil, false, true
		t.stand()
		err = nil
	}
	if err != nil {
		return nil, err
	}
	t.carry = t.knots[0].still
	if t.on {
		t.carry = t.knots[0].run
	}
	return t, nil
}

// schedule lays down when the compressor starts and stops.
func (t *trace) schedule(r *rand.Rand) {
	v := t.v
	t.melted = []time.Time{v.start.Add(-time.Duration(r.Float64() * float64(t.m.defrost)))}
	if v.cycling {
		for at := v.start.Add(t.m.defrost); t.m.defrost > 0 && at.Before(v.end()); at = at.Add(t.m.defrost) {
			t.melted = append(t.melted, at.Add(t.m.thaw))
		}
		return
	}
	t.on = v.standing == 0
	if !t.on {
		t.turns = append(t.turns, turn{v.start.Add(v.standing), true})
	}
	if !v.work.IsZero() {
		t.turns = append(t.turns, turn{v.work, false}, turn{v.work.Add(v.busy), true})
	}
}

// cycle lets the thermostat stop and start the compressor as the load asks, and the
// defrosts stop it. A pack's compressors never all stop for the thermostat. Under a
// thermostat of one width cycles are shortest at half load, in proportion to
// 1/(duty (1 - duty)): heat is stored as fast as it is taken out.
func (t *trace) cycle(r *rand.Rand) {
	m, end, thaws := t.m, t.v.end(), t.melted[1:]
	for at := t.v.start.Add(time.Minute); at.Before(end); {
		duty := t.duty(at)
		period := draw(r, m.controls.Cycle) * float64(time.Minute) / (4 * duty * (1 - duty))
		stop, again := at.Add(time.Duration(duty*period)), at.Add(time.Duration(period))
		if m.always {
			stop = again
		}
		if len(thaws) > 0 && thaws[0].Before(again.Add(m.thaw)) {
			stop, again = earlier(stop, thaws[0].Add(-m.thaw)), thaws[0]
			thaws = thaws[1:]
		}
		if stop.After(at) {
			t.turns = append(t.turns, turn{at, true})
		}
		if again.After(stop) && stop.After(at) {
			t.turns = append(t.turns, turn{stop, false})
		}
		at = again
	}
}

// usualCycle is the mean time from start to start at a duty, as cycle draws it.
func (m *machine) usualCycle(duty float64) time.Duration {
	mean := (m.controls.Cycle[0] + m.controls.Cycle[1]) / 2
	return time.Duration(mean * float64(time.Minute) / (4 * duty * (1 - duty)))
}

func earlier(a, b time.Time) time.Time {
	if b.Before(a) {
		return b
	}
	return a
}

// frost is the share of the evaporator's air that frost takes at a time: it grows
// evenly from one defrost to the next.
func (t *trace) frost(at time.Time) float64 {
	if t.m.defrost == 0 {
		return 0
	}
	last := t.melted[0]
	for _, free := range t.melted {
		if !free.After(at) {
			last = free
		}
	}
	return t.m.frost * min(1, float64(at.Sub(last))/float64(t.m.defrost))
}

// settledAfter stands for any time after which pull-down is over.
const settledAfter = 3 * time.Hour

// ran is how long the compressor has run at a time of a visit. A cycling one
// counts as settled: its points are those of running at rest.
func (t *trace) ran(now time.Time) time.Duration {
	ran := settledAfter
	if t.v.cycling {
		return ran
	}
	for _, k := range t.turns {
		if k.on && !now.Before(k.at) {
			ran = now.Sub(k.at)
		}
	}
	return ran
}

// Bounds of steadiness: a system counts as running at rest where pressures,
// superheat and subcooling, without noise and hunting, are this near to where
// they would settle.
const (
	steadyWithin = 0.5 // K
	steadyStep   = 15 * time.Second
	longestStep  = time.Minute // a cycling compressor runs for minutes
)

// steady lists where the system ran as at rest. It does not move the trace on.
func (t *trace) steady() []truth.Stretch {
	walk := *t
	var list []truth.Stretch
	var from time.Time
	step := min(max(steadyStep, t.v.length/4000), longestStep)
	for now := t.v.start; !now.After(t.v.end()); now = now.Add(step) {
		walk.turnTo(now)
		near := walk.on && t.v.connected(now) && walk.near(now)
		switch {
		case near && from.IsZero():
			from = now
		case !near && !from.IsZero():
			list = append(list, truth.Stretch{From: from.UTC(), To: now.Add(-time.Second).UTC()}) // by now it is not
			from = time.Time{}
		}
	}
	if !from.IsZero() {
		list = append(list, truth.Stretch{From: from.UTC(), To: t.v.end().UTC()})
	}
	return list
}

// settling are the quantities by which a system is seen to settle.
var settling = []quantity{suctionPressure, dischargePressure, suctionTemp, liquidTemp}

// near tells whether the running system has settled.
func (t *trace) near(now time.Time) bool {
	if now.Sub(t.since).Seconds() >= settledLags*t.m.controls.Settling*lag[liquidTemp] {
		return true // the slowest of them has settled
	}
	f := t.m.fluid(now)
	rest := t.mix(now, true, settling)
	is := t.settled(now, rest, settling)
	low, high := apart(f, is[suctionPressure], rest[suctionPressure]), apart(f, is[dischargePressure], rest[dischargePressure])
	superheat := is[suctionTemp] - rest[suctionTemp] - low
	subcooling := high - (is[liquidTemp] - rest[liquidTemp])
	for _, d := range []float64{low, high, superheat, subcooling} {
		if math.Abs(d) > steadyWithin {
			return false
		}
	}
	return true
}

// apart is the difference of the dew temperatures at two pressures; that of nearly equal
// ones, less than 0.01 K, is taken for nothing.
func apart(f *plant.Fluid, a, b float64) float64 {
	if math.Abs(a/b-1) < 1e-4 {
		return 0
	}
	return f.Dew(a) - f.Dew(b)
}

// at is the true reading at a time. Times must not go back.
func (t *trace) at(now time.Time) reading {
	t.turnTo(now)
	x := t.value(now, everyQuantity)
	if t.on {
		t.hunt(now, &x)
	}
	return x
}

// turnTo starts and stops the compressor up to a time.
func (t *trace) turnTo(now time.Time) {
	for len(t.turns) > 0 && !now.Before(t.turns[0].at) {
		k := t.turns[0]
		t.carry, t.since, t.on = t.value(k.at, everyQuantity), k.at, k.on
		t.turns = t.turns[1:]
	}
}

// value is the reading of some quantities at a time after the latest turn, without
// hunting.
func (t *trace) value(now time.Time, of []quantity) reading {
	return t.settled(now, t.mix(now, t.on, of), of)
}

// settled is a reading as far as it has settled since the latest turn.
func (t *trace) settled(now time.Time, to reading, of []quantity) reading {
	lags := &ease
	if t.on {
		lags = &lag
	}
	seconds := now.Sub(t.since).Seconds() / t.m.controls.Settling
	for _, q := range of {
		if seconds < settledLags*lags[q] {
			to[q] += (t.carry[q] - to[q]) * decay(seconds, lags[q])
		}
	}
	return to
}

// settledLags is after how many lags nothing is left of a start or a stop.
const settledLags = 20

// A swing is how far a quantity swings with a hunting valve, and how far behind.
type swing struct {
	of    quantity
	size  float64 // per K of superheat: K for temperatures, else a share
	phase float64
}

// swings are those of a laboratory log of an R134a heat pump with a thermostatic
// valve, 0.5 s sampling: superheat 4.3 K wide (95 %), suction gas 5.2 K, liquid
// 2.7 K; standard deviations of suction pressure 3 %, discharge pressure 1.4 %,
// subcooling 1.0 K, discharge gas 0.17 K and current 1.4 %. Phases follow from the
// widths where two of them make a third; the others are assumed.
var swings = []swing{
	{suctionTemp, 1.2, 0},
	{suctionPressure, 0.0195, 0.96},
	{dischargePressure, 0.009, 2},
	{liquidTemp, 0.63, 3.4},
	{dischargeTemp, 0.11, 1},
	{power, 0.009, 2},
}

// hunt lays a valve's swing over a reading. Its mean is zero.
func (t *trace) hunt(now time.Time, x *reading) {
	if t.m.hunting == 0 {
		return
	}
	phase := 2*math.Pi*float64(now.UnixMilli())/1000/t.m.period + t.m.noisePhase
	a := t.m.hunting * (1 + 0.1*math.Sin(phase/7.3))
	for _, s := range swings {
		by := a * s.size * math.Sin(phase-s.phase)
		if s.of.class() == temperatures {
			x[s.of] += by
		} else {
			x[s.of] *= 1 + by
		}
	}
}
