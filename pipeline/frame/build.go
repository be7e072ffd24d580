package frame

import (
	"fmt"
	"math"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/apache/arrow/go/v17/arrow/memory"

	"rimelog/pipeline/table"
)

// A Builder collects the columns of a frame. Get each column once, append to it
// in a loop, then Build:
//
//	b := frame.NewBuilder(table.Samples(), rows)
//	t, p := b.Column("time"), b.Column("suction_pressure_kpa")
//	for ... {
//		t.Int64(micros)
//		p.Int32(mantissa) // or p.Null()
//	}
//	f, err := b.Build()
//
// Columns that nobody touched are null in every row; where the table has no
// nulls they are empty, zero or no.
type Builder struct {
	table    table.Table
	capacity int
	columns  []*Column
}

// NewBuilder makes a builder for about capacity rows.
func NewBuilder(t table.Table, capacity int) *Builder {
	return &Builder{t, capacity, make([]*Column, len(t.Columns))}
}

// Column returns the appender of a column.
func (b *Builder) Column(name string) *Column {
	i := b.table.Index(name)
	if i < 0 {
		panic(fmt.Sprintf("frame: %s has no column %s", b.table.Name, name))
	}
	if b.columns[i] == nil {
		b.columns[i] = newColumn(b.table.Columns[i])
		b.columns[i].b.Resize(b.capacity) // Reserve would round up to a power of two
	}
	return b.columns[i]
}

// Build returns the frame. Columns of different lengths are an error. The
// builder is empty afterwards.
func (b *Builder) Build() (*Frame, error) {
	rows, err := b.rows()
	if err != nil {
		return nil, err
	}
	arrays, absent := make([]arrow.Array, len(b.columns)), nulls{rows: rows}
	for i, c := range b.columns {
		arrays[i] = b.array(i, c, rows, &absent)
	}
	return &Frame{b.table, array.NewRecord(schemaOf(b.table), arrays, int64(rows))}, nil
}

// nulls are columns without a value: those of one type are the same.
type nulls struct {
	rows int
	made []arrow.Array
}

func (n *nulls) of(t arrow.DataType) arrow.Array {
	for _, a := range n.made {
		if arrow.TypeEqual(a.DataType(), t) {
			return a
		}
	}
	a := array.MakeArrayOfNull(memory.DefaultAllocator, t, n.rows)
	n.made = append(n.made, a)
	return a
}

func (b *Builder) array(i int, c *Column, rows int, absent *nulls) arrow.Array {
	if c != nil && c.Len() == rows {
		return c.b.NewArray()
	}
	def := b.table.Columns[i]
	if def.Null {
		return absent.of(typeOf(def))
	}
	c = newColumn(def)
	c.blank(rows)
	return c.b.NewArray()
}

func (b *Builder) rows() (rows int, err error) {
	first := ""
	for _, c := range b.columns {
		switch {
		case c == nil || c.b.Len() == 0:
		case first == "":
			rows, first = c.b.Len(), c.def.Name
		case c.b.Len() != rows:
			return 0, fmt.Errorf("build %s: column %s has %d rows, column %s %d",
				b.table.Name, c.def.Name, c.b.Len(), first, rows)
		}
	}
	return rows, nil
}

// A Column appends values to one column. A method of another kind than the
// column's panics: a programmer's mistake.
type Column struct {
	def table.Column
	b   array.Builder
}

func newColumn(c table.Column) *Column {
	return &Column{c, array.NewBuilder(memory.DefaultAllocator, typeOf(c))}
}

// Len is the number of rows appended.
func (c *Column) Len() int { return c.b.Len() }

// Null appends a row without a value; an empty, zero or no one where the table
// has no nulls.
func (c *Column) Null() { c.Nulls(1) }

// Nulls appends n rows without a value.
func (c *Column) Nulls(n int) { c.blank(n) }

func (c *Column) blank(n int) {
	if c.def.Null {
		c.b.AppendNulls(n)
	} else {
		c.b.AppendEmptyValues(n)
	}
}

// Int32 appends a mantissa to a Fixed32 column.
func (c *Column) Int32(v int32) { c.b.(*array.Int32Builder).Append(v) }

// Int64 appends microseconds to a time column, a mantissa to a Fixed64 column,
// or a whole number.
func (c *Column) Int64(v int64) {
	if b, ok := c.b.(*array.TimestampBuilder); ok {
		b.Append(arrow.Timestamp(v))
		return
	}
	c.b.(*array.Int64Builder).Append(v)
}

// Float appends to a float64 column; NaN is null.
func (c *Column) Float(v float64) {
	if math.IsNaN(v) {
		c.b.AppendNull()
		return
	}
	c.b.(*array.Float64Builder).Append(v)
}

// Text appends to a text column.
func (c *Column) Text(s string) { c.b.(*array.StringBuilder).Append(s) }

// Bytes appends to a text column what a text is made of.
func (c *Column) Bytes(b []byte) { c.b.(*array.StringBuilder).BinaryBuilder.Append(b) }

// Room makes room for texts of so many bytes together.
func (c *Column) Room(bytes int) { c.b.(*array.StringBuilder).ReserveData(bytes) }

// Bit appends to a column of yes and no.
func (c *Column) Bit(v bool) { c.b.(*array.BooleanBuilder).Append(v) }

// State appends yes, no or unknown.
func (c *Column) State(s table.State) {
	if s == table.Unknown {
		c.Null()
		return
	}
	c.Bit(s == table.Yes)
}

// Int32s appends mantissas; valid tells which count, nil that all do.
func (c *Column) Int32s(v []int32, valid []bool) {
	c.b.(*array.Int32Builder).AppendValues(v, valid)
}

// Int64s appends microseconds, mantissas or whole numbers; valid tells which
// count, nil that all do.
func (c *Column) Int64s(v []int64, valid []bool) {
	if b, ok := c.b.(*array.TimestampBuilder); ok {
		b.AppendValues(arrow.TimestampTraits.CastFromBytes(arrow.Int64Traits.CastToBytes(v)), valid)
		return
	}
	c.b.(*array.Int64Builder).AppendValues(v, valid)
}

// Float64s appends numbers; valid tells which count, nil that all do.
func (c *Column) Float64s(v []float64, valid []bool) {
	c.b.(*array.Float64Builder).AppendValues(v, valid)
}

// Floats appends numbers; NaN is null.
func (c *Column) Floats(v []float64) {
	for _, x := range v {
		c.Float(x)
	}
}
