package demofleet

import (
	"io"
	"maps"
	"slices"
	"strings"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/register"
)

// A registerFile is one table of the register and how it is written.
type registerFile struct {
	name  string
	write func(io.Writer) error
}

// register writes down what the firm knows, and returns what is wrong in it.
func (f *fleet) register() ([]registerFile, []truth.Slip) {
	s := &scribe{mix: f.options.Mix.Slips, fleet: f}
	systems, events := s.systems(), s.events()
	channels, instruments := s.channels(), f.instruments()
	return []registerFile{
		{"channels.csv", func(w io.Writer) error { return register.WriteChannels(w, channels) }},
		{"events.csv", func(w io.Writer) error { return register.WriteEvents(w, events) }},
		{"instruments.csv", func(w io.Writer) error { return register.WriteInstruments(w, instruments) }},
		{"systems.csv", func(w io.Writer) error { return register.WriteSystems(w, systems) }},
	}, s.slips
}

// instruments lists what hangs on the firm's loggers.
func (f *fleet) instruments() []register.Instrument {
	var rows []register.Instrument
	for _, k := range f.everyKit() {
		rows = append(rows, k.rows(f.options.Start)...)
	}
	return rows
}

// everyKit lists the kits with those that follow them, and the permanent loggers.
func (f *fleet) everyKit() []*kit {
	var all []*kit
	for _, k := range f.kits {
		for ; k != nil; k = k.heir {
			all = append(all, k)
		}
	}
	all = append(all, f.single...)
	for _, m := range f.machines {
		if m.fixed != nil {
			all = append(all, m.fixed)
		}
	}
	return all
}

// channels says which instrument stands behind each column of a system's files,
// and what the columns of terse loggers mean.
func (s *scribe) channels() []register.Channel {
	var rows []register.Channel
	for i, nameless := range s.lots("serial", s.mix.SerialMissing) {
		m := s.fleet.machines[i]
		for _, row := range s.fleet.channelRows(m) {
			if nameless {
				row.Instrument = ""
			}
			rows = append(rows, row)
		}
		if nameless {
			s.slip("channels", m.truth.ID, "instrument", "known", "")
		}
	}
	return rows
}

// channelRows are the rows of a system's channels.
func (f *fleet) channelRows(m *machine) []register.Channel {
	used := map[*kit]map[quantity]bool{}
	for _, v := range f.visits[m] {
		if used[v.kit] == nil {
			used[v.kit] = map[quantity]bool{}
		}
		for _, q := range v.channels {
			used[v.kit][q] = true
		}
	}
	var rows []register.Channel
	byName := func(a, b *kit) int { return strings.Compare(a.name, b.name) }
	for _, k := range slices.SortedFunc(maps.Keys(used), byName) {
		for q := range quantities {
			if used[k][q] {
				rows = append(rows, m.channelRow(k, q))
			}
		}
	}
	return rows
}

func (m *machine) channelRow(k *kit, q quantity) register.Channel {
	d := &k.dialect
	u := d.units[q.class()]
	row := register.Channel{
		System: m.truth.ID, File: m.truth.ID + "/**/*-" + k.name + ".*", Column: d.title(m.name(d, q), u.label),
		Channel: m.channel(q), Index: q.index(), Sign: 1,
	}
	if q < power || k.rated[q] > 0 {
		row.Instrument = k.sensors[q].serial
	}
	if q.pressure() && u.label == "bar" {
		row.Unit, row.Reference = "bar", register.Gauge
	}
	return row
}
