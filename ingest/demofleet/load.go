package demofleet

import (
	"cmp"
	"slices"
	"time"

	"rimelog/ingest/demofleet/plant"
	"rimelog/ingest/demofleet/truth"
)

// Load over the design capacity: a machine has something to spare on the warmest, or
// coldest, days of its climate, and goods, people and hot water ask for something on any
// day (common practice, no source).
const (
	coolingAt10   = 0.5   // at 10 °C outdoors
	coolingPerK   = 0.018 // for each K more
	heatingAt15   = 0.15
	heatingPerK   = 0.028 // for each K less
	heatingFrom   = 15.0  // °C
	leastCapacity = 0.02  // of the design's
)

// load is the heat that room or water asks for at a time, kW, whatever the state of the
// machine is.
func (m *machine) load(t time.Time) float64 {
	out, run := m.weather.outdoor(t), m.modeAt(t)
	if m.kind.Heats() || m.heats(t) {
		return m.busy * run.point.Heating * (heatingAt15 + heatingPerK*max(0, heatingFrom-out))
	}
	return m.busy * run.point.Cooling * max(0, coolingAt10+coolingPerK*(out-10))
}

// useful is what a point gives of what the machine is there for, kW.
func (m *machine) useful(p plant.Point, t time.Time) float64 {
	if m.kind.Heats() || m.heats(t) {
		return p.Heating
	}
	return p.Cooling
}

// duty is the share of the time that the compressor runs about a time: the load over
// what the machine gives in the state it is in.
func (t *trace) duty(at time.Time) float64 {
	i, _ := slices.BinarySearchFunc(t.knots, at, func(k knot, at time.Time) int { return k.at.Compare(at) })
	k := &t.knots[min(i, len(t.knots)-1)]
	return t.m.duty(k.p, at)
}

func (m *machine) duty(p plant.Point, at time.Time) float64 {
	return min(m.controls.Duty[1], max(m.controls.Duty[0], m.load(at)/max(m.useful(p, at), leastCapacity*m.point.Cooling)))
}

// days is what the record's days took and gave by the operating points and the load:
// without starts, noise and meters.
func (t *trace) days() []truth.EnergyDay {
	var list []truth.EnergyDay
	for i, a := range t.knots[:max(len(t.knots)-1, 0)] {
		until := earlier(t.knots[i+1].at, t.v.end())
		if !a.at.Before(until) {
			break // the last knots lie beyond the record
		}
		day := a.at.UTC().Truncate(24 * time.Hour)
		if len(list) == 0 || list[len(list)-1].Day != day {
			list = append(list, truth.EnergyDay{Day: day, Heats: t.m.kind.Heats() || t.m.heats(a.at)})
		}
		t.spend(&list[len(list)-1], a, until.Sub(a.at).Hours())
	}
	return list
}

// spend adds the hours after a knot to a day.
func (t *trace) spend(d *truth.EnergyDay, k knot, hours float64) {
	m := t.m
	run, full, heat := m.duty(k.p, k.at), 1.0, m.useful(k.p, k.at)
	if m.always {
		run = 1
	} else {
		full = m.atPower(run)
	}
	run *= t.m.betweenDefrosts()
	d.Hours += hours
	d.Outdoor += (k.out - d.Outdoor) * hours / d.Hours
	d.Ran += run * hours
	d.Heat += run * full * heat * hours
	d.Compressor += run * full * k.p.Input * hours
	d.Fans += run * m.fans.power(k.p, true) * hours
	d.Idle += (1 - run) * m.fans.power(k.p, false) * hours
	if without, ok := t.without(k); ok {
		d.Without += t.spendWithout(k, without) * hours
		d.WithoutHours += hours
	}
}

// spendWithout is what the meter would count in an hour about a knot at another point,
// for the same load.
func (t *trace) spendWithout(k knot, p plant.Point) float64 {
	m := t.m
	duty, full := 1.0, 1.0 // of a pack's compressors as many run as before: what they do not carry is left undone
	if !m.always {
		duty = m.duty(p, k.at)
		full = m.atPower(duty)
	}
	run, fans := duty*m.betweenDefrosts(), m.metered(p, true)-p.Input
	return run*(full*p.Input+fans) + (1-run)*m.metered(plant.Point{}, false)
}

// betweenDefrosts is the share of the time in which no defrost has the compressor off.
func (m *machine) betweenDefrosts() float64 {
	if m.defrost == 0 {
		return 1
	}
	return 1 - float64(m.thaw)/float64(m.defrost)
}

// atPower is the share of the time it runs in which a cycling machine takes, and gives,
// what it does at rest: it gets there some seconds after each start.
func (m *machine) atPower(duty float64) float64 {
	on := duty * m.usualCycle(duty).Seconds()
	return 1 - m.controls.Settling*(lag[power]-ease[power])/on
}

// without is the point at a knot's conditions had what was put right last not been, but been
// left as large as it was then, and had nothing been filled in with it.
func (t *trace) without(k knot) (plant.Point, bool) {
	c, found := k.c, false
	for _, e := range t.m.lastRight(k.at) {
		if !t.restore(&c, e, k.at) {
			return plant.Point{}, false
		}
		found = true
	}
	if !found {
		return plant.Point{}, false
	}
	p, err := k.mode.plant.Solve(c, k.p, k.c)
	return p, err == nil
}

// restore brings back a fault that was put right, as large as it was then, and takes out what
// was filled in beyond the charge at the same time. Not ok for a fault that cannot be.
func (t *trace) restore(c *plant.Conditions, e truth.Episode, at time.Time) bool {
	size, f := e.Size(e.Ended.Add(-time.Second)), t.m.placed(c.Faults, at)
	switch e.Fault {
	case truth.Leak:
		c.Charge -= (size + t.m.overfilled(e.Ended, at)) * t.m.truth.Rated(at)
	case truth.CondenserFouling:
		f.CondenserFouling += size
	case truth.EvaporatorFouling:
		f.EvaporatorFouling = 1 - (1-f.EvaporatorFouling)*(1-size)
	case truth.Restriction:
		f.Restriction += size
	case truth.Wear:
		f.Wear += size
	case truth.ValveStuck:
		f.ValveStuck = size
	default:
		return false
	}
	c.Faults = t.m.placed(f, at)
	return true
}

// overfilled is the share of the charge that was filled in too much at a time, as far as it
// is still there.
func (m *machine) overfilled(then, at time.Time) (share float64) {
	for _, e := range m.truth.Episodes {
		if e.Fault == truth.Overcharge && e.Onset.Equal(then) {
			share += e.Size(at)
		}
	}
	return share
}

// sameAct is how far apart the work on a machine is that counts as one act.
const sameAct = 7 * 24 * time.Hour

// lastRight are the faults that were put right last before a time, by one act.
func (m *machine) lastRight(at time.Time) (last []truth.Episode) {
	ended := slices.DeleteFunc(slices.Clone(m.truth.Episodes), func(e truth.Episode) bool { return e.Ended.IsZero() || e.Ended.After(at) })
	if len(ended) == 0 {
		return nil
	}
	latest := slices.MaxFunc(ended, func(a, b truth.Episode) int { return cmp.Compare(a.Ended.UnixNano(), b.Ended.UnixNano()) })
	return slices.DeleteFunc(ended, func(e truth.Episode) bool { return latest.Ended.Sub(e.Ended) >= sameAct })
}
