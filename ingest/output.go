package ingest

import (
	"cmp"
	"math"
	"slices"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

var nan = math.NaN()

// cells are what a pass took from a column.
type cells struct {
	ints  []int32 // mantissas of a Fixed32 column
	longs []int64 // mantissas of a Fixed64 column, or 0 and 1 of states
	valid []bool
	extra extraCells

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

	extraTimes []int64 // of the lines that hold extras
	extra      []*column
	lastExtra  int64 // the line that the last of extraTimes belongs to
}

// extraCells are the values of a column of extras.
type extraCells struct {
	rows    []int32 // places in the output's extraTimes
	numbers []float64
	texts   []string // nil while all are numbers
}

// mostReserved is for how many bytes of rows a pass makes room ahead at most. A file
// that only seems to have more rows, such as one of a huge line, must not cost memory.
const mostReserved = 256 << 20

// reserve makes room for about so many rows, so that the pass does not grow and
// copy its columns.
func (o *output) reserve(rows int) {
	rows = min(rows+rows/50+16, mostReserved/(8+5*len(o.columns))) // a time, and a mantissa and its validity for each column
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

// addExtra keeps a value of a column that is no channel.
func (o *output) addExtra(c *column, utc, line int64, number float64, text string) {
	if o.lastExtra != line {
		o.lastExtra = line
		o.extraTimes = append(o.extraTimes, utc)
	}
	x := &c.extra
	x.rows = append(x.rows, int32(len(o.extraTimes)-1))
	x.numbers = append(x.numbers, number)
	if text != "" && x.texts == nil {
		x.texts = make([]string, len(x.rows)-1, cap(x.rows))
	}
	if x.texts != nil {
		x.texts = append(x.texts, text)
	}
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
// once. Of two lines for one time the later one counts.
func (o *output) extrasFrame() (*frame.Frame, error) {
	slices.SortFunc(o.extra, func(a, b *column) int { return cmp.Compare(a.header, b.header) })
	place := placesInTime(o.extraTimes)
	b := frame.NewBuilder(extrasTable, 0)
	w := extrasWriter{b.Column("time"), b.Column("header"), b.Column("number"), b.Column("text")}
	next := make([][]int32, len(o.extra)) // of each column: which of its values counts, by time
	for i, c := range o.extra {
		next[i] = c.inTime(place)
	}
	for _, t := range timesOnce(o.extraTimes, place) {
		for i, c := range o.extra {
			if len(next[i]) == 0 || o.extraTimes[c.extra.rows[next[i][0]]] != t {
				continue
			}
			w.write(t, c, next[i][0])
			next[i] = next[i][1:]
		}
	}
	return b.Build()
}

// An extrasWriter appends rows of the long table.
type extrasWriter struct{ time, header, number, text *frame.Column }

func (w extrasWriter) write(t int64, c *column, k int32) {
	w.time.Int64(t)
	w.header.Text(c.header)
	w.number.Float(c.extra.numbers[k])
	text := ""
	if c.extra.texts != nil {
		text = c.extra.texts[k]
	}
	w.text.Text(text)
}

// placesInTime ranks the lines: lines of one time share a rank.
func placesInTime(times []int64) []int32 {
	order := order32(times)
	place := make([]int32, len(times))
	if order == nil {
		for i := range place {
			place[i] = int32(i)
		}
		return place
	}
	rank := int32(-1)
	for k, r := range order {
		if k == 0 || times[r] != times[order[k-1]] {
			rank++
		}
		place[r] = rank
	}
	return place
}

// timesOnce gives each time once, in order.
func timesOnce(times []int64, place []int32) []int64 {
	once := make([]int64, 0, len(times))
	for i, p := range place {
		for len(once) <= int(p) {
			once = append(once, 0)
		}
		once[p] = times[i]
	}
	return once
}

// inTime lists the values that count, in the order of time: of several at one time
// the last. The others are counted as duplicates.
func (c *column) inTime(place []int32) []int32 {
	x := &c.extra
	order := make([]int32, len(x.rows))
	sorted := true
	for i := range order {
		order[i] = int32(i)
		sorted = sorted && (i == 0 || place[x.rows[i-1]] < place[x.rows[i]])
	}
	if sorted {
		return order
	}
	slices.SortStableFunc(order, func(a, b int32) int { return cmp.Compare(place[x.rows[a]], place[x.rows[b]]) })
	kept := order[:0]
	for i, k := range order {
		if i+1 < len(order) && place[x.rows[order[i+1]]] == place[x.rows[k]] {
			c.twice++
			continue
		}
		kept = append(kept, k)
	}
	return kept
}
