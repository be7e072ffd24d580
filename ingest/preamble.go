package ingest

import (
	"math/big"
	"slices"
	"strings"
	"time"

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
	stamp stamp
	line  string
	start bool // the line says that something begins
}

// words of keys, folded.
var (
	zoneKeys   = wordSet("zone timezone zeitzone fuseau huso fuso tijdzone tidszon utc")
	startKeys  = wordSet("start started begin beginn begonnen debut inicio inizio run first from starttime startzeit aanvang")
	pauseKeys  = wordSet("interval intervall intervalle intervallo intervalo")
	unitKeys   = wordSet("unit units einheit einheiten unite unites unidad unidades unita eenheid eenheden unidade enhet enheter")
	systemKeys = wordSet("system circuit anlage kreis kreislauf installation instalacion impianto installatie instalacao anlaggning plant machine maschine")
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
	if s, ok := parseStamp([]byte(text)); ok {
		return big.NewRat(int64(s.hour)*hour+s.micros, second), s.hasTime && s.seconds && !s.hasDate
	}
	d, _, unit, ok := parseNumber([]byte(text), marks{decimal: pointOrComma([]byte(text))})
	u, err := units.Parse(string(unit))
	if !ok || err != nil || u.Quantity != units.Duration || d.mantissa <= 0 {
		return nil, false
	}
	return new(big.Rat).Mul(d.rat(), u.Factor()), true
}

// reference finds a line such as "Pressures: gauge" or "Druck: absolut".
func (p *preamble) reference(l string) {
	t := title{text: l}
	if r := t.reference(); r != units.Unmarked && (t.has("press") || strings.Contains(fold(l), "uberdruck") || strings.Contains(fold(l), "overdruk") || strings.Contains(fold(l), "overtryck")) {
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
func findStamp(text string) (stamp, bool) {
	for i := range len(text) {
		if i > 0 && (isDigit(text[i-1]) || letter(text[i-1])) || !isDigit(text[i]) && !letter(text[i]) {
			continue
		}
		for j := min(len(text), i+48); j >= i+6; j-- {
			if j < len(text) && (isDigit(text[j]) && isDigit(text[j-1]) || letter(text[j]) && letter(text[j-1])) {
				continue
			}
			if s, ok := parseStamp([]byte(strings.TrimSpace(text[i:j]))); ok && s.hasDate && !s.ordinal && plausible(s) {
				return s, true
			}
		}
	}
	return stamp{}, false
}

// plausible tells whether some order makes the stamp a date that a logger can
// show, be its clock set or not.
func plausible(s stamp) bool {
	for o := range orders {
		if days, ok := s.days(order(o)); ok && days >= 0 && days*day < latest {
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
func soleDay(s stamp) (int64, bool) {
	found, day := false, int64(0)
	for o := range orders {
		if d, ok := s.days(order(o)); ok && s.customary(order(o)) {
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
		if s.stamp.hasTime {
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
func readZone(text, why string) (zoneRule, bool) {
	t := strings.TrimSpace(text)
	if z, named, long := longZone(t); long {
		z.why = why
		return z, named
	}
	if strings.Contains(t, "/") {
		if loc, err := time.LoadLocation(t); err == nil {
			return zoneRule{loc: loc, name: t, why: why}, true
		}
	}
	t = strings.Trim(t, "() ")
	if i := strings.IndexAny(t, ")("); i > 0 {
		t = t[:i]
	}
	s, ok := parseStamp([]byte("00:00 " + strings.ReplaceAll(t, " ", "")))
	if ok && s.hasShift {
		return fixedZone(s.offset, why), true
	}
	return zoneRule{}, false
}
