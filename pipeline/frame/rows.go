package frame

import (
	"errors"
	"fmt"
	"reflect"

	"github.com/apache/arrow/go/v17/arrow/array"

	"rimelog/pipeline/table"
)

// FromRows makes a frame from row structs of package table. NaN, the zero time
// and [table.Unknown] become null. Tables with fixed-point columns have no
// nullable struct form: build those with a [Builder].
func FromRows[Row any](t table.Table, rows []Row) (*Frame, error) {
	fields, err := fieldsOf(t, reflect.TypeFor[Row]())
	if err != nil {
		return nil, err
	}
	b := NewBuilder(t, len(rows))
	takers := make([]func(from, to int), len(fields))
	for k, f := range fields {
		takers[k] = f.taker(b.Column(f.column.Name), strideOf(rows, f.offset), len(rows))
	}
	inBlocks(len(rows), takers)
	return b.Build()
}

// Rows returns the rows of a frame as structs of package table: null becomes
// NaN, the zero time, or [table.Unknown]. Columns that the frame does not have
// become null.
func Rows[Row any](f *Frame) ([]Row, error) {
	fields, err := fieldsOf(f.table, reflect.TypeFor[Row]())
	if err != nil {
		return nil, err
	}
	rows := make([]Row, f.Rows())
	givers := make([]func(from, to int), len(fields))
	for k, fd := range fields {
		givers[k] = fd.giver(f, strideOf(rows, fd.offset))
	}
	inBlocks(len(rows), givers)
	return rows, nil
}

// block is how many rows are filled column by column before the next ones are: so many lie in
// a processor's cache together.
const block = 64

// inBlocks lets each column do its part of the rows, block by block.
func inBlocks(rows int, columns []func(from, to int)) {
	for from := 0; from < rows; from += block {
		to := min(from+block, rows)
		for _, do := range columns {
			do(from, to)
		}
	}
}

// A field ties a struct's field to a column.
type field struct {
	offset uintptr
	typ    reflect.Type
	column table.Column
}

var errFixedPoint = errors.New("fixed-point columns have no nullable struct form; use a Builder or the column methods")

// fieldsOf looks at a row type once, before any row.
func fieldsOf(t table.Table, row reflect.Type) ([]field, error) {
	if row.Kind() != reflect.Struct {
		return nil, fmt.Errorf("rows of %s: %s is not a struct", t.Name, row)
	}
	var fields []field
	for i, c := range table.ColumnsOf(row) {
		if c.Kind == table.Fixed32 || c.Kind == table.Fixed64 {
			return nil, fmt.Errorf("rows of %s, column %s: %w", t.Name, c.Name, errFixedPoint)
		}
		j := t.Index(c.Name)
		if j < 0 || t.Columns[j].Kind != c.Kind {
			return nil, fmt.Errorf("rows of %s: %s has a column %s that the table has not", t.Name, row, c.Name)
		}
		fields = append(fields, field{row.Field(i).Offset, row.Field(i).Type, c})
	}
	return fields, nil
}

// taker returns a function that appends a field of a range of so many rows to a column.
func (f field) taker(to *Column, s stride, rows int) func(from, to int) {
	switch f.column.Kind {
	case table.Time:
		return s.takeTimes(to)
	case table.Float:
		return s.takeFloats(to)
	case table.Text:
		to.Room(s.length(rows))
		return taken(s, to.Text)
	case table.Int:
		return taken(s, to.Int64)
	}
	if f.typ.Kind() == reflect.Bool {
		return taken(s, to.Bit)
	}
	return taken(s, to.State)
}

// giver returns a function that sets a field of a range of rows from a column.
func (f field) giver(from *Frame, s stride) func(from, to int) {
	name := f.column.Name
	switch f.column.Kind {
	case table.Time:
		return s.giveTimes(from.Times(name), from.Valid(name))
	case table.Float:
		return s.giveFloats(as[*array.Float64](from, name).Float64Values(), from.Valid(name))
	case table.Text:
		return given(s, from.Text(name).At)
	case table.Int:
		ints, _ := from.Ints(name)
		return given(s, func(i int) int64 { return ints[i] })
	}
	if bits := from.Bits(name); f.typ.Kind() == reflect.Bool {
		return given(s, bits.At)
	} else {
		return given(s, bits.State)
	}
}
