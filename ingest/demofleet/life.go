package demofleet

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/register"
)

const year = 8766 * time.Hour

// A trouble is one kind of fault with what the mix says of it.
type trouble struct {
	Trouble
	name  string
	fault truth.Fault
	event register.EventKind // what putting it right is called in the register
}

// icing is the trouble that only rooms below freezing have.
const icing = "icing"

// troubles lists the kinds of fault in a fixed order.
func (f Faults) troubles() []trouble {
	return []trouble{
		{f.Leak, "leak", truth.Leak, register.Repaired},
		{f.SuddenLeak, "sudden leak", truth.Leak, register.Repaired},
		{f.Overcharge, "overcharge", truth.Overcharge, register.Recovered},
		{f.CondenserFouling, "condenser fouling", truth.CondenserFouling, register.CoilCleaned},
		{f.EvaporatorFouling, "evaporator fouling", truth.EvaporatorFouling, register.CoilCleaned},
		{f.Icing, icing, truth.EvaporatorFouling, register.PartChanged},
		{f.Restriction, "restriction", truth.Restriction, register.PartChanged},
		{f.Wear, "wear", truth.Wear, register.PartChanged},
		{f.ForeignGas, "foreign gas", truth.ForeignGas, register.PartChanged},
		{f.ValveClosed, "valve closed", truth.ValveStuck, register.PartChanged},
		{f.ValveOpen, "valve open", truth.ValveStuck, register.PartChanged},
	}
}

// join gives systems that get a fault another one as well, of those that occur.
func (f Faults) join(hit map[string][]bool, seed uint64, systems int) {
	all := slices.DeleteFunc(f.troubles(), func(t trouble) bool { return t.Share == 0 })
	for i := range systems {
		has := func(t trouble) bool { return hit[t.name][i] }
		more := slices.DeleteFunc(slices.Clone(all), has)
		r := chance(seed, "together", i)
		if len(more) > 0 && slices.ContainsFunc(all, has) && r.Float64() < f.Together {
			hit[pick(r, more).name][i] = true
		}
	}
}

// deal chooses which of n systems get something, so that the share comes out as
// exactly as n allows.
func deal(r *rand.Rand, share float64, n int) []bool {
	hit := make([]bool, n)
	for i := range int(math.Round(share * float64(n))) {
		hit[i] = true
	}
	r.Shuffle(n, func(a, b int) { hit[a], hit[b] = hit[b], hit[a] })
	return hit
}

// A life is the record of one system over the years while it is drawn.
type life struct {
	m          *machine
	start, end time.Time
	kits       []*kit
	mix        *Mix
	alone      bool // nobody comes unless called: a permanent logger watches
	usual      *kit // that mostly comes
	after      *kit // that mostly comes from some day on; nil: the same
	from       time.Time
	sets       *rand.Rand // draws sets of instruments that come to this system only
	fit        func(logger) *kit
	visits     []*visit
	events     []register.Event
}

// happen lets happen to the system what it gets.
func (l *life) happen(gets func(name string) bool, fluids fluidTables, seed uint64, i int) error {
	if gets("retrofit") {
		if err := l.retrofit(chance(seed, "retrofit", i), fluids); err != nil {
			return err
		}
	}
	for _, t := range l.mix.Faults.troubles() {
		if gets(t.name) {
			l.suffer(chance(seed, t.name, i), t)
		}
	}
	if gets("setting") {
		l.turn(chance(seed, "setting", i))
	}
	if gets("part") {
		l.replace(chance(seed, "part", i))
	}
	if gets("flow") {
		l.reflow(chance(seed, "flow", i))
	}
	l.hoses(chance(seed, "hoses", i))
	return nil
}

// suffer draws one fault of the system and what is done about it.
func (l *life) suffer(r *rand.Rand, t trouble) {
	if t.name == icing && l.m.defrost == 0 {
		return
	}
	e := truth.Episode{
		Fault: t.fault, PerYear: draw(r, t.PerYear), Sudden: draw(r, t.Sudden), Most: t.Most, Note: "nothing",
		Onset: l.start.Add(time.Duration(draw(r, t.Onset) * float64(l.end.Sub(l.start)))).Truncate(time.Second),
	}
	c := care{noticed: draw(r, t.Noticed)}
	fortune := r.Float64()
	c.called = r.Float64() < t.Called || l.alone
	c.wait = time.Duration(draw(r, l.mix.Faults.Wait) * 24 * float64(time.Hour))
	c.only = fortune >= t.Repaired
	switch {
	case t.fault == truth.Overcharge:
		l.overcharge(r, e, t, c, fortune < t.Repaired)
	case fortune < t.Repaired, fortune < t.Repaired+t.ToppedUp && t.fault == truth.Leak:
		l.handle(r, e, t, c)
	default:
		l.leave(e)
	}
}

// A care is what people do about a fault.
type care struct {
	noticed float64       // size at which somebody sees it
	called  bool          // somebody is called then, not waited for
	wait    time.Duration // until they come
	only    bool          // a leak is topped up only
}

// leave lets a fault go on. A slow leak starts late enough to stay unnoticed: none is
// left open beyond what somebody calls for.
func (l *life) leave(e truth.Episode) {
	if e.Fault == truth.Leak && e.PerYear > 0 {
		if latest := l.end.Add(-time.Duration(l.mix.Faults.Unnoticed / e.PerYear * float64(year))); e.Onset.Before(latest) {
			e.Onset = latest.Truncate(time.Second)
		}
	}
	l.add(e)
}

func (l *life) add(e truth.Episode) { l.m.truth.Episodes = append(l.m.truth.Episodes, e) }

// handle puts a fault right at the first visit that finds it, or at one somebody
// is called for. A leak that is topped up only goes on.
func (l *life) handle(r *rand.Rand, e truth.Episode, t trouble, c care) {
	seen := e.Onset
	if e.PerYear > 0 && c.noticed > e.Sudden {
		seen = seen.Add(time.Duration((c.noticed - e.Sudden) / e.PerYear * float64(year)))
	}
	v := l.visitAfter(r, seen, c)
	if v == nil {
		l.leave(e)
		return
	}
	at := v.intervene()
	size := e.Size(at)
	e.Ended = at
	if e.Fault == truth.Leak {
		l.refill(e, at, size, c.only)
	} else {
		e.Note = "put right"
		l.add(e)
		l.events = append(l.events, l.m.event(at, t.event, size*l.m.truth.Rated(at)))
	}
}

// refill tops up what a leak took, and repairs it unless that is all.
func (l *life) refill(e truth.Episode, at time.Time, size float64, only bool) {
	added := l.m.event(at, register.ChargeAdded, size*l.m.truth.Rated(at))
	if only {
		e.Note = "topped up"
		l.add(e)
		if e.PerYear > 0 {
			l.leave(truth.Episode{Fault: e.Fault, Onset: at, PerYear: e.PerYear, Most: e.Most, Note: "nothing"})
		}
		l.events = append(l.events, added)
		return
	}
	e.Note = "repaired and topped up"
	l.add(e)
	l.events = append(l.events, l.m.event(at, register.Repaired, 0), added)
}

// overcharge adds too much at a visit, which is written down as if it were needed. Some
// is taken out again when it is noticed.
func (l *life) overcharge(r *rand.Rand, e truth.Episode, t trouble, c care, noticed bool) {
	v := l.visitAfter(nil, e.Onset, care{})
	if v == nil {
		return
	}
	e.Onset = v.intervene()
	l.events = append(l.events, l.m.event(e.Onset, register.ChargeAdded, e.Sudden*l.m.truth.Rated(e.Onset)))
	if noticed {
		l.handle(r, e, t, c)
	} else {
		l.leave(e)
	}
}

// visitAfter is the first visit after a time, or one that somebody is called for;
// nil if there is none before the end.
func (l *life) visitAfter(r *rand.Rand, t time.Time, c care) *visit {
	if at := t.Add(c.wait); c.called && at.Before(l.end) {
		v := l.draw(r, at)
		l.visits = append(l.visits, v)
		l.sort()
		return v
	}
	for _, v := range l.visits {
		if v.start.After(t) {
			return v
		}
	}
	return nil
}

func (l *life) sort() {
	slices.SortStableFunc(l.visits, func(a, b *visit) int { return cmp.Compare(a.start.Unix(), b.start.Unix()) })
}

// changed keeps a change that is no fault for the truth.
func (l *life) changed(what string, at time.Time) {
	l.m.truth.Changes = append(l.m.truth.Changes, truth.Change{What: what, At: at.UTC()})
}

// turn turns the thermostat at a visit: a shift that is no fault.
func (l *life) turn(r *rand.Rand) {
	m := l.m
	if m.source != roomAir && m.source != chilledWater || len(l.visits) < 6 {
		return
	}
	by := draw(r, l.mix.Changes.SettingStep)
	if r.Float64() < 0.4 {
		by = -by
	}
	m.reset = change{l.visits[len(l.visits)/2].intervene(), by}
	l.changed(truth.Setpoint, m.reset.from)
	l.events = append(l.events, m.event(m.reset.from, register.SetpointChanged, 0))
}

// replace gives the system a compressor of another size at a visit.
func (l *life) replace(r *rand.Rand) {
	if len(l.visits) < 6 {
		return
	}
	m := l.m
	m.part = change{l.visits[len(l.visits)/3+r.IntN(len(l.visits)/3)].intervene(), draw(r, l.mix.Changes.PartSize)}
	l.changed(truth.Compressor, m.part.from)
	l.events = append(l.events, m.event(m.part.from, register.PartChanged, 0))
}

// successor is what firms fill in where a refrigerant may no longer be had
// (common practice, no source).
var successor = map[string]string{"R22": "R449A", "R404A": "R449A"}

// retrofit fills another refrigerant in at a visit. The compressor is taken to fit.
func (l *life) retrofit(r *rand.Rand, fluids fluidTables) error {
	m := l.m
	name, known := successor[m.truth.Refrigerant]
	if !known || m.reversed != nil || len(l.visits) < 6 {
		return nil
	}
	f, err := fluids.get(name)
	if err != nil {
		return err
	}
	d := m.sketched
	d.Fluid = f
	if d.Check() != nil {
		return nil // its glide does not fit these coils
	}
	var to mode
	if to.plant, to.point, to.design, err = d.Plant(); err != nil {
		return err
	}
	at := l.visits[len(l.visits)/3+r.IntN(len(l.visits)/3)].intervene()
	m.refilled = &to
	m.truth.Retrofit = &truth.Retrofit{From: at, Refrigerant: name, RatedCharge: to.plant.RatedCharge}
	m.row.RefrigerantName = name
	m.row.Charge.KG = math.Round(to.plant.RatedCharge*100) / 100
	e := m.event(at, register.Retrofit, 0)
	e.KG, e.Refrigerant = math.Round(to.plant.RatedCharge*1000)/1000, name
	l.events = append(l.events, e)
	return nil
}

// reflow changes the flow through the evaporator on some day.
func (l *life) reflow(r *rand.Rand) {
	from := l.start.Add(time.Duration(between(r, 0.2, 0.8) * float64(l.end.Sub(l.start)))).Truncate(time.Second)
	l.m.flow = change{from, draw(r, l.mix.Changes.FlowShare)}
	l.changed(truth.Flow, from)
}

// hoses lets hoses take a little refrigerant at visits.
func (l *life) hoses(r *rand.Rand) {
	x := l.mix.Visits
	for _, v := range l.visits {
		if r.Float64() >= x.Hose {
			continue
		}
		lost := min(draw(r, x.HoseKG)/l.m.truth.RatedCharge, x.HoseMost)
		l.add(truth.Episode{Fault: truth.Leak, Onset: v.end(), Sudden: lost, Note: "a hose took it"})
	}
}

// draw draws evenly from a range.
func draw(r *rand.Rand, x Range) float64 { return between(r, x[0], x[1]) }
