package pass

import (
	"cmp"
	"math"
	"slices"

	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
)

var nan = math.NaN()

// A looseValue is a value of a column that is no channel.
type looseValue struct {
	time   int64
	column *column
	number float64
	text   string
}

// addExtra keeps a value of a column that is no channel.
func (o *output) addExtra(c *column, utc int64, number float64, text string) error {
	if n := len(o.loose); n >= dataset.PageRows && o.loose[n-1].time != utc {
		if err := o.giveLoose(n); err != nil {
			return err
		}
		o.loose = o.loose[:0]
	}
	o.loose = append(o.loose, looseValue{utc, c, number, text})
	return nil
}

// giveLoose gives the first n values on as rows of the long table: sorted by time and
// header, each once. Of two lines for one time the later one counts.
func (o *output) giveLoose(n int) error {
	if n == 0 {
		return nil
	}
	rank := make(map[*column]int, len(o.extra))
	for i, c := range o.extra {
		rank[c] = i
	}
	rows := o.loose[:n]
	slices.SortStableFunc(rows, func(a, b looseValue) int {
		return cmp.Or(cmp.Compare(a.time, b.time), cmp.Compare(rank[a.column], rank[b.column]))
	})
	b := frame.NewBuilder(extrasTable, n)
	times, headers, numbers, texts := b.Column("time"), b.Column("header"), b.Column("number"), b.Column("text")
	for i, v := range rows {
		if i+1 < len(rows) && rows[i+1].time == v.time && rows[i+1].column == v.column {
			v.column.twice++
			continue
		}
		times.Int64(v.time)
		headers.Text(v.column.Header)
		numbers.Float(v.number)
		texts.Text(v.text)
	}
	f, err := b.Build()
	if err != nil {
		return err
	}
	return o.extras.Put(f)
}
