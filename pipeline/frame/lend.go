package frame

import (
	"fmt"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/apache/arrow/go/v17/arrow/memory"

	"rimelog/pipeline/table"
)

// A Lent is a column that somebody collected in slices of their own.
type Lent struct {
	Name  string
	Int32 []int32 // mantissas of a Fixed32 column
	Int64 []int64 // times, mantissas of a Fixed64 column, whole numbers; 0 and 1 of a column of yes and no
	Valid []bool  // which rows hold a value; nil for all
}

// Lend makes a frame of columns in the table's order. Numbers are not copied: the
// frame holds while the slices are not written to. The frame's table has only the
// columns given.
func Lend(t table.Table, columns []Lent) (*Frame, error) {
	names := make([]string, len(columns))
	for i, c := range columns {
		names[i] = c.Name
	}
	t = Columns(t, names...)
	if len(t.Columns) != len(columns) || len(columns) == 0 {
		return nil, fmt.Errorf("lend %s: it has %d of the %d columns", t.Name, len(t.Columns), len(columns))
	}
	arrays := make([]arrow.Array, len(columns))
	for i, c := range columns {
		if t.Columns[i].Name != c.Name {
			return nil, fmt.Errorf("lend %s: column %s is out of order", t.Name, c.Name)
		}
		arrays[i] = lent(t.Columns[i], c)
		if arrays[i].Len() != arrays[0].Len() {
			return nil, fmt.Errorf("lend %s: column %s has %d rows, column %s %d", t.Name, c.Name, arrays[i].Len(), columns[0].Name, arrays[0].Len())
		}
	}
	return &Frame{t, array.NewRecord(schemaOf(t), arrays, int64(arrays[0].Len()))}, nil
}

func lent(def table.Column, c Lent) arrow.Array {
	if def.Kind == table.Bit {
		col := newColumn(def)
		for i, v := range c.Int64 {
			if c.Valid == nil || c.Valid[i] {
				col.Bit(v != 0)
			} else {
				col.Null()
			}
		}
		return col.b.NewArray()
	}
	n, values := len(c.Int64), arrow.Int64Traits.CastToBytes(c.Int64)
	if def.Kind == table.Fixed32 {
		n, values = len(c.Int32), arrow.Int32Traits.CastToBytes(c.Int32)
	}
	bitmap, nulls := bitmapOf(c.Valid)
	buffers := []*memory.Buffer{bitmap, memory.NewBufferBytes(values)}
	return array.MakeFromData(array.NewData(typeOf(def), n, buffers, nil, nulls, 0))
}

// bitmapOf packs which rows hold a value; nil where all do.
func bitmapOf(valid []bool) (*memory.Buffer, int) {
	nulls := 0
	for _, ok := range valid {
		if !ok {
			nulls++
		}
	}
	if nulls == 0 {
		return nil, 0
	}
	bits := make([]byte, (len(valid)+7)/8)
	for i, ok := range valid {
		if ok {
			bits[i>>3] |= 1 << (i & 7)
		}
	}
	return memory.NewBufferBytes(bits), nulls
}

// Widen returns the frame with the other columns of its table, null in every row.
// Columns that may not be null must be there.
func (f *Frame) Widen(t table.Table) *Frame {
	if len(f.table.Columns) == len(t.Columns) {
		return f
	}
	arrays, absent := make([]arrow.Array, len(t.Columns)), nulls{rows: f.Rows()}
	for i, c := range t.Columns {
		if k := f.table.Index(c.Name); k >= 0 {
			arrays[i] = f.rec.Column(k)
		} else {
			arrays[i] = absent.of(typeOf(c))
		}
	}
	return &Frame{t, array.NewRecord(schemaOf(t), arrays, f.rec.NumRows())}
}
