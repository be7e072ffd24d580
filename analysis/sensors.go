package analysis

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/register"
	"rimelog/thermo/units"
)

// A sensor is an instrument that measured a quantity, for a time.
type sensor struct {
	instrument register.Instrument
	probe      cycle.Probe // what the instrument says of the sensor's quantity
	from, to   time.Time   // zero: open
}

// A source is an upload behind a month of a system, with the instruments that the
// register names for it, if any.
type source struct {
	part    dataset.PartFile
	path    string // below uploads/
	told    *told
	sensors *sensors

	from int64 // time of its first and last sample, filled in when it is looked at
	to   int64
}

// A told is what a file's own headers tell; most uploads of a logger share it.
type told struct {
	headers     map[string]string   // of its channels, by the register's names
	absolute    []cycle.Quantity    // pressures that its loggers do not count from the air's
	differences []string            // headers under which the logger wrote superheat or subcooling of its own
	sensors     map[string]*sensors // by the places of the register's rows
}

// sharedSources is what uploads tell, by their decisions: worked out once.
type sharedSources struct{ told map[*byte]*told }

func (s *sharedSources) toldBy(b *dataset.Brief) *told {
	if s.told == nil {
		s.told = map[*byte]*told{}
	}
	if known := s.told[b.Decided()]; known != nil {
		return known
	}
	columns := columnsOf(b.Decisions)
	t := &told{headersOf(columns), absoluteOf(columns), ownDifferences(columns), map[string]*sensors{}}
	s.told[b.Decided()] = t
	return t
}

// sources lists the uploads behind a month.
func (s *Stage) sources(id, month string, uploads map[string][]filed) []source {
	var out []source
	for _, p := range uploads[month] {
		rows := s.Register.Channels(id, p.Path, time.Time{})
		for _, part := range p.parts {
			told := s.shared.toldBy(p.brief)
			out = append(out, source{part: part, path: p.Path, told: told, sensors: s.sensors(rows, told)})
		}
	}
	slices.SortFunc(out, source.compare)
	return slices.CompactFunc(out, func(a, b source) bool { return a.compare(b) == 0 })
}

// headersOf are the headers of a file's channels, by the register's names.
func headersOf(columns []decided) map[string]string {
	out := map[string]string{}
	for _, c := range columns {
		out[c.Channel] = c.Name
	}
	return out
}

// absoluteOf are the pressures that a file holds as absolute ones.
func absoluteOf(columns []decided) (out []cycle.Quantity) {
	for _, c := range columns {
		if q, known := quantity(c.Channel); known && c.Reference == units.Absolute.String() {
			out = append(out, q)
		}
	}
	return out
}

// A decided is a column of a file as it was read.
type decided struct {
	Name, Channel string
	Reference     string `json:"pressure_reference"`
}

// columnsOf are the columns of a file, from the decisions of its reading.
func columnsOf(decisions json.RawMessage) []decided {
	var u struct{ Columns []decided }
	if json.Unmarshal(decisions, &u) != nil {
		return nil
	}
	return u.Columns
}

// sensors are the instruments of channel rows, with their canonical text for fingerprints.
type sensors struct {
	list []sensor
	text string
}

// sensors are worked out once for all uploads with the same rows and headers.
func (s *Stage) sensors(rows []register.Channel, told *told) *sensors {
	var places []byte
	for i := range rows {
		if naming(&rows[i]) {
			places = strconv.AppendInt(append(places, ' '), int64(rows[i].Line), 10)
		}
	}
	known := told.sensors[string(places)]
	if known == nil {
		known = &sensors{list: s.sensorsOf(named(rows), told.headers)}
		for _, sn := range known.list {
			i := sn.instrument
			known.text += fmt.Sprintf("\n%v %q %v %v %q %v %v %q %v %v %v %v", sn.probe.Quantity, i.Serial, i.Limit, i.LimitPercent, i.Unit, i.SpanLow, i.SpanHigh, i.Class, i.Offset, i.Calibrated.Unix(), sn.from.UTC(), sn.to.UTC())
		}
		told.sensors[string(places)] = known
	}
	return known
}

// sensorsOf are the instruments of channel rows. Where no row names one, those that other
// files have behind a column of the same name stand in, without a serial number.
func (s *Stage) sensorsOf(rows []register.Channel, headers map[string]string) []sensor {
	out := s.alike(rows, headers)
	for _, row := range rows {
		q, known := quantity(row.Channel)
		if !known {
			continue
		}
		i, ok := s.Register.Instrument(row.Instrument)
		if !ok {
			i = register.NewInstrument(row.Instrument)
		}
		out = append(out, sensor{i, cycle.ProbeOf(q, i), row.From, row.To})
	}
	return out
}

// alike are the instruments that stand in for those that no row names.
func (s *Stage) alike(rows []register.Channel, headers map[string]string) (out []sensor) {
	for _, channel := range slices.Sorted(maps.Keys(headers)) {
		q, known := quantity(channel)
		if !known || slices.ContainsFunc(rows, func(c register.Channel) bool { return c.Channel == channel }) {
			continue
		}
		if i, ok := s.Register.Alike(channel, headers[channel]); ok {
			out = append(out, sensor{instrument: i, probe: cycle.ProbeOf(q, i)})
		}
	}
	return out
}

// spans looks up from when to when each source goes, once for all jobs on a month.
func (s *Stage) spans(ctx context.Context, sources []source) error {
	for i := range sources {
		if sources[i].to != 0 {
			continue
		}
		part, err := s.Dataset.OpenPart(ctx, sources[i].part, dataset.Month{})
		if err != nil {
			return err
		}
		sources[i].from, _ = part.First()
		sources[i].to, _ = part.Last()
		if err := part.Close(); err != nil {
			return err
		}
	}
	return nil
}

// naming tells whether a row names the instrument of a quantity.
func naming(c *register.Channel) bool { return c.Instrument != "" && c.Index <= 1 }

func named(rows []register.Channel) []register.Channel {
	return slices.DeleteFunc(slices.Clone(rows), func(c register.Channel) bool { return !naming(&c) })
}

// quantity is the measured quantity of a channel's name, without its unit.
func quantity(channel string) (cycle.Quantity, bool) {
	for q := cycle.Quantity(0); q.Column() != ""; q++ {
		if strings.HasPrefix(q.Column(), channel+"_") {
			return q, true
		}
	}
	return 0, false
}

// key is the source in canonical text, in pieces, for fingerprints.
func (s *source) key() []string { return []string{s.part.SHA256, " ", s.path, s.sensors.text} }

// compare is the order of keys.
func (s source) compare(other source) int {
	return cmp.Or(strings.Compare(s.part.SHA256, other.part.SHA256), strings.Compare(s.path, other.path), strings.Compare(s.sensors.text, other.sensors.text))
}
