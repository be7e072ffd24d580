package demofleet

import (
	"bytes"
	"io"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"rimelog/ingest/demofleet/truth"
)

// A recorder writes what a kit's logger makes of a visit. Mistakes are spoilers
// put between the system, the instruments and the file.
type recorder struct {
	machine *machine
	visit   visit
	trace   *trace
	set     *set
	sizes   *Sizes  // of mistakes
	dialect dialect // the logger's, as it is set today
	units   []unit  // of the visit's channels

	buf        []byte  // in which lines are made; whoever makes many records hands it on
	is         reading // of the latest row, before the instruments
	every      time.Duration
	late       func() time.Duration                                 // how late a sample is; nil: never
	bends      []func(now time.Time, x *reading)                    // before the instruments
	shows      []func(now time.Time, q quantity, v float64) float64 // after them
	cells      []func(now time.Time, q quantity) string             // instead of a number
	clock      func(time.Time) time.Time                            // the logger's
	since      time.Time                                            // when the latest mistake began
	unseen     bool                                                 // nothing shows the latest mistake
	markChange time.Time                                            // when the decimal mark changes
	superheat  bool                                                 // a column of superheat, converted as a temperature
	gapFrom    time.Time                                            // nothing is stored from here
	gapTo      time.Time                                            // to here
	mistakes   []truth.Mistake

	quirks    []string
	files     []func(file []byte) []byte // change the whole file
	last      func(file []byte) []byte   // then its encoding
	pack      func(file []byte) []byte   // and its packing
	suffix    string                     // of the file's name
	encoded   bool
	split     func(file []byte) []part // into several files
	trap      string                   // why it cannot be read at all
	restamped bool
}

// newRecorder prepares the record of a visit, with mistakes and quirks, and solves
// it.
func newRecorder(m *machine, v visit, r *rand.Rand, made []mistake, sizes *Sizes, odd []quirk) (*recorder, error) {
	rec := &recorder{machine: m, sizes: sizes, visit: v, dialect: v.kit.dialect, every: v.kit.interval}
	rec.set = v.kit.attach(r, m.site.altitude, m.conditions(v.start, 0).Surround, v.start.Sub(m.weather.start))
	for _, k := range made {
		rec.make(r, k)
	}
	if m.levelled {
		rec.onBend(m.sensed)
	}
	if v.kit.sun != (Range{}) {
		noon := draw(r, v.kit.sun)
		rec.onBend(func(now time.Time, x *reading) { x[outdoorTemp] += noon * m.weather.sunshine(now) })
	}
	if v.cycling {
		m.mistaken(rec)
	}
	for _, k := range odd {
		if k.turn(chance(0, v.start.Unix(), k.id), rec) {
			rec.quirks = append(rec.quirks, k.id)
		}
	}
	rec.happened()
	var err error
	rec.trace, err = newTrace(m, rec.visit, r)
	return rec, err
}

// make makes a mistake, if it can be made here.
func (rec *recorder) make(r *rand.Rand, k mistake) {
	if k.spoil == nil {
		rec.note(k.id, k.doc, rec.visit.start)
		return
	}
	rec.since, rec.unseen = rec.visit.start, false
	spoiled, ok := k.spoil(r, rec)
	if !ok {
		return
	}
	rec.note(k.id, k.doc, rec.since, spoiled...)
	rec.mistakes[len(rec.mistakes)-1].Unseen = rec.unseen
}

// note remembers a mistake, and what is spoilt by it: the whole file where nothing is
// named.
func (rec *recorder) note(id, what string, from time.Time, spoiled ...quantity) {
	t := truth.Mistake{ID: id, What: what, From: from.UTC(), Harmless: harmless[id]}
	for _, q := range spoiled {
		t.Channels = append(t.Channels, rec.machine.channel(q))
	}
	rec.mistakes = append(rec.mistakes, t)
}

// happened notes what is no mistake of who logs, but stands in the trade's list: work
// within the log, and another kit than the time before.
func (rec *recorder) happened() {
	noted := func(id string) bool {
		return slices.ContainsFunc(rec.mistakes, func(m truth.Mistake) bool { return m.ID == id })
	}
	if v := rec.visit; !v.work.IsZero() && !noted("D33") {
		rec.note("D33", "work within the log", v.work)
	}
	if rec.visit.otherKit {
		rec.note("D24", "another kit than the time before", rec.visit.start)
	}
}

func (rec *recorder) onBend(f func(time.Time, *reading)) { rec.bends = append(rec.bends, f) }

func (rec *recorder) onShow(f func(time.Time, quantity, float64) float64) {
	rec.shows = append(rec.shows, f)
}

func (rec *recorder) onCell(f func(time.Time, quantity) string) { rec.cells = append(rec.cells, f) }

func (rec *recorder) logs(q quantity) bool { return slices.Contains(rec.visit.channels, q) }

// moment is some time in the middle of the visit.
func (rec *recorder) moment(r *rand.Rand) time.Time {
	return rec.visit.start.Add(time.Duration(between(r, 0.3, 0.7) * float64(rec.visit.length)))
}

// write writes the file and returns the number of rows.
func (rec *recorder) write(w io.Writer) (int, error) {
	if len(rec.files) == 0 && rec.last == nil && rec.pack == nil {
		return rec.table(w)
	}
	var b bytes.Buffer
	rows, err := rec.table(&b)
	if err != nil {
		return rows, err
	}
	file := b.Bytes()
	for _, f := range rec.files {
		file = f(file)
	}
	_, err = w.Write(rec.finish(file))
	return rows, err
}

// finish encodes and packs a file.
func (rec *recorder) finish(file []byte) []byte {
	for _, f := range []func([]byte) []byte{rec.last, rec.pack} {
		if f != nil {
			file = f(file)
		}
	}
	return file
}

// parts are the files the record is exported to, where it is more than one.
func (rec *recorder) parts() ([]part, int, error) {
	var b bytes.Buffer
	rows, err := rec.table(&b)
	if err != nil {
		return nil, rows, err
	}
	list := rec.split(b.Bytes())
	for i := range list {
		list[i].file = rec.finish(list[i].file)
	}
	return list, rows, nil
}

// table writes the table as the logger does and returns the number of rows.
func (rec *recorder) table(w io.Writer) (int, error) {
	d, v := &rec.dialect, rec.visit
	zone := rec.zone()
	info := fileInfo{serial: rec.set.sensors[suctionPressure].serial, start: rec.told(v.start).In(zone), interval: rec.every}
	buf := d.head(rec.buf[:0], rec.machine, info, v.channels, rec.superheat)
	for _, q := range v.channels {
		rec.units = append(rec.units, d.units[q.class()])
	}
	sums := newSummary(len(v.channels))
	rows := 0
	for now := v.start; now.Before(v.end()); now = now.Add(rec.every) {
		if !rec.markChange.IsZero() && !now.Before(rec.markChange) {
			d.comma, rec.markChange = !d.comma, time.Time{}
		}
		if now.Before(rec.gapFrom) || !now.Before(rec.gapTo) {
			at := now
			if rec.late != nil {
				at = at.Add(rec.late())
			}
			buf = rec.row(buf, at, zone, sums)
			rows++
		}
		if len(buf) > 1<<16 {
			if _, err := w.Write(buf); err != nil {
				return rows, err
			}
			buf = buf[:0]
		}
	}
	if rec.logs(energyCount) {
		rec.counted(v.end()) // the next file goes on from there
	}
	if d.footer && rows > 0 {
		buf = d.foot(buf, sums, v.channels, rec.set.air)
	}
	_, err := w.Write(buf)
	rec.buf = buf
	return rows, err
}

// columns is what the columns of the file truly hold. Mistakes that swap or spoil
// channels are told apart from it.
func (rec *recorder) columns() []truth.Column {
	d := &rec.dialect
	var list []truth.Column
	for _, q := range rec.visit.channels {
		u := d.units[q.class()]
		c := truth.Column{Header: d.title(rec.machine.name(d, q), u.label), Channel: rec.machine.channel(q), Unit: u.truly, Sensor: rec.set.sensors[q].serial}
		if q.pressure() && u.gauge {
			c.Unit += "(g)"
		} else if q.pressure() {
			c.Unit += "(a)"
		}
		list = append(list, c)
	}
	return list
}

// unsound are the logged channels that are off though nobody made a mistake: their clamp sits
// badly, or their pressure sensor has left its limit of error.
func (rec *recorder) unsound() (list []string) {
	for _, q := range rec.visit.channels {
		if rec.set.loose[q] || q.pressure() && !rec.withinLimit(q, rec.set.offset[q]) {
			list = append(list, rec.machine.channel(q))
		}
	}
	return list
}

// zone is that of the file's time stamps.
func (rec *recorder) zone() *time.Location {
	if rec.dialect.utc {
		return time.UTC
	}
	return rec.machine.weather.local
}

// told is a time as the logger's clock has it.
func (rec *recorder) told(t time.Time) time.Time {
	if rec.clock != nil {
		return rec.clock(t)
	}
	return t
}

// row appends one line.
func (rec *recorder) row(buf []byte, now time.Time, zone *time.Location, sums *summary) []byte {
	d := &rec.dialect
	count := 0.0
	if rec.logs(energyCount) {
		count = rec.counted(now)
	}
	rec.is = rec.trace.at(now)
	rec.is[energyCount] = count
	x := &rec.is
	for _, bend := range rec.bends {
		bend(now, x)
	}
	rec.visit.vent(now, x, rec.set.air)
	rec.set.feel(x, now)
	buf = d.stamp(buf, rec.told(now).In(zone), d.delimiter)
	for i, q := range rec.visit.channels {
		shown := rec.set.show(x, q)
		for _, f := range rec.shows {
			shown = f(now, q, shown)
		}
		buf = append(buf, d.delimiter)
		if text := rec.instead(now, q); text != "" {
			buf = append(buf, text...)
			continue
		}
		sums.add(i, shown)
		buf = d.value(buf, rec.units[i], shown, rec.set.air)
	}
	if rec.superheat {
		k := x[suctionTemp] - rec.machine.fluid(now).Dew(x[suctionPressure])
		buf = d.number(append(buf, d.delimiter), asTemperature(k, d.units[temperatures]), 1)
	}
	return append(buf, d.lineEnd...)
}

// asTemperature is a difference in K that somebody converted as if it were a
// temperature: to °F with the 32 added, or from °F with the 32 taken off.
func asTemperature(k float64, u unit) float64 {
	if u.truly == fahrenheit.truly {
		return k*1.8 + 32
	}
	return (k*1.8 - 32) / 1.8
}

// instead is what stands in a cell in place of a number.
func (rec *recorder) instead(now time.Time, q quantity) string {
	for _, f := range rec.cells {
		if text := f(now, q); text != "" {
			return text
		}
	}
	return ""
}

// A summary is what a logger prints below its table.
type summary struct {
	n              []int
	low, high, sum []float64
}

func newSummary(columns int) *summary {
	s := &summary{make([]int, columns), make([]float64, columns), make([]float64, columns), make([]float64, columns)}
	for i := range columns {
		s.low[i], s.high[i] = math.Inf(1), math.Inf(-1)
	}
	return s
}

func (s *summary) add(column int, v float64) {
	s.low[column], s.high[column] = min(s.low[column], v), max(s.high[column], v)
	s.sum[column] += v
	s.n[column]++
}

// foot writes the lowest, highest and mean values below the data.
func (d *dialect) foot(buf []byte, s *summary, channels []quantity, air float64) []byte {
	for row, name := range []string{"Min", "Max", "Mean"} {
		buf = append(buf, name...)
		for range len(d.timeNames) - 1 {
			buf = append(buf, d.delimiter)
		}
		for i, q := range channels {
			buf = append(buf, d.delimiter)
			if s.n[i] == 0 {
				continue
			}
			v := [3]float64{s.low[i], s.high[i], s.sum[i] / float64(s.n[i])}[row]
			buf = d.value(buf, d.units[q.class()], v, air)
		}
		buf = append(buf, d.lineEnd...)
	}
	return buf
}

// withUnit is a copy of a logger's units with one changed.
func withUnit(units map[unitClass]unit, c unitClass, u unit) map[unitClass]unit {
	changed := maps.Clone(units)
	changed[c] = u
	return changed
}

// decay is what is left of a difference after some seconds.
func decay(seconds, lag float64) float64 { return math.Exp(-seconds / lag) }
