package ingest

import (
	"math/big"
	"slices"
	"strings"
	"time"

	"rimelog/ingest/clock"
	"rimelog/ingest/scan"
	"rimelog/thermo/units"
)

// preamble is what the lines above the header say.
type preamble struct {
	lines  []string
	stamps []preambleStamp
	zone   string // as found
	units  map[units.Quantity]string
	gauge  units.Reference
	why    string // the line that gives the reference
	system string

	intervals []*big.Rat // between samples, in seconds
}

type preambleStamp struct {
	stamp clock.Stamp
	line  string
	start bool // the line says that something begins
}

// words of keys, folded.
var (
	zoneKeys   = scan.WordSet("zone timezone zeitzone fuseau huso fuso tijdzone tidszon utc")
	startKeys  = scan.WordSet("start started begin beginn begonnen debut inicio inizio run first from starttime startzeit aanvang")
	pauseKeys  = scan.WordSet("interval intervall intervalle intervallo intervalo")
	unitKeys   = scan.WordSet("unit units einheit einheiten unite unites unidad unidades unita eenheid eenheden unidade enhet enheter")
	systemKeys = scan.WordSet("system circuit anlage kreis kreislauf installation instalacion impianto installatie instalacao anlaggning plant machine maschine")
)

// preambleLines is how many lines are looked at for what they say.
const preambleLines = 100

// readPreamble takes what can be understood out of the lines above the header.
func readPreamble(lines []string) preamble {
	p := preamble{lines: lines, units: map[units.Quantity]string{}}
	for _, l := range lines[:min(len(lines), preambleLines)] {
		p.line(strings.TrimSpace(string(uncomment([]byte(l)))))
	}
	return p
}

// inherit takes from the first lines of a file what a table within it does not say
// itself.
func (p *preamble) inherit(above preamble) {
	p.lines = slices.Concat(above.lines, p.lines)
	if p.zone == "" {
		p.zone = above.zone
	}
	if p.system == "" {
		p.system = above.system
	}
	if p.gauge == units.Unmarked {
		p.gauge, p.why = above.gauge, above.why
	}
	if len(p.stamps) == 0 {
		p.stamps = above.stamps
	}
	if len(p.intervals) == 0 {
		p.intervals = above.intervals
	}
	for q, label := range above.units {
		if p.units[q] == "" {
			p.units[q] = label
		}
	}
}

func (p *preamble) line(l string) {
	if len(l) > 400 {
		l = l[:400]
	}
	key, value := keyValue(l)
	words := titleWords(key)
	has := func(set map[string]bool) bool {
		for _, w := range words {
			if set[w] {
				return true
			}
		}
		return false
	}
	if s, ok := findStamp(l); ok {
		p.stamps = append(p.stamps, preambleStamp{s, l, has(startKeys)})
	}
	if has(zoneKeys) && value != "" && p.zone == "" {
		p.zone = value
	}
	if has(systemKeys) && value != "" && p.system == "" {
		p.system = value
	}
	if d, ok := duration(value); ok && has(pauseKeys) {
		p.intervals = append(p.intervals, d)
	}
	if has(unitKeys) {
		if u, err := units.Parse(value); err == nil {
			p.units[u.Quantity] = value
		}
	}
	p.reference(l)
}

// duration reads "10 s" or 00:00:10, in seconds.
func duration(text string) (*big.Rat, bool) {
	if s, ok := clock.ParseStamp([]byte(text)); ok {
		return big.NewRat(int64(s.Hour)*clock.Hour+s.Micros, clock.Second), s.HasTime && s.Seconds && !s.HasDate
	}
	d, _, unit, ok := scan.Number([]byte(text), scan.Marks{Decimal: pointOrComma([]byte(text))})
	u, err := units.Parse(string(unit))
	if !ok || err != nil || u.Quantity != units.Duration || d.Mantissa <= 0 {
		return nil, false
	}
	return new(big.Rat).Mul(d.Rat(), u.Factor()), true
}

// reference finds a line such as "Pressures: gauge" or "Druck: absolut".
func (p *preamble) reference(l string) {
	t := title{text: l}
	if r := t.reference(); r != units.Unmarked && (t.has("press") || strings.Contains(scan.Fold(l), "uberdruck") || strings.Contains(scan.Fold(l), "overdruk") || strings.Contains(scan.Fold(l), "overtryck")) {
		p.gauge, p.why = r, l
	}
}

// keyValue cuts a preamble line at its first sign.
func keyValue(l string) (key, value string) {
	i := strings.IndexAny(l, ":=;,\t|")
	if i < 0 {
		return l, ""
	}
	return strings.TrimSpace(l[:i]), strings.Trim(l[i+1:], " \t;,|\"")
}

// findStamp finds the longest date in a text, with its time where there is one.
func findStamp(text string) (clock.Stamp, bool) {
	for i := range len(text) {
		if i > 0 && (scan.IsDigit(text[i-1]) || scan.IsLetter(text[i-1])) || !scan.IsDigit(text[i]) && !scan.IsLetter(text[i]) {
			continue
		}
		for j := min(len(text), i+48); j >= i+6; j-- {
			if j < len(text) && (scan.IsDigit(text[j]) && scan.IsDigit(text[j-1]) || scan.IsLetter(text[j]) && scan.IsLetter(text[j-1])) {
				continue
			}
			if s, ok := clock.ParseStamp([]byte(strings.TrimSpace(text[i:j]))); ok && s.HasDate && !s.Ordinal && plausible(s) {
				return s, true
			}
		}
	}
	return clock.Stamp{}, false
}

// plausible tells whether some order makes the stamp a date that a logger can
// show, be its clock set or not.
func plausible(s clock.Stamp) bool {
	for o := range clock.Orders {
		if days, ok := s.Days(clock.Order(o)); ok && days >= 0 && days*clock.Day < clock.Latest {
			return true
		}
	}
	return false
}

// hints are the days that the preamble's unequivocal dates give.
func (p preamble) hints() []int64 {
	var h []int64
	for _, s := range p.stamps {
		if d, ok := soleDay(s.stamp); ok {
			h = append(h, d)
		}
	}
	return h
}

// soleDay gives a date's day where every order that fits gives the same.
func soleDay(s clock.Stamp) (int64, bool) {
	found, day := false, int64(0)
	for o := range clock.Orders {
		if d, ok := s.Days(clock.Order(o)); ok && s.Customary(clock.Order(o)) {
			if found && d != day {
				return 0, false
			}
			found, day = true, d
		}
	}
	return day, found
}

// start is the stamp that the file's clock counts from: the only one, or the only
// one in a line that says so.
func (p preamble) start() (preambleStamp, bool) {
	var all, marked []preambleStamp
	for _, s := range p.stamps {
		if s.stamp.HasTime {
			all = append(all, s)
			if s.start {
				marked = append(marked, s)
			}
		}
	}
	if len(marked) == 1 {
		return marked[0], true
	}
	if len(marked) == 0 && len(all) == 1 {
		return all[0], true
	}
	return preambleStamp{}, false
}

// readZone reads a zone as loggers and people write it: an offset from UTC, or a
// name of the time zone database. An abbreviation is no zone: it means different
// ones in different places.
func readZone(text, why string) (clock.ZoneRule, bool) {
	t := strings.TrimSpace(text)
	if z, named, long := clock.LongZone(t); long {
		z.Why = why
		return z, named
	}
	if strings.Contains(t, "/") {
		if loc, err := time.LoadLocation(t); err == nil {
			return clock.ZoneRule{Loc: loc, Name: t, Why: why}, true
		}
	}
	t = strings.Trim(t, "() ")
	if i := strings.IndexAny(t, ")("); i > 0 {
		t = t[:i]
	}
	s, ok := clock.ParseStamp([]byte("00:00 " + strings.ReplaceAll(t, " ", "")))
	if ok && s.HasShift {
		return clock.FixedZone(s.Offset, why), true
	}
	return clock.ZoneRule{}, false
}
