package plan

import (
	"slices"

	"rimelog/ingest/answers"
	"rimelog/ingest/dialect"
	"rimelog/ingest/naming"
	"rimelog/ingest/scan"
)

// A longLayout is a table with a line for each value: time; channel; value; unit.
// Every channel that the lines name is a column of its own.
type longLayout struct {
	Key, Value, Unit int // places in the line; unit is -1 where there is none
	Quality          int // of the value; -1 where there is none
}

// A LongKey is a channel that the lines of a long table name, with its unit.
type LongKey struct{ Name, Unit string }

// keyWords head the column that names the channel, folded.
var keyWords = scan.WordSet("channel sensor parameter tag variable point quantity signal name kanal messstelle messgrosse fuhler groesse canal capteur parametre grandeur parametro sensore canale magnitud grandezza kanaal opnemer sinal givare storhet")

// planLong finds out whether the file has a line for each value: besides the time
// one column of words that repeat, one of numbers, and perhaps one of units and one that
// says how good the value is. The
// words must be channels, or the header must say so: a column of modes or events
// beside one of values is no long table.
func (p *Plan) planLong() {
	l := longLayout{Key: -1, Value: -1, Unit: -1, Quality: -1}
	if n := p.Layout.Columns - len(p.Time.Columns); n < 2 || n > 4 || p.Bare != nil || p.Strip.Set() {
		return
	}
	for i := range p.titles {
		if slices.Contains(p.Time.Columns, i) {
			continue
		}
		switch words, numbers, unitsOnly := p.nature(i); {
		case p.isQuality(i) && l.Quality < 0 && i > 0:
			l.Quality = i
		case unitsOnly && l.Unit < 0:
			l.Unit = i
		case words && l.Key < 0:
			l.Key = i
		case numbers && l.Value < 0:
			l.Value = i
		default:
			return
		}
	}
	if l.Key < 0 || l.Value < 0 {
		return
	}
	keys := p.keysOf(l)
	if p.areChannels(l, keys) {
		p.Long, p.keys = &l, append(keys, p.Found.Keys...)
	}
}

// nature tells what a column holds: words, numbers or nothing but units.
func (p *Plan) nature(i int) (words, numbers, unitsOnly bool) {
	text, number, unit, all := 0, 0, 0, 0
	for _, k := range p.Layout.Body {
		c := p.Layout.Cells[k][i]
		if len(c) == 0 {
			continue
		}
		all++
		switch dialect.KindOf(c) {
		case dialect.TextCell:
			text++
		case dialect.NumberCell, dialect.MarkerCell:
			number++
		}
		if naming.IsUnit(string(c)) {
			unit++
		}
	}
	mostly := func(n int) bool { return n > 0 && n*10 >= all*9 }
	return mostly(text), mostly(number) && !mostly(text), mostly(unit)
}

// keysOf lists the channels that the sample names, in the order of their first line.
func (p *Plan) keysOf(l longLayout) (keys []LongKey) {
	for _, k := range p.Layout.Body {
		if key := l.keyOf(p.Layout.Cells[k]); !HasKey(keys, key.Name) {
			keys = append(keys, key)
		}
	}
	return keys
}

func (l longLayout) keyOf(cells [][]byte) LongKey {
	k := LongKey{Name: string(cells[l.Key])}
	if l.Unit >= 0 {
		k.Unit = string(cells[l.Unit])
	}
	return k
}

// HasKey tells whether a channel of a name is among keys.
func HasKey(keys []LongKey, name string) bool {
	return slices.ContainsFunc(keys, func(k LongKey) bool { return k.Name == name })
}

// areChannels tells whether the words of the key column name channels.
func (p *Plan) areChannels(l longLayout, keys []LongKey) bool {
	if len(keys) < 1 || len(keys)*2 > len(p.Layout.Body) {
		return false
	}
	for _, w := range naming.Words(p.titles[l.Key].Text) {
		if keyWords[w] {
			return true
		}
	}
	known := 0
	for _, k := range keys {
		t := p.longTitle(k)
		if name, _ := t.Channel(naming.UnitNamed(t.Label).Quantity); name != "" {
			known++
		}
	}
	return 2*known >= len(keys) && known > 0
}

// longTitle is the title of a key, as if it were a header.
func (p *Plan) longTitle(k LongKey) naming.Title {
	t := naming.Read(k.Name)
	if t.Label == "" && naming.IsUnit(k.Unit) {
		t.Label = k.Unit
	}
	return t
}

// longColumns gives every key its meaning, as planColumns does for headers.
func (p *Plan) longColumns(a answers.Answers) {
	l := p.Long
	names, labels, titles := p.Layout.Names, p.Layout.Labels, p.titles
	for _, k := range p.keys {
		p.Layout.Names, p.Layout.Labels, p.titles = slices.Clone(names), slices.Clone(labels), slices.Clone(titles)
		p.Layout.Names[l.Value], p.Layout.Labels[l.Value], p.titles[l.Value] = k.Name, k.Unit, p.longTitle(k)
		p.key = k.Name
		list := p.columnsAt(l.Value, a, p.firstTime())
		for _, c := range list {
			c.Key, c.KeyUnit = k.Name, k.Unit
			c.Title.Text = k.Name
		}
		p.Columns = append(p.Columns, list...)
	}
	p.Layout.Names, p.Layout.Labels, p.titles, p.key = names, labels, titles, ""
	for _, i := range []int{l.Key, l.Value, l.Unit, l.Quality} {
		if i >= 0 {
			p.Columns = append(p.Columns, &Column{Index: i, Title: p.titles[i], Kind: PartColumn})
		}
	}
}

// rowsOf lists the lines of the sample that hold values of a column.
func (p *Plan) rowsOf(key string) []int {
	if p.Long == nil || key == "" {
		return p.Layout.Body
	}
	var rows []int
	for _, k := range p.Layout.Body {
		if string(p.Layout.Cells[k][p.Long.Key]) == key {
			rows = append(rows, k)
		}
	}
	return rows
}
