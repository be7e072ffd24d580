package demofleet

import (
	"time"

	"rimelog/ingest/demofleet/plant"
	"rimelog/ingest/demofleet/truth"
)

// cures are the faults whose effect is told, each with what takes it away.
var cures = []struct {
	fault truth.Fault
	cure  func(*plant.Faults)
}{
	{truth.CondenserFouling, func(f *plant.Faults) { f.CondenserFouling = 0 }},
	{truth.EvaporatorFouling, func(f *plant.Faults) { f.EvaporatorFouling = 0 }},
	{truth.Restriction, func(f *plant.Faults) { f.Restriction = 0 }},
	{truth.Wear, func(f *plant.Faults) { f.Wear = 0 }},
	{truth.ForeignGas, func(f *plant.Faults) { f.Gas = 0 }},
	{truth.ValveStuck, func(f *plant.Faults) { f.ValveStuck = 0 }},
}

// effects are those of what was wrong in a record: once in that of a visit, once a day
// in a permanent one. Where no point is found without a fault nothing is told of it.
func (t *trace) effects() (list []truth.Effect) {
	if t.tripped {
		return nil
	}
	for _, k := range t.typical() {
		for _, x := range cures {
			if t.m.truth.Fault(x.fault, k.at) == 0 {
				continue
			}
			sound, faults := k.c, t.m.placed(k.c.Faults, k.at)
			x.cure(&faults)
			sound.Faults = t.m.placed(faults, k.at)
			if p, err := k.mode.plant.Solve(sound, k.mode.point, k.mode.design); err == nil {
				list = append(list, t.m.effect(x.fault, k, p))
			}
		}
	}
	return list
}

// effect is what a fault does at a knot, against the point without it.
func (m *machine) effect(fault truth.Fault, k knot, sound plant.Point) truth.Effect {
	return truth.Effect{
		Time: k.at.UTC(), Fault: fault,
		Condenser: k.p.DischargeDew - sound.DischargeDew, Evaporator: sound.SuctionDew - k.p.SuctionDew,
		Capacity: 1 - m.useful(k.p, k.at)/m.useful(sound, k.at),
	}
}

// typical are the knots that stand for a record: of a visit the one in its middle, before
// any work; of a permanent record one in the middle of each day.
func (t *trace) typical() (list []knot) {
	middle := t.v.start.Add(t.v.length / 2)
	if !t.v.work.IsZero() {
		middle = t.v.start.Add(t.v.work.Sub(t.v.start) / 2)
	}
	if t.v.cycling {
		middle = t.v.start.Truncate(24 * time.Hour).Add(12 * time.Hour)
	}
	for _, k := range t.knots {
		if k.at.Before(middle) {
			continue
		}
		list = append(list, k)
		if !t.v.cycling {
			break
		}
		middle = middle.Add(24 * time.Hour)
	}
	return list
}
