package plan

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"
	"time"

	"rimelog/ingest/answers"
	"rimelog/ingest/dialect"
	"rimelog/ingest/naming"
	"rimelog/ingest/timeline"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
	"rimelog/thermo/units"
)

var sampleTable = table.Samples()

// columnKind is what becomes of a column's cells.
type columnKind uint8

// The kinds of column.
const (
	TimeColumn    columnKind = iota
	ChannelColumn            // a channel of samples
	StateColumn              // a channel of samples that is yes or no
	ExtraColumn              // the long table of extras
	PartColumn               // names the channel, value and unit of a long table's lines
	SkipColumn               // the register says to leave it out, or it has neither name nor value
)

// A Column is one column of a file under one meaning.
type Column struct {
	Index    int
	Title    naming.Title
	Header   string // as found, with its unit
	Kind     columnKind
	System   int
	Target   table.Column // of samples
	place    int          // which of several alike; 1 where there is one
	Unit     units.Unit
	InCells  bool // the unit stands behind each number
	Negate   bool
	Plus     *big.Rat // added to a gauge pressure, kPa
	Logged   bool     // the logged pressure of the air is added instead
	Why      []string // what the meaning rests on
	Refuse   string   // why no cell of it can be taken
	fromRows bool     // the register says so
	Key      string   // the channel as the lines of a long table name it
	KeyUnit  string   // its unit there
	Quality  int      // the column that says how good its values are; 0 for none

	Convert [10]units.Conversion
	Can     [10]bool
	Limit   int64 // largest mantissa
	Lo, Hi  int64 // what the quantity can be, in mantissas
	Bottom  int64 // below this nothing can be
	Top     int64 // above this no machine can be
}

// registerName is the channel's name for the register.
func (c *Column) registerName() string {
	if c.Target.Name == "" {
		return register.Extra
	}
	return naming.ShortName(c.Target.Name)
}

// planColumns gives every column its meaning: what the register says, then what
// its header says.
func (p *Plan) planColumns(a answers.Answers) {
	at := p.firstTime()
	for i := range p.titles {
		if !p.Strip.Holds(i) || p.Long != nil && !slices.Contains(p.Time.Columns, i) {
			continue
		}
		if slices.Contains(p.Time.Columns, i) {
			p.Columns = append(p.Columns, &Column{Index: i, Title: p.titles[i], Kind: TimeColumn})
			continue
		}
		p.Columns = append(p.Columns, p.columnsAt(i, a, at)...)
	}
	if p.Long != nil {
		p.longColumns(a)
	}
	p.dropRivals()
	if p.Long == nil {
		p.refuseOtherClocks()
		p.noteIntervalEnd()
		p.refuseSeveralDevices()
		p.findQuality()
	}
	for i, c := range p.Columns {
		if c.Kind == ChannelColumn {
			p.settle(c, p.Columns[:i])
		}
	}
	p.logAir()
}

// firstTime is the time of the first line that has one, for rows that hold from a
// date on.
func (p *Plan) firstTime() time.Time {
	if p.Time.Question != "" || p.Bare != nil {
		return time.Time{}
	}
	t := timeline.New(p.Time)
	for _, i := range append([]int{p.Layout.First}, p.Layout.Body...) {
		var pick [][]byte
		for _, c := range p.Time.Columns {
			pick = append(pick, p.Layout.Cells[i][c])
		}
		if utc, v, _ := t.At(pick); v == timeline.Timed {
			if p.Window.Set() {
				utc = max(utc, p.Window.From)
			}
			return time.UnixMicro(utc).UTC()
		}
	}
	return time.Time{}
}

func (p *Plan) columnsAt(i int, a answers.Answers, at time.Time) []*Column {
	var list []*Column
	for k, s := range a.Systems {
		if r, ok := s.RowFor(i, p.Layout.Names[i], at); ok && r.Channel != "time" {
			list = append(list, p.fromRow(i, k, r))
		}
	}
	if len(list) > 0 {
		return list
	}
	return []*Column{p.fromTitle(i)}
}

func (p *Plan) newColumn(i, system int) *Column {
	header := p.ColumnName(i)
	if l := p.Layout.Labels[i]; naming.IsUnit(l) && p.titles[i].Label == l {
		header += " [" + strings.Trim(l, "[]()") + "]"
	}
	if p.twice(i) {
		header = fmt.Sprintf("%s #%d", header, i+1)
	}
	return &Column{Index: i, Title: p.titles[i], Header: header, System: system, place: 1, Kind: ExtraColumn}
}

// twice tells whether another column has the same name.
func (p *Plan) twice(i int) bool {
	for k, n := range p.Layout.Names {
		if k != i && n != "" && n == p.Layout.Names[i] {
			return true
		}
	}
	return false
}

// fromRow gives a column the meaning that the register says.
func (p *Plan) fromRow(i, system int, r register.Channel) *Column {
	c := p.newColumn(i, system)
	c.fromRows, c.Negate = true, r.Sign < 0
	c.Why = append(c.Why, fmt.Sprintf("channels.csv line %d", r.Line))
	switch r.Channel {
	case register.None:
		c.Kind = SkipColumn
		return c
	case register.Extra:
		return c
	}
	c.place = max(r.Index, 1)
	for _, t := range sampleTable.Columns {
		if naming.ShortName(t.Name) == r.Channel {
			p.become(c, t)
		}
	}
	if label := answers.UnitLabel(r); label != "" {
		if u, err := units.Parse(label); err == nil {
			c.Unit = u
			c.Why = append(c.Why, "unit "+u.Label+" from channels.csv")
		} else {
			c.Refuse = fmt.Sprintf("channels.csv line %d: %v", r.Line, err)
		}
	}
	if ref := answers.RowReference(r); ref != units.Unmarked && c.Unit.Quantity == units.Pressure {
		c.Unit = c.Unit.WithReference(ref)
		c.Why = append(c.Why, ref.String()+" by channels.csv")
	}
	return c
}

// fromTitle gives a column the meaning that its header says.
func (p *Plan) fromTitle(i int) *Column {
	c := p.newColumn(i, 0)
	if p.Layout.Names[i] == "" && p.emptyColumn(i) {
		c.Kind = SkipColumn
		return c
	}
	c.Unit = p.unitOf(c)
	name, reason := c.Title.Channel(c.Unit.Quantity)
	if name == "" {
		c.Why = append(c.Why, reason)
		return c
	}
	c.Why = append(c.Why, reason)
	c.place = max(c.Title.Index, 1)
	p.become(c, sampleTable.Columns[sampleTable.Index(name)])
	return c
}

// become makes a column a channel. A second or third of several alike has no
// column in samples: it goes to the extras.
func (p *Plan) become(c *Column, t table.Column) {
	c.Target = t
	if c.Unit.Label == "" {
		c.Unit = p.unitOf(c)
	}
	switch {
	case c.place > 1:
		c.Kind = ExtraColumn
		c.Why = append(c.Why, fmt.Sprintf("place %d of several alike", c.place))
	case t.Kind == table.Bit:
		c.Kind = StateColumn
	default:
		c.Kind = ChannelColumn
	}
}

// unitOf finds a column's unit: in its header, behind its numbers, in the preamble.
func (p *Plan) unitOf(c *Column) units.Unit {
	label, from := c.Title.Label, "the header"
	if label == "" {
		label, from = dialect.CommonUnit(p.CellsOf(c.Index)), "the cells"
		c.InCells = label != ""
	}
	if label == "" {
		label, from = p.preambleUnit(c), "the preamble"
	}
	u, err := units.Parse(label)
	if err != nil {
		return units.Unit{}
	}
	c.Why = append(c.Why, fmt.Sprintf("unit %s from %s", u.Label, from))
	return u
}

func (p *Plan) preambleUnit(c *Column) string {
	switch {
	case c.Title.Has("temp"):
		return p.Preamble.Units[units.Temperature]
	case c.Title.Has("press"):
		return p.Preamble.Units[units.Pressure]
	}
	return ""
}

// CellsOf are the cells of a column in the body of the sample.
func (p *Plan) CellsOf(i int) [][]byte {
	var cells [][]byte
	for _, k := range p.rowsOf(p.key) {
		cells = append(cells, p.Layout.Cells[k][i])
	}
	return cells
}

func (p *Plan) emptyColumn(i int) bool {
	for _, k := range p.Layout.Body {
		if len(p.Layout.Cells[k][i]) > 0 {
			return false
		}
	}
	return true
}

// dropRivals sends columns to the extras that mean the same channel, unless the
// register chose one of them.
func (p *Plan) dropRivals() {
	rivals := map[string][]*Column{}
	for _, c := range p.Columns {
		if c.Kind == ChannelColumn || c.Kind == StateColumn {
			key := fmt.Sprint(c.System, c.Target.Name)
			rivals[key] = append(rivals[key], c)
		}
	}
	for _, list := range rivals {
		chosen := slices.DeleteFunc(slices.Clone(list), func(c *Column) bool { return !c.fromRows })
		if len(chosen) == 0 { // a column without a unit could not be taken anyway
			chosen = slices.DeleteFunc(slices.Clone(list), func(c *Column) bool { return c.Unit.Quantity != naming.QuantityOf(c.Target.Name) })
		}
		for _, c := range list {
			if len(list) > 1 && (len(chosen) != 1 || c != chosen[0]) {
				c.Kind = ExtraColumn
				taken := "none is taken"
				if len(chosen) == 1 {
					taken = fmt.Sprintf("%q is taken", chosen[0].Header)
				}
				c.Why = append(c.Why, fmt.Sprintf("%d columns mean %s; %s", len(list), naming.ShortName(c.Target.Name), taken))
			}
		}
	}
	p.askRivals()
}

func (p *Plan) askRivals() {
	for _, c := range p.Columns {
		if c.Kind == ExtraColumn && c.Target.Name != "" && c.place == 1 && len(c.Why) > 0 && strings.Contains(c.Why[len(c.Why)-1], "none is taken") {
			if !c.fromRows {
				row := register.Channel{System: p.systemID(), Column: fmt.Sprintf("#%d", c.Index+1), Channel: c.registerName()}
				p.ask(fmt.Sprintf("several columns can be %s: is it %q?", c.registerName(), c.Header), register.ChannelLine(row))
			}
		}
	}
}

// UnitMissing begins what is said of a column without a unit.
const UnitMissing = "the unit of "

// settle checks a channel's unit and a pressure's reference, and prepares the
// conversion of its numbers. Those before it may convert alike.
func (p *Plan) settle(c *Column, before []*Column) {
	want := naming.QuantityOf(c.Target.Name)
	if c.Refuse == "" {
		switch {
		case p.twoUnits(c) != "":
			c.Refuse = p.twoUnits(c)
			p.askUnit(c, c.Unit.Label)
		case c.Unit.Quantity == units.None:
			c.Refuse = fmt.Sprintf("%s%q is not known", UnitMissing, c.Header)
			p.askUnit(c, want.Canonical())
		case c.Unit.Quantity != want:
			c.Refuse = fmt.Sprintf("%q is in %s, which is no unit of %s", c.Header, c.Unit.Label, want)
			p.askUnit(c, want.Canonical())
		case want == units.Pressure:
			p.settlePressure(c)
		}
	}
	c.prepare(before)
}

// twoUnits tells where the name of a column gives another unit than the row of units.
func (p *Plan) twoUnits(c *Column) string {
	name, row := naming.UnitNamed(c.Title.Label), naming.UnitNamed(p.Layout.Labels[c.Index])
	if c.fromRows || name.Label == row.Label || name.Quantity == units.None || row.Quantity == units.None {
		return ""
	}
	if name.Quantity == row.Quantity && name.Factor().Cmp(row.Factor()) == 0 && (name.Reference == units.Unmarked || row.Reference == units.Unmarked) && name.Quantity == units.Pressure {
		return ""
	}
	return fmt.Sprintf("its name says %s and the row of units %s", name.Label, row.Label)
}

func (p *Plan) askUnit(c *Column, unit string) {
	row := register.Channel{System: p.systemID(), Column: p.ColumnName(c.Index), Channel: c.registerName(), Unit: unit}
	p.ask(c.Refuse, register.ChannelLine(row))
}

// The largest mantissas of DECIMAL(9) and DECIMAL(18).
const (
	limit32 = 999_999_999
	limit64 = 999_999_999_999_999_999
)

// hottest is how hot a part of a refrigeration machine can be, °C, far beyond what lubricants
// and insulation bear: common practice, no source. A reading above it is of a column whose unit
// or decimal mark is another, or of a failed sensor.
const hottest = 300

// highest is the highest pressure that a refrigeration machine can have, kPa absolute: carbon dioxide
// in transcritical machines is the highest of refrigerants, with high sides designed for up to some
// 14 MPa, which are tested with 1.43 times as much (EN 378-2, 2016, from memory).
const highest = 20_000

// strongest is the most power that one machine can take or give, kW: the largest of district heating
// and cooling take some 20 MW (common practice, no source).
const strongest = 50_000

// possible is the range of each quantity beyond which a number can stand for a
// failed sensor, in canonical units. Common practice, no source.
var possible = map[units.Quantity][2]int64{
	units.Temperature: {-100, hottest},
	units.Pressure:    {0, highest},
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
func (c *Column) prepare(before []*Column) {
	c.Limit = limit32
	if c.Target.Kind == table.Fixed64 {
		c.Limit = limit64
	}
	scale := int64(1)
	for range c.Target.Digits {
		scale *= 10
	}
	r := possible[naming.QuantityOf(c.Target.Name)]
	c.Lo, c.Hi = r[0]*scale, r[1]*scale
	c.Bottom, c.Top = math.MinInt64, math.MaxInt64
	switch naming.QuantityOf(c.Target.Name) {
	case units.Temperature:
		c.Bottom, c.Top = -273_150, hottest*scale
	case units.Pressure:
		c.Bottom, c.Top = 0, highest*scale
	case units.Power:
		c.Top = strongest * scale
	}
	if c.Logged { // counted from the air until that is added
		c.Lo, c.Bottom = -110*scale, math.MinInt64
	}
	if c.Unit.Quantity == units.None {
		return
	}
	for _, b := range before {
		if b.Can[0] && b.Unit == c.Unit && b.Target.Digits == c.Target.Digits && b.Negate == c.Negate && sameShare(b.Plus, c.Plus) {
			c.Convert, c.Can = b.Convert, b.Can
			return
		}
	}
	for d := range c.Convert {
		c.Convert[d], c.Can[d] = c.Unit.Conversion(d, c.Target.Digits, c.Plus, c.Negate)
	}
}

// sameShare tells whether the same is added to two columns, or nothing to both.
func sameShare(a, b *big.Rat) bool {
	return a == b || a != nil && b != nil && a.Cmp(b) == 0
}
