package pass

import (
	"cmp"
	"fmt"
	"slices"

	"rimelog/ingest/merge"
	"rimelog/ingest/plan"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A column is a column of the plan with what a pass takes from it.
type column struct {
	plan.Column
	cells
	next *column // another meaning of the same cells
}

// cells are what a pass took from a column: its values in the rows under way, and
// the count of all.
type cells struct {
	out    *output
	ints   []int32 // mantissas of a Fixed32 column
	longs  []int64 // mantissas of a Fixed64 column, or 0 and 1 of states
	valid  []bool  // which rows hold one; all false behind the last row
	filled int     // how many do
	spare  spareRows

	read, kept, rejected, absent, twice int64
	reasons                             map[string]int64 // of missing values
}

// spareRows is room for rows: a column fills one while what it gave on lies in the other.
type spareRows struct {
	ints  []int32
	longs []int64
	valid []bool
}

// store sets the value of the row under way. It fits: its limit was checked.
func (c *column) store(steps int64) {
	r := len(c.out.times) - 1
	if c.longs != nil {
		c.longs[r] = steps
	} else {
		c.ints[r] = int32(steps)
	}
	c.valid[r] = true
	c.filled++
	c.out.kept++
	c.read++
	c.kept++
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

// An output is what a pass takes for one system. It collects some thousand rows at
// a time and gives them on, so that a long file costs no more memory than a short one.
type output struct {
	columns []*column // of samples
	extra   []*column // of extras, in the order of their headers
	air     *column   // the logged pressure of the air
	logged  []*column // gauge pressures that it is added to

	times []int64 // of the rows under way
	spare []int64
	kept  int // values of the last row
	room  int // how many rows there is room for
	chunk int // how many are given on at once

	loose   []looseValue // of extras
	samples merge.Stream
	extras  merge.Stream
}

// mostCollected is how many bytes of rows a pass collects at most before it gives
// them on, over all systems of a file.
const mostCollected = 64 << 20

// chunkRows is how many rows are collected for so many columns: those of a page, or
// fewer where a file has thousands of columns.
func chunkRows(columns int) int {
	rows := dataset.PageRows
	for rows > 256 && rows*(8+5*columns) > mostCollected {
		rows /= 2
	}
	return rows
}

// reserve makes room for about so many rows, a chunk at most.
func (o *output) reserve(rows, chunk int) {
	o.chunk = chunk
	slices.SortStableFunc(o.extra, func(a, b *column) int { return cmp.Compare(a.Header, b.Header) })
	o.grow(min(rows+rows/50+16, chunk))
}

func (o *output) grow(room int) {
	o.room = room
	o.times = append(make([]int64, 0, room), o.times...)
	for _, c := range o.columns {
		c.valid = append(make([]bool, 0, room), c.valid...)[:room]
		if c.Kind == plan.StateColumn || c.Target.Kind == table.Fixed64 {
			c.longs = append(make([]int64, 0, room), c.longs...)[:room]
		} else {
			c.ints = append(make([]int32, 0, room), c.ints...)[:room]
		}
	}
}

// begin opens a row.
func (o *output) begin(utc int64) error {
	o.kept = 0
	if len(o.times) == o.room {
		if o.room < o.chunk {
			o.grow(o.chunk)
		} else if err := o.flush(utc); err != nil {
			return err
		}
	}
	o.times = append(o.times, utc)
	return nil
}

// end leaves a row out that holds no value.
func (o *output) end() {
	if o.kept == 0 {
		o.times = o.times[:len(o.times)-1]
	}
}

// addAir adds the logged pressure of the air to the gauge pressures of the row under
// way. A value without it cannot be told in absolute pressure.
func (s *Pass) addAir(o *output) {
	r := len(o.times) - 1
	for _, c := range o.logged {
		if !c.valid[r] {
			continue
		}
		if o.air != nil && o.air.valid[r] {
			if sum := int64(c.ints[r]) + int64(o.air.ints[r]); sum >= 0 && sum <= c.Limit {
				c.ints[r] = int32(sum)
				continue
			}
		}
		c.valid[r] = false
		c.filled--
		o.kept--
		c.kept--
		c.rejected++
		s.refuse.cell(c, s.number, s.lines.Data, "", "gauge, and the pressure of the air was not logged at this time, or it is below vacuum")
	}
}

// flush gives the rows under way on. Those of the last time wait where the next row
// has it too.
func (o *output) flush(next int64) error {
	n := len(o.times)
	for n > 0 && o.times[n-1] == next {
		n--
	}
	if n == 0 {
		n = len(o.times)
	}
	if err := o.give(n); err != nil {
		return err
	}
	for _, c := range o.columns {
		c.turn(n, len(o.times))
	}
	o.times, o.spare = append(o.spare[:0], o.times[n:]...), o.times
	return nil
}

// turn takes the spare room, with the rows from one on that are not given on yet.
func (c *column) turn(from, to int) {
	now := spareRows{c.ints, c.longs, c.valid}
	if c.spare.valid == nil {
		c.spare = spareRows{make([]int32, len(c.ints)), make([]int64, len(c.longs)), make([]bool, len(c.valid))}
	}
	c.valid, c.filled = c.spare.valid, 0
	if c.ints != nil {
		c.ints = c.spare.ints
		copy(c.ints, now.ints[from:to])
	} else {
		c.longs = c.spare.longs
		copy(c.longs, now.longs[from:to])
	}
	clear(c.valid[copy(c.valid, now.valid[from:to]):])
	for _, ok := range c.valid[:to-from] {
		if ok {
			c.filled++
		}
	}
	c.spare = now
}

// give gives the first n rows on: sorted by time, each time once. Of two lines for
// one time the later one counts, value by value.
func (o *output) give(n int) error {
	if n == 0 {
		return nil
	}
	rows := order32(o.times[:n])
	times, first := unique(o.times[:n], rows)
	list := []frame.Lent{{Name: sampleTable.Columns[0].Name, Int64: times}}
	for _, c := range o.columns {
		if c.filled == 0 {
			continue
		}
		lent := frame.Lent{Name: c.Target.Name, Valid: c.valid[:n]}
		if c.ints != nil {
			lent.Int32 = c.ints[:n]
		} else {
			lent.Int64 = c.longs[:n]
		}
		if rows != nil {
			c.arrange(&lent, rows, first)
		}
		if rows == nil && c.filled == len(o.times) {
			lent.Valid = nil
		}
		list = append(list, lent)
	}
	place := sampleTable.Index
	slices.SortFunc(list, func(a, b frame.Lent) int { return cmp.Compare(place(a.Name), place(b.Name)) })
	f, err := frame.Lend(sampleTable, list)
	if err != nil {
		return err
	}
	return o.samples.Put(f)
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
func (c *column) arrange(to *frame.Lent, rows []int32, first []int) {
	from := *to
	to.Int32, to.Int64, to.Valid = nil, nil, make([]bool, 0, len(first))
	for k, begin := range first {
		end := len(rows)
		if k+1 < len(first) {
			end = first[k+1]
		}
		chosen := rows[end-1]
		held := int64(0)
		for _, r := range rows[begin:end] {
			if from.Valid[r] {
				chosen = r
				held++
			}
		}
		c.twice += max(held-1, 0)
		if from.Int32 != nil {
			to.Int32 = append(to.Int32, from.Int32[chosen])
		} else {
			to.Int64 = append(to.Int64, from.Int64[chosen])
		}
		to.Valid = append(to.Valid, from.Valid[chosen])
	}
}

// finish gives on what is left, and counts what runs of the file say twice.
func (o *output) finish(room func(table.Table) (merge.Shelf, error)) error {
	if err := o.give(len(o.times)); err != nil {
		return err
	}
	o.times = o.times[:0]
	if err := o.giveLoose(len(o.loose)); err != nil {
		return err
	}
	o.loose = nil
	if err := o.samples.End(room, o.doubles(o.columns, func(c *column) string { return c.Target.Name })); err != nil {
		return fmt.Errorf("samples: %w", err)
	}
	if err := o.extras.End(room, o.doubles(o.extra, func(c *column) string { return c.Header })); err != nil {
		return fmt.Errorf("extras: %w", err)
	}
	return nil
}

// doubles counts values that a later run of the file gives again.
func (o *output) doubles(columns []*column, name func(*column) string) func(int, string, merge.Lost) {
	return func(_ int, column string, n merge.Lost) {
		for _, c := range columns {
			if name(c) == column {
				c.twice += n.Values
				return
			}
		}
	}
}
