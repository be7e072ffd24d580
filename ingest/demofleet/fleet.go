package demofleet

import (
	"fmt"
	"math"
	"time"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/register"
)

// Version is of the simulator: it is raised when the same seed gives another
// fleet.
const Version = 31

// A fleet is everything that is drawn before any file is written.
type fleet struct {
	options  Options
	machines []*machine
	kits     []*kit // in use from the start, without heirs
	single   []*kit // those that come to one system only
	visits   map[*machine][]*visit
	events   []register.Event
}

// newFleet draws the fleet of a seed.
func newFleet(o Options) (*fleet, error) {
	f := &fleet{options: o, visits: map[*machine][]*visit{}}
	f.outfit()
	days := int(o.end().Sub(o.Start).Hours()/24) + 1
	skies := make([]*weather, len(climates))
	for i, c := range climates {
		var err error
		if skies[i], err = newWeather(o.Mix.Weather.of(c), o.Mix.Weather.Persistence, o.Start, days, chance(o.Seed, "weather", c.name)); err != nil {
			return nil, err
		}
	}
	fluids := fluidTables{}
	kinds, meters := f.deal(), o.Mix.Meters.lots(o.Seed, o.Systems)
	for i := range o.Systems {
		s := sites[i%len(sites)]
		id := fmt.Sprintf("%s-%s%d", s.code, kinds[i].code, 1+i/len(sites))
		r := chance(o.Seed, "system", i)
		m, err := drawMachine(r, chance(o.Seed, "controls", i), kinds[i], s, skies[s.climate], id, fluids, o.Mix)
		if err != nil {
			return nil, err
		}
		m.home = o.Mix.chooseKit(r, f.kits)
		m.meter(chance(o.Seed, "meters", i), meters, i, o.Mix.Machines)
		m.sense(chance(o.Seed, "signals", i), o.Mix)
		f.machines = append(f.machines, m)
	}
	return f, f.live(fluids)
}

// lots are which systems get what, by the name of what they get.
func (f *fleet) lots() map[string][]bool {
	o, hit := f.options, map[string][]bool{}
	for _, t := range o.Mix.Faults.troubles() {
		hit[t.name] = deal(chance(o.Seed, "who", t.name), t.Share, o.Systems)
	}
	o.Mix.Faults.join(hit, o.Seed, o.Systems)
	c := o.Mix.Changes
	for name, share := range map[string]float64{"setting": c.Setting, "part": c.Part, "flow": c.Flow, "retrofit": c.Retrofit, "set": c.Set, "own set": o.Mix.Visits.OwnSet} {
		hit[name] = deal(chance(o.Seed, "who", name), share, o.Systems)
	}
	return hit
}

// live gives every system its visits and what happens to it.
func (f *fleet) live(fluids fluidTables) error {
	o := f.options
	hit := f.lots()
	for i, m := range f.machines {
		l := &life{m: m, start: o.Start, end: o.end(), kits: f.kits, mix: o.Mix, sets: chance(o.Seed, "sets", i), fit: f.fitSingle(i)}
		if i < o.Permanent {
			l.end = l.end.AddDate(0, 0, -o.PermanentDays) // the permanent logger takes over
		}
		l.settle(hit["own set"][i], hit["set"][i])
		l.plan(chance(o.Seed, "visits", i))
		if o.Logging == Permanent {
			l.visits, l.end, l.alone = nil, o.end(), true
		}
		gets := func(name string) bool { return hit[name][i] }
		if err := l.happen(gets, fluids, o.Seed, i); err != nil {
			return err
		}
		f.keep(i, l)
	}
	return nil
}

// keep takes over what was drawn for a system.
func (f *fleet) keep(i int, l *life) {
	for n, v := range l.visits {
		if n > 0 {
			last := l.visits[n-1]
			v.otherKit = v.kit != last.kit
			v.again = !v.otherKit && v.start.YearDay() == last.start.YearDay() && v.start.Year() == last.start.Year()
		}
		l.m.truth.Visits = append(l.m.truth.Visits, v.start.UTC())
	}
	f.events = append(f.events, l.events...)
	f.visits[l.m] = l.visits
	if i < f.options.Permanent {
		kind := stayers[i%len(stayers)]
		if l.m.pockets {
			kind.class = laboratory
		}
		l.m.fixed = f.fit(fmt.Sprintf("%s%d", kind.kit, i+1), kind)
		l.m.fixed.interval = f.options.Interval
		l.m.watched(chance(f.options.Seed, "watched", i), f.options)
		f.visits[l.m] = append(l.visits, f.permanent(l.m)...)
	}
}

// outfit draws the firm's loggers, some of each make. One wears out and is replaced by
// another of the same make: a change of instruments that is no change of any machine.
func (f *fleet) outfit() {
	sets := float64(f.options.Systems) / f.options.Mix.Visits.Sharing
	for n := 1; n <= int(math.Ceil(sets/float64(len(loggers)))); n++ {
		for _, l := range loggers {
			f.kits = append(f.kits, f.fit(fmt.Sprintf("%s%d", l.kit, n), l))
		}
	}
	old := f.kits[0]
	old.retired = f.options.Start.Add(f.options.end().Sub(f.options.Start) * 6 / 10)
	old.heir = f.fit(loggers[0].kit+"0", loggers[0])
}

// fit draws a logger with its instruments.
func (f *fleet) fit(name string, l logger) *kit {
	l = f.options.Mix.differing(chance(f.options.Seed, "differing", name), l)
	return newKit(chance(f.options.Seed, "kit", name), name, l, f.options.Mix.Sensors)
}

// deal chooses the kind of each system, in proportion to the mix.
func (f *fleet) deal() []recipe {
	weights := f.options.Mix.Kinds.weights()
	var sum float64
	for _, w := range weights {
		sum += w
	}
	kinds := make([]recipe, 0, f.options.Systems)
	var due float64
	for k, w := range weights {
		due += w / sum * float64(f.options.Systems)
		for len(kinds) < int(math.Round(due)) {
			kinds = append(kinds, recipes[k])
		}
	}
	r := chance(f.options.Seed, "kinds")
	r.Shuffle(len(kinds), func(a, b int) { kinds[a], kinds[b] = kinds[b], kinds[a] })
	return kinds
}

// permanent lays a permanent logger's record over the last days, a file for each
// month.
func (f *fleet) permanent(m *machine) []*visit {
	end := f.options.end().Truncate(24 * time.Hour)
	var list []*visit
	channels := []quantity{suctionPressure, dischargePressure, suctionTemp, dischargeTemp, liquidTemp, outdoorTemp, sourceIn, power}
	if m.sinkMedium != outdoorAir {
		channels = append(channels, sinkIn)
	}
	channels = append(channels, m.signals()...)
	channels = append(channels, m.meterChannels()...)
	for at := end.AddDate(0, 0, -f.options.PermanentDays); at.Before(end); {
		next := time.Date(at.Year(), at.Month()+1, 1, 0, 0, 0, 0, time.UTC)
		if next.After(end) {
			next = end
		}
		list = append(list, &visit{start: at, length: next.Sub(at), kit: m.fixed, channels: channels, cycling: true})
		at = next
	}
	return list
}

// event is a register row about the machine.
func (m *machine) event(at time.Time, k register.EventKind, kg float64) register.Event {
	e := register.Event{
		System: m.truth.ID, Time: at.In(m.weather.local), HasTime: true, Kind: k,
		KG: math.NaN(), Company: company,
	}
	if k == register.ChargeAdded || k == register.Recovered {
		e.KG = math.Round(kg*1000) / 1000
		e.Refrigerant = m.fluid(at).Name
	}
	return e
}

// path is where the file of a visit lies below uploads/.
func (m *machine) path(v *visit) string {
	day := v.start.Format("2006-01-02")
	if v.again {
		day += "b"
	}
	return fmt.Sprintf("%s/%s-%s.%s", m.truth.ID, day, v.kit.name, v.kit.dialect.extension)
}

// truthOf is what is known of the fleet, without its files.
func (f *fleet) truthOf() truth.Fleet {
	t := truth.Fleet{Seed: f.options.Seed, Version: Version, Start: f.options.Start, End: f.options.end()}
	for _, m := range f.machines {
		t.Systems = append(t.Systems, m.truth)
	}
	for _, k := range f.everyKit() {
		for _, s := range k.sensors {
			t.Sensors = append(t.Sensors, truth.Sensor{
				Serial: s.serial, Kit: k.name, Class: k.class.name,
				Offset: s.offset, PerYear: s.perYear, Contact: s.contact,
			})
		}
	}
	return t
}
