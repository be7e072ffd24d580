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
const Version = 1

// A fleet is everything that is made before any file is written.
type fleet struct {
	options  Options
	machines []*machine
	kits     []*kit // in use from the start, without heirs
	fixed    *kit   // of permanent loggers
	visits   map[*machine][]visit
	events   []register.Event
}

// newFleet draws the fleet of a seed.
func newFleet(o Options) (*fleet, error) {
	f := &fleet{options: o, visits: map[*machine][]visit{}}
	f.outfit()
	days := int(o.end().Sub(o.Start).Hours()/24) + 1
	skies := make([]*weather, len(climates))
	for i, c := range climates {
		skies[i] = newWeather(c, o.Start, days, chance(o.Seed, "weather", c.name))
	}
	fluids := fluidTables{}
	kinds := f.deal()
	lots := fates(chance(o.Seed, "fates"), o.Systems)
	for i := range o.Systems {
		s := sites[i%len(sites)]
		k := kinds[i]
		id := fmt.Sprintf("%s-%s%d", s.code, k.code, 1+i/len(sites))
		m, err := drawMachine(chance(o.Seed, "system", i), k, s, skies[s.climate], id, fluids)
		if err != nil {
			return nil, err
		}
		f.settle(i, m, lots[i])
	}
	return f, nil
}

// settle gives a machine its visits and its life.
func (f *fleet) settle(i int, m *machine, lot fate) {
	o := f.options
	last := o.end()
	if i < o.Permanent {
		last = last.AddDate(0, 0, -o.PermanentDays) // the permanent log takes over
	}
	v := m.drawVisits(chance(o.Seed, "visits", i), o.Start, last, f.kits)
	f.events = append(f.events, m.live(chance(o.Seed, "life", i), lot, o.Start, o.end(), v)...)
	for _, x := range v {
		m.truth.Visits = append(m.truth.Visits, x.start.UTC())
	}
	if i < o.Permanent {
		v = append(v, f.permanent(m)...)
	}
	f.visits[m] = v
	f.machines = append(f.machines, m)
}

// outfit draws the firm's loggers. One wears out and is replaced by another of
// the same make: a change of instruments that is no change of any machine.
func (f *fleet) outfit() {
	fit := func(name string, d dialect, c class, interval int) *kit {
		return newKit(chance(f.options.Seed, "kit", name), name, d, c, time.Duration(interval)*time.Second)
	}
	f.kits = []*kit{
		fit("PQ1", pelliq, fair, 15), fit("TV1", torvane, fine, 10), fit("DB1", drellbox, fair, 30),
		fit("UM1", umbrik, simple, 20), fit("YF1", yoffle, fair, 15),
	}
	old := f.kits[0]
	old.retired = f.options.Start.Add(f.options.end().Sub(f.options.Start) * 6 / 10)
	old.heir = fit("PQ2", pelliq, fair, 15)
	f.fixed = fit("OK1", oskelund, fine, 60)
}

// deal chooses the kind of each system, in proportion to their shares.
func (f *fleet) deal() []recipe {
	var deck []recipe
	for _, k := range recipes {
		for range k.share {
			deck = append(deck, k)
		}
	}
	r := chance(f.options.Seed, "kinds")
	kinds := make([]recipe, f.options.Systems)
	for i := range kinds {
		if i%len(deck) == 0 {
			r.Shuffle(len(deck), func(a, b int) { deck[a], deck[b] = deck[b], deck[a] })
		}
		kinds[i] = deck[i%len(deck)]
	}
	return kinds
}

// permanent lays a permanent log over the last days, a file for each month.
func (f *fleet) permanent(m *machine) []visit {
	end := f.options.end().Truncate(24 * time.Hour)
	var list []visit
	channels := []quantity{suctionPressure, dischargePressure, suctionTemp, dischargeTemp, liquidTemp, outdoorTemp, sourceIn, power}
	if m.sinkMedium != outdoorAir {
		channels = append(channels, sinkIn)
	}
	for at := end.AddDate(0, 0, -f.options.PermanentDays); at.Before(end); {
		next := time.Date(at.Year(), at.Month()+1, 1, 0, 0, 0, 0, time.UTC)
		if next.After(end) {
			next = end
		}
		list = append(list, visit{start: at, length: next.Sub(at), kit: f.fixed, channels: channels, cycling: true})
		at = next
	}
	return list
}

// event is a register row about the machine.
func (m *machine) event(at time.Time, k register.EventKind, kg float64) register.Event {
	e := register.Event{
		System: m.truth.ID, Time: at.In(m.weather.location()), HasTime: true, Kind: k,
		KG: math.NaN(), Company: company,
	}
	if k == register.ChargeAdded {
		e.KG = math.Round(kg*1000) / 1000
		e.Refrigerant = m.truth.Refrigerant
	}
	return e
}

// path is where the file of a visit lies below uploads/.
func (m *machine) path(v visit) string {
	return fmt.Sprintf("%s/%s-%s.%s", m.truth.ID, v.start.Format("2006-01-02"), v.kit.name, v.kit.dialect.extension)
}

// truthOf is what is known of the fleet, without its files.
func (f *fleet) truthOf() truth.Fleet {
	t := truth.Fleet{Seed: f.options.Seed, Version: Version, Start: f.options.Start, End: f.options.end()}
	for _, m := range f.machines {
		t.Systems = append(t.Systems, m.truth)
	}
	return t
}
