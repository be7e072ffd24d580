package layout

import (
	"math/big"
	"slices"
	"strings"

	"rimelog/ingest/clock"
	"rimelog/ingest/dialect"
	"rimelog/ingest/naming"
	"rimelog/ingest/scan"
	"rimelog/thermo/units"
)

// Preamble is what the lines above the header say.
type Preamble struct {
	Lines  []string
	Stamps []PreambleStamp
	Zone   string // as found
	Units  map[units.Quantity]string
	Gauge  units.Reference
	Why    string // the line that gives the reference
	System string

	Intervals []*big.Rat // between samples, in seconds
}

// A PreambleStamp is a date and time in a line above the header.
type PreambleStamp struct {
	Stamp clock.Stamp
	Line  string
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

// PreambleLines is how many lines are looked at for what they say.
const PreambleLines = 100

// ReadPreamble takes what can be understood out of the lines above the header.
func ReadPreamble(lines []string) Preamble {
	p := Preamble{Lines: lines, Units: map[units.Quantity]string{}}
	for _, l := range lines[:min(len(lines), PreambleLines)] {
		p.line(strings.TrimSpace(string(dialect.Uncomment([]byte(l)))))
	}
	return p
}

// Inherit takes from the first lines of a file what a table within it does not say
// itself.
func (p *Preamble) Inherit(above Preamble) {
	p.Lines = slices.Concat(above.Lines, p.Lines)
	if p.Zone == "" {
		p.Zone = above.Zone
	}
	if p.System == "" {
		p.System = above.System
	}
	if p.Gauge == units.Unmarked {
		p.Gauge, p.Why = above.Gauge, above.Why
	}
	if len(p.Stamps) == 0 {
		p.Stamps = above.Stamps
	}
	if len(p.Intervals) == 0 {
		p.Intervals = above.Intervals
	}
	for q, label := range above.Units {
		if p.Units[q] == "" {
			p.Units[q] = label
		}
	}
}

func (p *Preamble) line(l string) {
	if len(l) > 400 {
		l = l[:400]
	}
	key, value := keyValue(l)
	words := naming.Words(key)
	has := func(set map[string]bool) bool {
		for _, w := range words {
			if set[w] {
				return true
			}
		}
		return false
	}
	if s, ok := clock.FindStamp(l); ok {
		p.Stamps = append(p.Stamps, PreambleStamp{s, l, has(startKeys)})
	}
	if has(zoneKeys) && value != "" && p.Zone == "" {
		p.Zone = value
	}
	if has(systemKeys) && value != "" && p.System == "" {
		p.System = value
	}
	if d, ok := duration(value); ok && has(pauseKeys) {
		p.Intervals = append(p.Intervals, d)
	}
	if has(unitKeys) {
		if u, err := units.Parse(value); err == nil {
			p.Units[u.Quantity] = value
		}
	}
	p.reference(l)
}

// duration reads "10 s" or 00:00:10, in seconds.
func duration(text string) (*big.Rat, bool) {
	if s, ok := clock.ParseStamp([]byte(text)); ok {
		return big.NewRat(int64(s.Hour)*clock.Hour+s.Micros, clock.Second), s.HasTime && s.Seconds && !s.HasDate
	}
	d, _, unit, ok := scan.Number([]byte(text), scan.Marks{Decimal: scan.PointOrComma([]byte(text))})
	u, err := units.Parse(string(unit))
	if !ok || err != nil || u.Quantity != units.Duration || d.Mantissa <= 0 {
		return nil, false
	}
	return new(big.Rat).Mul(d.Rat(), u.Factor()), true
}

// reference finds a line such as "Pressures: gauge" or "Druck: absolut".
func (p *Preamble) reference(l string) {
	t := naming.Title{Text: l}
	if r := t.Reference(); r != units.Unmarked && (t.Has("press") || strings.Contains(scan.Fold(l), "uberdruck") || strings.Contains(scan.Fold(l), "overdruk") || strings.Contains(scan.Fold(l), "overtryck")) {
		p.Gauge, p.Why = r, l
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

// Hints are the days that the preamble's unequivocal dates give.
func (p Preamble) Hints() []int64 {
	var h []int64
	for _, s := range p.Stamps {
		if d, ok := clock.SoleDay(s.Stamp); ok {
			h = append(h, d)
		}
	}
	return h
}

// Start is the stamp that the file's clock counts from: the only one, or the only
// one in a line that says so.
func (p Preamble) Start() (PreambleStamp, bool) {
	var all, marked []PreambleStamp
	for _, s := range p.Stamps {
		if s.Stamp.HasTime {
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
	return PreambleStamp{}, false
}

// SaysDate tells whether the words of a line call what it holds a date or a start, or it
// has none.
func SaysDate(text string) bool {
	key, _ := keyValue(text)
	for _, w := range naming.Words(key) {
		if startKeys[w] || naming.Read(w).Has("date") {
			return true
		}
	}
	alone, ok := clock.ParseStamp([]byte(strings.Trim(text, "*#/-=;,\t \"")))
	return ok && alone.HasDate
}
