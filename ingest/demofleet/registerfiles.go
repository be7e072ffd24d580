package demofleet

import (
	"io"
	"math"
	"path"
	"slices"
	"strings"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// registerRows is the fleet's register as the firm keeps it: complete for most
// systems, with the gaps and slips that real ones have.
type registerRows struct {
	systems     []register.System
	channels    []register.Channel
	events      []register.Event
	instruments []register.Instrument
}

// register writes down what the firm knows.
func (f *fleet) register() registerRows {
	var rows registerRows
	for i, m := range f.machines {
		rows.systems = append(rows.systems, blur(i, m.row))
		rows.channels = append(rows.channels, f.channelRows(m)...)
	}
	rows.events = slices.Clone(f.events)
	slices.SortStableFunc(rows.events, func(a, b register.Event) int { return a.Time.Compare(b.Time) })
	for _, k := range f.everyKit() {
		rows.instruments = append(rows.instruments, k.rows()...)
	}
	return rows
}

// blur leaves out of a row what firms often do not know.
func blur(i int, row register.System) register.System {
	switch i % 11 {
	case 3:
		row.Charge = register.Charge{KG: math.NaN()}
	case 5:
		row.Charge.Source = register.ChargeEstimated
		row.Charge.KG = math.Round(row.Charge.KG*11) / 10
	case 7:
		row.Expansion, row.Receiver = register.ExpansionUnknown, register.ReceiverUnknown
	case 8:
		if i == 8 {
			row.RefrigerantName = unheardOf
		}
	case 9:
		row.DesignSubcooling, row.DesignSuperheat, row.Altitude = math.NaN(), math.NaN(), math.NaN()
	}
	row.HeadPressureControl = table.Unknown
	return row
}

// unheardOf is a refrigerant that does not exist: a slip of the pen that keeps a
// system from being judged.
const unheardOf = "R1299q"

// everyKit lists the kits with those that follow them.
func (f *fleet) everyKit() []*kit {
	var all []*kit
	for _, k := range append(slices.Clone(f.kits), f.fixed) {
		for ; k != nil; k = k.heir {
			all = append(all, k)
		}
	}
	return all
}

// channelRows say which instrument stands behind each column of a system's
// files, and what the columns of terse loggers mean.
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
	for _, k := range f.everyKit() {
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
		System: m.truth.ID, File: m.truth.ID + "/*-" + k.name + ".*", Column: d.title(m.name(d, q), u.label),
		Channel: m.channel(q), Index: 1, Sign: 1,
	}
	if q != power && q != speed && q != level {
		row.Instrument = k.sensors[q].serial
	}
	if q.pressure() && u.label == "bar" {
		row.Unit, row.Reference = "bar", register.Gauge
	}
	return row
}

// files lists the register's files and how each is written.
func (r registerRows) files() map[string]func(io.Writer) error {
	return map[string]func(io.Writer) error{
		"systems.csv":     func(w io.Writer) error { return register.WriteSystems(w, r.systems) },
		"channels.csv":    func(w io.Writer) error { return register.WriteChannels(w, r.channels) },
		"events.csv":      func(w io.Writer) error { return register.WriteEvents(w, r.events) },
		"instruments.csv": func(w io.Writer) error { return register.WriteInstruments(w, r.instruments) },
	}
}

// underRegister is where a register's file lies in a workspace.
func underRegister(name string) string { return path.Join("register", name) }

// underUploads is where an upload lies in a workspace.
func underUploads(name string) string { return path.Join("uploads", strings.TrimPrefix(name, "/")) }
