package answers

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"rimelog/ingest/clock"
	"rimelog/ingest/dialect"
	"rimelog/ingest/naming"
	"rimelog/ingest/scan"
	"rimelog/pipeline/register"
	"rimelog/thermo/units"
)

// Answers are what the register says about one upload: for every system it
// belongs to, what reading needs to know.
type Answers struct {
	Systems []System
	Days    []int64     // dates that the file's name gives, in days since 1970
	Start   clock.Stamp // date and time that the file's name gives, if it does

	Window Window        // in which the rows hold that are meant
	Strip  dialect.Strip // the columns that are meant
}

// System are the register's answers for one system.
type System struct {
	ID       string
	Zone     *time.Location // nil unknown
	Altitude float64        // m; NaN unknown
	Rows     []register.Channel
}

// For asks the register about an upload of the systems that claim it.
func For(reg *register.Register, path string, systems []string) Answers {
	a := Answers{Days: NameDays(path), Start: NameStart(path)}
	for _, id := range systems {
		s, ok := reg.System(id)
		if !ok {
			continue
		}
		a.Systems = append(a.Systems, System{
			ID: s.ID, Zone: s.Zone, Altitude: s.Altitude,
			Rows: reg.Channels(id, path, time.Time{}),
		})
	}
	return a
}

// startInName finds a year-first date with a time: 2026-05-25_12-05-54, 20260525T1205.
var startInName = regexp.MustCompile(`(?:^|\D)((?:19|20)\d\d)[-_.]?([01]\d)[-_.]?([0-3]\d)[T _-]+([0-2]\d)[-_.h:]?([0-5]\d)(?:[-_.m:]?([0-5]\d))?(?:\D|$)`)

// NameStart is the date and time in a file's name.
func NameStart(path string) clock.Stamp {
	m := startInName.FindStringSubmatch(path[strings.LastIndexByte(path, '/')+1:])
	if m == nil {
		return clock.Stamp{}
	}
	if m[6] == "" {
		m[6] = "00"
	}
	s, ok := clock.ParseStamp([]byte(fmt.Sprintf("%s-%s-%s %s:%s:%s", m[1], m[2], m[3], m[4], m[5], m[6])))
	if !ok || !clock.Plausible(s) {
		return clock.Stamp{}
	}
	return s
}

// NameDays are the unequivocal dates in a file's name.
func NameDays(path string) []int64 {
	name := path[strings.LastIndexByte(path, '/')+1:]
	if i := strings.LastIndexByte(name, '.'); i > 0 {
		name = name[:i]
	}
	name = strings.Map(func(r rune) rune {
		if r == '_' {
			return '-'
		}
		return r
	}, name)
	for i := range name {
		if i > 0 && scan.IsDigit(name[i-1]) || !scan.IsDigit(name[i]) {
			continue
		}
		for _, n := range []int{10, 8} {
			if i+n > len(name) || i+n < len(name) && scan.IsDigit(name[i+n]) {
				continue
			}
			if s, ok := clock.ParseStamp([]byte(name[i : i+n])); ok && s.HasDate && clock.Plausible(s) {
				if d, ok := clock.SoleDay(s); ok {
					return []int64{d}
				}
			}
		}
	}
	return nil
}

// RowFor finds the row that speaks of a column: by its header, or by its place.
func (a System) RowFor(index int, header string, at time.Time) (register.Channel, bool) {
	place, head := fmt.Sprintf("#%d", index+1), headingOf(header)
	for _, r := range a.Rows {
		if !at.IsZero() && !r.ValidAt(at) {
			continue
		}
		if r.Column == place || header != "" && head.is(r.Column) {
			return r, true
		}
	}
	return register.Channel{}, false
}

// A heading is a column's header, to compare with what people copy of it.
type heading struct {
	plain, name string
	bare        bool // it has no unit
}

func headingOf(header string) heading {
	t := naming.Read(header)
	return heading{plainHeader(header), plainHeader(t.Name), t.Label == ""}
}

// is tells whether a copy is of the heading: case and blanks do not count, and the unit
// may be left out.
func (h heading) is(copied string) bool {
	plain := plainHeader(copied)
	if plain == h.plain || plain == h.name {
		return true
	}
	return h.bare && plainHeader(naming.Read(copied).Name) == h.plain
}

func plainHeader(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), " ")) }

// timeRow is the row for the channel "time", whose unit cell holds the order of
// dates, a zone, how far the clock is off and a start in any order: "day first", "month
// first UTC", "Europe/Berlin", "ahead 37 s", "start 2026-05-25 12:05:54".
func (a Answers) timeRow() (register.Channel, bool) {
	for _, s := range a.Systems {
		for _, r := range s.Rows {
			if r.Channel == "time" {
				return r, true
			}
		}
	}
	return register.Channel{}, false
}

// A TimeAnswer is what a row for the channel "time" says.
type TimeAnswer struct {
	Order    clock.Order
	HasOrder bool
	Zone     clock.ZoneRule
	HasZone  bool
	Start    clock.Stamp
	HasStart bool
	Ahead    int64 // of the true time, in microseconds
	Line     int
}

// Time is what the row for the channel "time" says; the zero value where there is none.
func (a Answers) Time() TimeAnswer {
	r, ok := a.timeRow()
	if !ok {
		return TimeAnswer{}
	}
	t := TimeAnswer{Line: r.Line}
	text := r.Unit
	for o := range clock.Order(clock.Orders) {
		name := o.String()
		if i := strings.Index(text, name); i >= 0 {
			t.Order, t.HasOrder = o, true
			text = text[:i] + text[i+len(name):]
		}
	}
	if m := clockAhead.FindStringSubmatch(text); m != nil {
		seconds, _ := strconv.ParseInt(m[2], 10, 32)
		if t.Ahead = seconds * clock.Second; m[1] == "behind" {
			t.Ahead = -t.Ahead
		}
		text = strings.Replace(text, m[0], "", 1)
	}
	if i := strings.Index(text, "start "); i >= 0 {
		t.Start, t.HasStart = clock.FindStamp(text[i:])
		text = text[:i]
	}
	if text = strings.TrimSpace(text); text != "" {
		t.Zone, t.HasZone = clock.ReadZone(text, fmt.Sprintf("channels.csv line %d", r.Line))
	}
	return t
}

// clockAhead finds what a row says of a clock that is off: "ahead 37 s".
var clockAhead = regexp.MustCompile(`(ahead|behind) (\d{1,9}) s\b`)

// DecimalMark is the decimal mark that a row's unit cell gives: "W decimal comma".
func (a Answers) DecimalMark() (mark byte, line int) {
	for _, s := range a.Systems {
		for _, r := range s.Rows {
			switch u := strings.ToLower(r.Unit); {
			case strings.HasSuffix(u, "decimal comma"):
				return ',', r.Line
			case strings.HasSuffix(u, "decimal point"):
				return '.', r.Line
			}
		}
	}
	return 0, 0
}

// UnitLabel is a row's unit without what it says of the decimal mark.
func UnitLabel(r register.Channel) string {
	u := r.Unit
	for _, s := range []string{"decimal comma", "decimal point"} {
		if strings.HasSuffix(strings.ToLower(u), s) {
			u = u[:len(u)-len(s)]
		}
	}
	return strings.TrimSpace(u)
}

// RowReference is the reference that a row gives, in its own column or its unit.
func RowReference(r register.Channel) units.Reference {
	switch r.Reference {
	case register.Gauge:
		return units.Gauge
	case register.Absolute:
		return units.Absolute
	}
	if u, err := units.Parse(UnitLabel(r)); err == nil {
		return u.Reference
	}
	return units.Unmarked
}

// A Window is a stretch of time in which the same rows of the register hold, in
// microseconds since 1970; the zero window is all time.
type Window struct{ From, To int64 }

// Set tells whether it is not all time.
func (w Window) Set() bool { return w != Window{} }

// Holds tells whether a time lies in it.
func (w Window) Holds(utc int64) bool { return utc >= w.From && utc < w.To }
