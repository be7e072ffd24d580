package ingest

import (
	"slices"
	"strings"

	"rimelog/ingest/scan"
	"rimelog/thermo/units"
)

// A longLayout is a table with a line for each value: time; channel; value; unit.
// Every channel that the lines name is a column of its own.
type longLayout struct {
	key, value, unit int // places in the line; unit is -1 where there is none
	quality          int // of the value; -1 where there is none
	columns          map[string]*column
}

// A longKey is a channel that the lines of a long table name, with its unit.
type longKey struct{ name, unit string }

// keyWords head the column that names the channel, folded.
var keyWords = scan.WordSet("channel sensor parameter tag variable point quantity signal name kanal messstelle messgrosse fuhler groesse canal capteur parametre grandeur parametro sensore canale magnitud grandezza kanaal opnemer sinal givare storhet")

// planLong finds out whether the file has a line for each value: besides the time
// one column of words that repeat, one of numbers, and perhaps one of units and one that
// says how good the value is. The
// words must be channels, or the header must say so: a column of modes or events
// beside one of values is no long table.
func (p *plan) planLong() {
	l := longLayout{key: -1, value: -1, unit: -1, quality: -1}
	if n := p.layout.columns - len(p.time.columns); n < 2 || n > 4 || p.bare != nil || p.strip.set() {
		return
	}
	for i := range p.titles {
		if slices.Contains(p.time.columns, i) {
			continue
		}
		switch words, numbers, unitsOnly := p.nature(i); {
		case p.titles[i].saysQuality() && l.quality < 0 && i > 0:
			l.quality = i
		case unitsOnly && l.unit < 0:
			l.unit = i
		case words && l.key < 0:
			l.key = i
		case numbers && l.value < 0:
			l.value = i
		default:
			return
		}
	}
	if l.key < 0 || l.value < 0 {
		return
	}
	keys := p.keysOf(l)
	if p.areChannels(l, keys) {
		l.columns = map[string]*column{}
		p.long, p.keys = &l, append(keys, p.found.keys...)
	}
}

// nature tells what a column holds: words, numbers or nothing but units.
func (p *plan) nature(i int) (words, numbers, unitsOnly bool) {
	text, number, unit, all := 0, 0, 0, 0
	for _, k := range p.layout.body {
		c := p.layout.cells[k][i]
		if len(c) == 0 {
			continue
		}
		all++
		switch kindOf(c) {
		case textCell:
			text++
		case numberCell, markerCell:
			number++
		}
		if isUnit(string(c)) {
			unit++
		}
	}
	mostly := func(n int) bool { return n > 0 && n*10 >= all*9 }
	return mostly(text), mostly(number) && !mostly(text), mostly(unit)
}

// keysOf lists the channels that the sample names, in the order of their first line.
func (p *plan) keysOf(l longLayout) (keys []longKey) {
	for _, k := range p.layout.body {
		if key := l.keyOf(p.layout.cells[k]); !hasKey(keys, key.name) {
			keys = append(keys, key)
		}
	}
	return keys
}

func (l longLayout) keyOf(cells [][]byte) longKey {
	k := longKey{name: string(cells[l.key])}
	if l.unit >= 0 {
		k.unit = string(cells[l.unit])
	}
	return k
}

func hasKey(keys []longKey, name string) bool {
	return slices.ContainsFunc(keys, func(k longKey) bool { return k.name == name })
}

// areChannels tells whether the words of the key column name channels.
func (p *plan) areChannels(l longLayout, keys []longKey) bool {
	if len(keys) < 1 || len(keys)*2 > len(p.layout.body) {
		return false
	}
	for _, w := range titleWords(p.titles[l.key].text) {
		if keyWords[w] {
			return true
		}
	}
	known := 0
	for _, k := range keys {
		t := p.longTitle(k)
		if name, _ := t.channel(unitNamed(t.label).Quantity); name != "" {
			known++
		}
	}
	return 2*known >= len(keys) && known > 0
}

// longTitle is the title of a key, as if it were a header.
func (p *plan) longTitle(k longKey) title {
	t := readTitle(k.name)
	if t.label == "" && isUnit(k.unit) {
		t.label = k.unit
	}
	return t
}

// longColumns gives every key its meaning, as planColumns does for headers.
func (p *plan) longColumns(a Answers) {
	l := p.long
	names, labels, titles := p.layout.names, p.layout.labels, p.titles
	for _, k := range p.keys {
		p.layout.names, p.layout.labels, p.titles = slices.Clone(names), slices.Clone(labels), slices.Clone(titles)
		p.layout.names[l.value], p.layout.labels[l.value], p.titles[l.value] = k.name, k.unit, p.longTitle(k)
		p.key = k.name
		list := p.columnsAt(l.value, a, p.firstTime())
		for i, c := range list {
			c.key, c.keyUnit = k.name, k.unit
			c.title.text = k.name
			if i+1 < len(list) {
				c.next = list[i+1]
			}
		}
		l.columns[k.name] = list[0]
		p.columns = append(p.columns, list...)
	}
	p.layout.names, p.layout.labels, p.titles, p.key = names, labels, titles, ""
	for _, i := range []int{l.key, l.value, l.unit, l.quality} {
		if i >= 0 {
			p.columns = append(p.columns, &column{index: i, title: p.titles[i], kind: partColumn})
		}
	}
}

// rowsOf lists the lines of the sample that hold values of a column.
func (p *plan) rowsOf(key string) []int {
	if p.long == nil || key == "" {
		return p.layout.body
	}
	var rows []int
	for _, k := range p.layout.body {
		if string(p.layout.cells[k][p.long.key]) == key {
			rows = append(rows, k)
		}
	}
	return rows
}

// unitNamed is the unit of a label, or none.
func unitNamed(label string) units.Unit {
	u, err := units.Parse(label)
	if err != nil {
		return units.Unit{}
	}
	return u
}

// takeLong gives the one value of a line to the channel that the line names.
func (s *pass) takeLong(utc int64, ended bool) {
	l := s.p.long
	key := string(scan.Trim(s.row[l.key].text))
	chosen := l.columns[key]
	if chosen == nil {
		unit := ""
		if l.unit >= 0 {
			unit = string(scan.Trim(s.row[l.unit].text))
		}
		if len(s.found.keys) < s.p.keyLimit && !hasKey(s.found.keys, key) {
			s.found.keys = append(slices.Clone(s.found.keys), longKey{strings.Clone(key), strings.Clone(unit)})
			s.newKeys = true
		}
		s.lines.Data--
		s.quarantine(s.row[l.key].text, "more channels than the option ingest.column_limit allows")
		return
	}
	v := &s.row[l.value]
	spoilt, bad := s.spoilt(v, l.quality)
	for c := chosen; c != nil; c = c.next {
		switch {
		case bad:
			s.refused(c, v, spoilt)
		case l.unit >= 0 && string(scan.Trim(s.row[l.unit].text)) != c.keyUnit && v.kind == numberCell:
			s.refused(c, v, "its unit is not that of the channel's first line, "+or(c.keyUnit, "none"))
		case !ended && s.cutOff(v) && l.value == s.lastField():
			s.refused(c, v, cutReason)
		default:
			s.value(c, v, utc)
		}
	}
	s.lastRow[l.value] = len(v.text)
}
