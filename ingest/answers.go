package ingest

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"rimelog/ingest/clock"
	"rimelog/ingest/scan"
	"rimelog/pipeline/register"
	"rimelog/thermo/units"
)

// Answers are what the register says about one upload: for every system it
// belongs to, what reading needs to know.
type Answers struct {
	Systems []SystemAnswers
	Days    []int64     // dates that the file's name gives, in days since 1970
	Start   clock.Stamp // date and time that the file's name gives, if it does

	window window // in which the rows hold that are meant
	strip  strip  // the columns that are meant
}

// SystemAnswers are the register's answers for one system.
type SystemAnswers struct {
	ID       string
	Zone     *time.Location // nil unknown
	Altitude float64        // m; NaN unknown
	Rows     []register.Channel
}

// AnswersFor asks the register about an upload of the systems that claim it.
func AnswersFor(reg *register.Register, path string, systems []string) Answers {
	a := Answers{Days: nameDays(path), Start: nameStart(path)}
	for _, id := range systems {
		s, ok := reg.System(id)
		if !ok {
			continue
		}
		a.Systems = append(a.Systems, SystemAnswers{
			ID: s.ID, Zone: s.Zone, Altitude: s.Altitude,
			Rows: reg.Channels(id, path, time.Time{}),
		})
	}
	return a
}

// startInName finds a year-first date with a time: 2026-05-25_12-05-54, 20260525T1205.
var startInName = regexp.MustCompile(`(?:^|\D)((?:19|20)\d\d)[-_.]?([01]\d)[-_.]?([0-3]\d)[T _-]+([0-2]\d)[-_.h:]?([0-5]\d)(?:[-_.m:]?([0-5]\d))?(?:\D|$)`)

// nameStart is the date and time in a file's name.
func nameStart(path string) clock.Stamp {
	m := startInName.FindStringSubmatch(path[strings.LastIndexByte(path, '/')+1:])
	if m == nil {
		return clock.Stamp{}
	}
	if m[6] == "" {
		m[6] = "00"
	}
	s, ok := clock.ParseStamp([]byte(fmt.Sprintf("%s-%s-%s %s:%s:%s", m[1], m[2], m[3], m[4], m[5], m[6])))
	if !ok || !plausible(s) {
		return clock.Stamp{}
	}
	return s
}

// nameDays are the unequivocal dates in a file's name.
func nameDays(path string) []int64 {
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
			if s, ok := clock.ParseStamp([]byte(name[i : i+n])); ok && s.HasDate && plausible(s) {
				if d, ok := soleDay(s); ok {
					return []int64{d}
				}
			}
		}
	}
	return nil
}

// rowFor finds the row that speaks of a column: by its header, or by its place.
func (a SystemAnswers) rowFor(index int, header string, at time.Time) (register.Channel, bool) {
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
	t := readTitle(header)
	return heading{plainHeader(header), plainHeader(t.name), t.label == ""}
}

// is tells whether a copy is of the heading: case and blanks do not count, and the unit
// may be left out.
func (h heading) is(copied string) bool {
	plain := plainHeader(copied)
	if plain == h.plain || plain == h.name {
		return true
	}
	return h.bare && plainHeader(readTitle(copied).name) == h.plain
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

// A timeAnswer is what a row for the channel "time" says.
type timeAnswer struct {
	order    clock.Order
	hasOrder bool
	zone     clock.ZoneRule
	hasZone  bool
	start    clock.Stamp
	hasStart bool
	ahead    int64 // of the true time, in microseconds
	line     int
}

func (a Answers) time() timeAnswer {
	r, ok := a.timeRow()
	if !ok {
		return timeAnswer{}
	}
	t := timeAnswer{line: r.Line}
	text := r.Unit
	for o := range clock.Order(clock.Orders) {
		name := o.String()
		if i := strings.Index(text, name); i >= 0 {
			t.order, t.hasOrder = o, true
			text = text[:i] + text[i+len(name):]
		}
	}
	if m := clockAhead.FindStringSubmatch(text); m != nil {
		seconds, _ := strconv.ParseInt(m[2], 10, 32)
		if t.ahead = seconds * clock.Second; m[1] == "behind" {
			t.ahead = -t.ahead
		}
		text = strings.Replace(text, m[0], "", 1)
	}
	if i := strings.Index(text, "start "); i >= 0 {
		t.start, t.hasStart = findStamp(text[i:])
		text = text[:i]
	}
	if text = strings.TrimSpace(text); text != "" {
		t.zone, t.hasZone = readZone(text, fmt.Sprintf("channels.csv line %d", r.Line))
	}
	return t
}

// clockAhead finds what a row says of a clock that is off: "ahead 37 s".
var clockAhead = regexp.MustCompile(`(ahead|behind) (\d{1,9}) s\b`)

// decimalMark is the decimal mark that a row's unit cell gives: "W decimal comma".
func (a Answers) decimalMark() (mark byte, line int) {
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

// unitLabel is a row's unit without what it says of the decimal mark.
func unitLabel(r register.Channel) string {
	u := r.Unit
	for _, s := range []string{"decimal comma", "decimal point"} {
		if strings.HasSuffix(strings.ToLower(u), s) {
			u = u[:len(u)-len(s)]
		}
	}
	return strings.TrimSpace(u)
}

// rowReference is the reference that a row gives, in its own column or its unit.
func rowReference(r register.Channel) units.Reference {
	switch r.Reference {
	case register.Gauge:
		return units.Gauge
	case register.Absolute:
		return units.Absolute
	}
	if u, err := units.Parse(unitLabel(r)); err == nil {
		return u.Reference
	}
	return units.Unmarked
}

// A Question is what nobody but the user can settle, with the line of
// register/channels.csv that does.
type Question struct {
	Question     string `json:"question"`
	RegisterLine string `json:"register_line"`
	Waits        bool   `json:"values_wait"` // until then values are not taken; otherwise they are in doubt
}
