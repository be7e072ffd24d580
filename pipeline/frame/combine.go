package frame

import (
	"errors"
	"fmt"
	"slices"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/apache/arrow/go/v17/arrow/memory"
)

// Concat puts frames of one table below each other, in the order given.
func Concat(frames ...*Frame) (*Frame, error) {
	if len(frames) == 0 {
		return nil, errors.New("concatenate: no frames")
	}
	first, rows := frames[0], int64(0)
	for _, f := range frames {
		if f.table.Name != first.table.Name || !f.rec.Schema().Equal(first.rec.Schema()) {
			return nil, fmt.Errorf("concatenate: %s and %s have different columns", first.table.Name, f.table.Name)
		}
		rows += f.rec.NumRows()
	}
	arrays, absent := make([]arrow.Array, len(first.table.Columns)), nulls{rows: int(rows)}
	for i, c := range first.table.Columns {
		if c.Null && !slices.ContainsFunc(frames, func(f *Frame) bool { return f.rec.Column(i).NullN() < f.Rows() }) {
			arrays[i] = absent.of(typeOf(c))
			continue
		}
		var err error
		if arrays[i], err = concatColumn(frames, i); err != nil {
			return nil, fmt.Errorf("concatenate %s: %w", first.table.Columns[i].Name, err)
		}
	}
	return &Frame{first.table, array.NewRecord(first.rec.Schema(), arrays, rows)}, nil
}

func concatColumn(frames []*Frame, i int) (arrow.Array, error) {
	parts := make([]arrow.Array, len(frames))
	for k, f := range frames {
		parts[k] = f.rec.Column(i)
	}
	return array.Concatenate(parts, memory.DefaultAllocator)
}

// Take returns the rows with these indices, in their order: to sort, to thin out.
func (f *Frame) Take(rows []int) *Frame {
	arrays := make([]arrow.Array, len(f.table.Columns))
	for i, c := range f.table.Columns {
		src := f.rec.Column(i)
		if src.NullN() == src.Len() && c.Null {
			arrays[i] = array.MakeArrayOfNull(memory.DefaultAllocator, typeOf(c), len(rows))
			continue
		}
		dst := newColumn(c)
		dst.b.Reserve(len(rows))
		dst.take(src, rows)
		arrays[i] = dst.b.NewArray()
	}
	return &Frame{f.table, array.NewRecord(f.rec.Schema(), arrays, int64(len(rows)))}
}

func (c *Column) take(src arrow.Array, rows []int) {
	switch src := src.(type) {
	case *array.Int32:
		pick(c, src, rows, src.Int32Values(), c.Int32)
	case *array.Int64:
		pick(c, src, rows, src.Int64Values(), c.Int64)
	case *array.Timestamp:
		pick(c, src, rows, src.TimestampValues(), func(t arrow.Timestamp) { c.Int64(int64(t)) })
	case *array.Float64:
		pick(c, src, rows, src.Float64Values(), c.Float)
	case *array.String:
		for _, r := range rows {
			c.Text(src.Value(r))
		}
	case *array.Boolean:
		b := Bits{src}
		for _, r := range rows {
			c.State(b.State(r))
		}
	}
}

func pick[V any](c *Column, src arrow.Array, rows []int, values []V, put func(V)) {
	valid := validOf(src)
	for _, r := range rows {
		if valid.At(r) {
			put(values[r])
		} else {
			c.Null()
		}
	}
}
