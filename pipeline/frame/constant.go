package frame

import (
	"math"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"

	"rimelog/pipeline/table"
)

// WithText returns the frame with one more column of text before all others, which
// holds the same value in every row: what a file's path says of its rows.
func (f *Frame) WithText(name, doc, value string) *Frame {
	t := WithTextColumn(f.table, name, doc)
	c := newColumn(t.Columns[0])
	c.b.Reserve(f.Rows())
	for range f.Rows() {
		c.Text(value)
	}
	arrays := append([]arrow.Array{c.b.NewArray()}, f.rec.Columns()...)
	return &Frame{t, array.NewRecord(schemaOf(t), arrays, f.rec.NumRows())}
}

// WithTextColumn is the table of the frames that WithText makes.
func WithTextColumn(t table.Table, name, doc string) table.Table {
	t.Columns = append([]table.Column{{Name: name, Kind: table.Text, Doc: doc}}, t.Columns...)
	return t
}

// Decimal is the float64 nearest to a mantissa with digits after the point.
func Decimal(mantissa int64, digits int) float64 {
	return float64(mantissa) / math.Pow10(digits)
}
