package ingest

import (
	"cmp"
	"math"
	"slices"
	"time"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

var nan = math.NaN()

// cells are what a pass took from a column.
type cells struct {
	ints  []int32 // mantissas of a Fixed32 column
	longs []int64 // mantissas of a Fixed64 column, or 0 and 1 of states
	valid []bool

	read, kept, rejected, absent, twice int64
	reasons                             map[string]int64 // of missing values
}

// store appends a mantissa. It fits: its limit was checked.
func (c *column) store(steps int64) {
	if c.target.Kind == table.Fixed64 {
		c.longs = append(c.longs, steps)
	} else {
		c.ints = append(c.ints, int32(steps))
	}
	c.valid = append(c.valid, true)
}

// blank appends a row without a value.
func (c *column) blank() {
	switch {
	case c.kind == stateColumn || c.target.Kind == table.Fixed64:
		c.longs = append(c.longs, 0)
	case c.kind == channelColumn:
		c.ints = append(c.ints, 0)
	default:
		return
	}
	c.valid = append(c.valid, false)
}

// missed counts a missing marker.
func (c *column) missed(reason string) {
	c.read++
	c.absent++
	if c.reasons == nil {
		c.reasons = map[string]int64{}
	}
	c.reasons[reason]++
}

// drop takes the last row off.
func (c *column) drop() {
	if n := len(c.valid); n > 0 {
		c.valid = c.valid[:n-1]
	}
	if n := len(c.ints); n > 0 {
		c.ints = c.ints[:n-1]
	}
	if n := len(c.longs); n > 0 {
		c.longs = c.longs[:n-1]
	}
}

// An output is what a pass took for one system.
type output struct {
	columns []*column // of samples
	times   []int64
	lines   []int64 // of the rows, where the air's pressure is added to some
	air     bool
	kept    int // values of the row under way
	extras  []extraValue
}

type extraValue struct {
	time   int64
	column *column
	number float64
	text   string
}

// reserve makes room for about so many rows, so that the pass does not grow and
// copy its columns.
func (o *output) reserve(rows int) {
	rows += rows/50 + 16
	o.times = make([]int64, 0, rows)
	for _, c := range o.columns {
		c.valid = make([]bool, 0, rows)
		if c.kind == stateColumn || c.target.Kind == table.Fixed64 {
			c.longs = make([]int64, 0, rows)
		} else {
			c.ints = make([]int32, 0, rows)
		}
	}
}

func (o *output) begin(utc, line int64) {
	o.times = append(o.times, utc)
	if o.air {
		o.lines = append(o.lines, line)
	}
	o.kept = 0
}

// end leaves a row out that holds no value.
func (o *output) end() {
	if o.kept > 0 {
		return
	}
	o.times = o.times[:len(o.times)-1]
	if o.air {
		o.lines = o.lines[:len(o.lines)-1]
	}
	for _, c := range o.columns {
		c.drop()
	}
}

func (o *output) extra(c *column, utc int64, number float64, text string) {
	o.extras = append(o.extras, extraValue{utc, c, number, text})
}

// addAir adds the logged pressure of the air to the gauge pressures. A value
// without it cannot be told in absolute pressure.
func (s *pass) addAir(o *output) {
	i := slices.IndexFunc(o.columns, func(c *column) bool { return c.target.Name == airColumn })
	for _, c := range o.columns {
		if !c.logged || i < 0 {
			continue
		}
		air := o.columns[i]
		for k := range c.ints {
			if !c.valid[k] {
				continue
			}
			sum := int64(c.ints[k]) + int64(air.ints[k])
			if air.valid[k] && sum >= 0 && sum <= c.limit {
				c.ints[k] = int32(sum)
				continue
			}
			c.valid[k] = false
			c.kept--
			c.rejected++
			s.refuse.cell(c, o.lines[k], o.lines[k], "", "gauge, and the pressure of the air was not logged at this time, or it is below vacuum")
		}
	}
}

// airColumn holds the pressure of the air.
const airColumn = "ambient_pressure_kpa"

// samples makes the frame of one system: sorted by time, each time once. Of two
// lines for one time the later one counts, value by value.
func (o *output) samples() (*frame.Frame, error) {
	rows := order32(o.times)
	b := frame.NewBuilder(sampleTable, len(o.times))
	times, first := unique(o.times, rows)
	b.Column(sampleTable.Columns[0].Name).Int64s(times, nil)
	for _, c := range o.columns {
		if rows != nil {
			c.arrange(rows, first)
		}
		col := b.Column(c.target.Name)
		switch {
		case c.kind == stateColumn:
			for i, v := range c.longs {
				if c.valid[i] {
					col.Bit(v == 1)
				} else {
					col.Null()
				}
			}
		case c.target.Kind == table.Fixed64:
			col.Int64s(c.longs, c.valid)
		default:
			col.Int32s(c.ints, c.valid)
		}
		c.ints, c.longs, c.valid = nil, nil, nil // the frame holds them now
	}
	return b.Build()
}

// order32 gives the rows in the order of their times, ties in the order of their
// lines; nil where they are in order already, each time once.
func order32(times []int64) []int32 {
	sorted := true
	for i := 1; i < len(times) && sorted; i++ {
		sorted = times[i] > times[i-1]
	}
	if sorted {
		return nil
	}
	rows := make([]int32, len(times))
	for i := range rows {
		rows[i] = int32(i)
	}
	slices.SortStableFunc(rows, func(a, b int32) int { return cmp.Compare(times[a], times[b]) })
	return rows
}

// unique gives each time once, and where in rows its lines begin.
func unique(times []int64, rows []int32) (once []int64, first []int) {
	if rows == nil {
		return times, nil
	}
	for k, r := range rows {
		if k == 0 || times[r] != times[rows[k-1]] {
			once = append(once, times[r])
			first = append(first, k)
		}
	}
	return once, first
}

// arrange brings a column into the order of time, the last value of each time.
func (c *column) arrange(rows []int32, first []int) {
	ints, longs, valid := c.ints, c.longs, c.valid
	c.ints, c.longs, c.valid = nil, nil, make([]bool, 0, len(first))
	for k, from := range first {
		to := len(rows)
		if k+1 < len(first) {
			to = first[k+1]
		}
		chosen := rows[to-1]
		held := int64(0)
		for _, r := range rows[from:to] {
			if valid[r] {
				chosen = r
				held++
			}
		}
		c.twice += max(held-1, 0)
		if ints != nil {
			c.ints = append(c.ints, ints[chosen])
		} else {
			c.longs = append(c.longs, longs[chosen])
		}
		c.valid = append(c.valid, valid[chosen])
	}
}

// extrasFrame makes the long table of one system: sorted by time and header, each
// once, the later line first.
func (o *output) extrasFrame() (*frame.Frame, error) {
	slices.SortStableFunc(o.extras, func(a, b extraValue) int {
		return cmp.Or(cmp.Compare(a.time, b.time), cmp.Compare(a.column.header, b.column.header), cmp.Compare(a.column.index, b.column.index))
	})
	var rows []table.Extra
	for i, e := range o.extras {
		if i+1 < len(o.extras) && o.extras[i+1].time == e.time && o.extras[i+1].column == e.column {
			e.column.twice++
			continue
		}
		rows = append(rows, table.Extra{Time: time.UnixMicro(e.time).UTC(), Header: e.column.header, Number: e.number, Text: e.text})
	}
	return frame.FromRows(extrasTable, rows)
}
