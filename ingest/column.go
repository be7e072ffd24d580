package ingest

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
	"rimelog/thermo/units"
)

// columnKind is what becomes of a column's cells.
type columnKind uint8

// The kinds of column.
const (
	timeColumn    columnKind = iota
	channelColumn            // a channel of samples
	stateColumn              // a channel of samples that is yes or no
	extraColumn              // the long table of extras
	partColumn               // names the channel, value and unit of a long table's lines
	skipColumn               // the register says to leave it out, or it has neither name nor value
)

// A column is one column of a file under one meaning.
type column struct {
	index    int
	title    title
	header   string // as found, with its unit
	kind     columnKind
	system   int
	target   table.Column // of samples
	place    int          // which of several alike; 1 where there is one
	unit     units.Unit
	inCells  bool // the unit stands behind each number
	negate   bool
	plus     *big.Rat // added to a gauge pressure, kPa
	logged   bool     // the logged pressure of the air is added instead
	why      []string // what the meaning rests on
	refuse   string   // why no cell of it can be taken
	fromRows bool     // the register says so
	next     *column  // another meaning of the same cells
	key      string   // the channel as the lines of a long table name it
	keyUnit  string   // its unit there
	quality  int      // the column that says how good its values are; 0 for none

	convert [10]units.Conversion
	can     [10]bool
	limit   int64 // largest mantissa
	lo, hi  int64 // what the quantity can be, in mantissas
	bottom  int64 // below this nothing can be

	cells
}

// registerName is the channel's name for the register.
func (c *column) registerName() string {
	if c.target.Name == "" {
		return register.Extra
	}
	return shortName(c.target.Name)
}

// planColumns gives every column its meaning: what the register says, then what
// its header says.
func (p *plan) planColumns(a Answers) {
	at := p.firstTime()
	for i := range p.titles {
		if !p.strip.holds(i) || p.long != nil && !slices.Contains(p.time.columns, i) {
			continue
		}
		if slices.Contains(p.time.columns, i) {
			p.columns = append(p.columns, &column{index: i, title: p.titles[i], kind: timeColumn})
			continue
		}
		p.columns = append(p.columns, p.columnsAt(i, a, at)...)
	}
	if p.long != nil {
		p.longColumns(a)
	}
	p.dropRivals()
	if p.long == nil {
		p.refuseOtherClocks()
		p.noteIntervalEnd()
		p.refuseSeveralDevices()
		p.findQuality()
	}
	for i, c := range p.columns {
		if c.kind == channelColumn {
			p.settle(c, p.columns[:i])
		}
	}
	p.logAir()
}

// firstTime is the time of the first line that has one, for rows that hold from a
// date on.
func (p *plan) firstTime() time.Time {
	if p.time.question != "" || p.bare != nil {
		return time.Time{}
	}
	t := newTimeline(p.time)
	for _, i := range append([]int{p.layout.first}, p.layout.body...) {
		var pick [][]byte
		for _, c := range p.time.columns {
			pick = append(pick, p.layout.cells[i][c])
		}
		if utc, v, _ := t.at(pick); v == timed {
			if p.window.set() {
				utc = max(utc, p.window.from)
			}
			return time.UnixMicro(utc).UTC()
		}
	}
	return time.Time{}
}

func (p *plan) columnsAt(i int, a Answers, at time.Time) []*column {
	var list []*column
	for k, s := range a.Systems {
		if r, ok := s.rowFor(i, p.layout.names[i], at); ok && r.Channel != "time" {
			list = append(list, p.fromRow(i, k, r))
		}
	}
	if len(list) > 0 {
		return list
	}
	return []*column{p.fromTitle(i)}
}

func (p *plan) newColumn(i, system int) *column {
	header := p.columnName(i)
	if l := p.layout.labels[i]; isUnit(l) && p.titles[i].label == l {
		header += " [" + strings.Trim(l, "[]()") + "]"
	}
	if p.twice(i) {
		header = fmt.Sprintf("%s #%d", header, i+1)
	}
	return &column{index: i, title: p.titles[i], header: header, system: system, place: 1, kind: extraColumn}
}

// twice tells whether another column has the same name.
func (p *plan) twice(i int) bool {
	for k, n := range p.layout.names {
		if k != i && n != "" && n == p.layout.names[i] {
			return true
		}
	}
	return false
}

// fromRow gives a column the meaning that the register says.
func (p *plan) fromRow(i, system int, r register.Channel) *column {
	c := p.newColumn(i, system)
	c.fromRows, c.negate = true, r.Sign < 0
	c.why = append(c.why, fmt.Sprintf("channels.csv line %d", r.Line))
	switch r.Channel {
	case register.None:
		c.kind = skipColumn
		return c
	case register.Extra:
		return c
	}
	c.place = max(r.Index, 1)
	for _, t := range sampleTable.Columns {
		if shortName(t.Name) == r.Channel {
			p.become(c, t)
		}
	}
	if label := unitLabel(r); label != "" {
		if u, err := units.Parse(label); err == nil {
			c.unit = u
			c.why = append(c.why, "unit "+u.Label+" from channels.csv")
		} else {
			c.refuse = fmt.Sprintf("channels.csv line %d: %v", r.Line, err)
		}
	}
	if ref := rowReference(r); ref != units.Unmarked && c.unit.Quantity == units.Pressure {
		c.unit = c.unit.WithReference(ref)
		c.why = append(c.why, ref.String()+" by channels.csv")
	}
	return c
}

// fromTitle gives a column the meaning that its header says.
func (p *plan) fromTitle(i int) *column {
	c := p.newColumn(i, 0)
	if p.layout.names[i] == "" && p.emptyColumn(i) {
		c.kind = skipColumn
		return c
	}
	c.unit = p.unitOf(c)
	name, reason := c.title.channel(c.unit.Quantity)
	if name == "" {
		c.why = append(c.why, reason)
		return c
	}
	c.why = append(c.why, reason)
	c.place = max(c.title.index, 1)
	p.become(c, sampleTable.Columns[sampleTable.Index(name)])
	return c
}

// become makes a column a channel. A second or third of several alike has no
// column in samples: it goes to the extras.
func (p *plan) become(c *column, t table.Column) {
	c.target = t
	if c.unit.Label == "" {
		c.unit = p.unitOf(c)
	}
	switch {
	case c.place > 1:
		c.kind = extraColumn
		c.why = append(c.why, fmt.Sprintf("place %d of several alike", c.place))
	case t.Kind == table.Bit:
		c.kind = stateColumn
	default:
		c.kind = channelColumn
	}
}

// unitOf finds a column's unit: in its header, behind its numbers, in the preamble.
func (p *plan) unitOf(c *column) units.Unit {
	label, from := c.title.label, "the header"
	if label == "" {
		label, from = commonUnit(p.cellsOf(c.index)), "the cells"
		c.inCells = label != ""
	}
	if label == "" {
		label, from = p.preambleUnit(c), "the preamble"
	}
	u, err := units.Parse(label)
	if err != nil {
		return units.Unit{}
	}
	c.why = append(c.why, fmt.Sprintf("unit %s from %s", u.Label, from))
	return u
}

func (p *plan) preambleUnit(c *column) string {
	switch {
	case c.title.has("temp"):
		return p.preamble.units[units.Temperature]
	case c.title.has("press"):
		return p.preamble.units[units.Pressure]
	}
	return ""
}

func (p *plan) cellsOf(i int) [][]byte {
	var cells [][]byte
	for _, k := range p.rowsOf(p.key) {
		cells = append(cells, p.layout.cells[k][i])
	}
	return cells
}

func (p *plan) emptyColumn(i int) bool {
	for _, k := range p.layout.body {
		if len(p.layout.cells[k][i]) > 0 {
			return false
		}
	}
	return true
}

// dropRivals sends columns to the extras that mean the same channel, unless the
// register chose one of them.
func (p *plan) dropRivals() {
	rivals := map[string][]*column{}
	for _, c := range p.columns {
		if c.kind == channelColumn || c.kind == stateColumn {
			key := fmt.Sprint(c.system, c.target.Name)
			rivals[key] = append(rivals[key], c)
		}
	}
	for _, list := range rivals {
		chosen := slices.DeleteFunc(slices.Clone(list), func(c *column) bool { return !c.fromRows })
		if len(chosen) == 0 { // a column without a unit could not be taken anyway
			chosen = slices.DeleteFunc(slices.Clone(list), func(c *column) bool { return c.unit.Quantity != quantityOf[c.target.Name] })
		}
		for _, c := range list {
			if len(list) > 1 && (len(chosen) != 1 || c != chosen[0]) {
				c.kind = extraColumn
				taken := "none is taken"
				if len(chosen) == 1 {
					taken = fmt.Sprintf("%q is taken", chosen[0].header)
				}
				c.why = append(c.why, fmt.Sprintf("%d columns mean %s; %s", len(list), shortName(c.target.Name), taken))
			}
		}
	}
	p.askRivals()
}

func (p *plan) askRivals() {
	for _, c := range p.columns {
		if c.kind == extraColumn && c.target.Name != "" && c.place == 1 && len(c.why) > 0 && strings.Contains(c.why[len(c.why)-1], "none is taken") {
			if !c.fromRows {
				row := register.Channel{System: p.systemID(), Column: fmt.Sprintf("#%d", c.index+1), Channel: c.registerName()}
				p.ask(fmt.Sprintf("several columns can be %s: is it %q?", c.registerName(), c.header), register.ChannelLine(row))
			}
		}
	}
}

// unitMissing begins what is said of a column without a unit.
const unitMissing = "the unit of "

// settle checks a channel's unit and a pressure's reference, and prepares the
// conversion of its numbers. Those before it may convert alike.
func (p *plan) settle(c *column, before []*column) {
	want := quantityOf[c.target.Name]
	if c.refuse == "" {
		switch {
		case p.twoUnits(c) != "":
			c.refuse = p.twoUnits(c)
			p.askUnit(c, c.unit.Label)
		case c.unit.Quantity == units.None:
			c.refuse = fmt.Sprintf("%s%q is not known", unitMissing, c.header)
			p.askUnit(c, want.Canonical())
		case c.unit.Quantity != want:
			c.refuse = fmt.Sprintf("%q is in %s, which is no unit of %s", c.header, c.unit.Label, want)
			p.askUnit(c, want.Canonical())
		case want == units.Pressure:
			p.settlePressure(c)
		}
	}
	c.prepare(before)
}

// twoUnits tells where the name of a column gives another unit than the row of units.
func (p *plan) twoUnits(c *column) string {
	name, row := unitNamed(c.title.label), unitNamed(p.layout.labels[c.index])
	if c.fromRows || name.Label == row.Label || name.Quantity == units.None || row.Quantity == units.None {
		return ""
	}
	if name.Quantity == row.Quantity && name.Factor().Cmp(row.Factor()) == 0 && (name.Reference == units.Unmarked || row.Reference == units.Unmarked) && name.Quantity == units.Pressure {
		return ""
	}
	return fmt.Sprintf("its name says %s and the row of units %s", name.Label, row.Label)
}

func (p *plan) askUnit(c *column, unit string) {
	row := register.Channel{System: p.systemID(), Column: p.columnName(c.index), Channel: c.registerName(), Unit: unit}
	p.ask(c.refuse, register.ChannelLine(row))
}

// The largest mantissas of DECIMAL(9) and DECIMAL(18).
const (
	limit32 = 999_999_999
	limit64 = 999_999_999_999_999_999
)

// possible is the range of each quantity beyond which a number can stand for a
// failed sensor, in canonical units. Common practice, no source.
var possible = map[units.Quantity][2]int64{
	units.Temperature: {-100, 300},
	units.Pressure:    {0, 20_000},
	units.Power:       {0, 5_000},
	units.Energy:      {0, math.MaxInt32},
	units.VolumeFlow:  {0, 900},
	units.MassFlow:    {0, 900},
	units.Current:     {0, 5_000},
	units.Voltage:     {0, 40_000},
	units.Frequency:   {0, 500},
	units.Share:       {0, 120},
}

// prepare works out the conversion for every count of decimals.
func (c *column) prepare(before []*column) {
	c.limit = limit32
	if c.target.Kind == table.Fixed64 {
		c.limit = limit64
	}
	scale := int64(1)
	for range c.target.Digits {
		scale *= 10
	}
	r := possible[quantityOf[c.target.Name]]
	c.lo, c.hi = r[0]*scale, r[1]*scale
	c.bottom = math.MinInt64
	switch quantityOf[c.target.Name] {
	case units.Temperature:
		c.bottom = -273_150
	case units.Pressure:
		c.bottom = 0
	}
	if c.logged { // counted from the air until that is added
		c.lo, c.bottom = -110*scale, math.MinInt64
	}
	if c.unit.Quantity == units.None {
		return
	}
	for _, b := range before {
		if b.can[0] && b.unit == c.unit && b.target.Digits == c.target.Digits && b.negate == c.negate && sameShare(b.plus, c.plus) {
			c.convert, c.can = b.convert, b.can
			return
		}
	}
	for d := range c.convert {
		c.convert[d], c.can[d] = c.unit.Conversion(d, c.target.Digits, c.plus, c.negate)
	}
}

// sameShare tells whether the same is added to two columns, or nothing to both.
func sameShare(a, b *big.Rat) bool {
	return a == b || a != nil && b != nil && a.Cmp(b) == 0
}
