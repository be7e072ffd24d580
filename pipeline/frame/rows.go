package frame

import (
	"errors"
	"fmt"
	"reflect"
	"time"

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
	v := reflect.ValueOf(rows)
	columns := make([]*Column, len(fields))
	for k, f := range fields {
		columns[k] = b.Column(f.column.Name)
	}
	for i := range rows {
		row := v.Index(i)
		for k, f := range fields {
			f.append(columns[k], row.Field(f.index))
		}
	}
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
	v := reflect.ValueOf(rows)
	readers := make([]func(int, reflect.Value), len(fields))
	for k, fd := range fields {
		readers[k] = fd.reader(f)
	}
	for i := range rows {
		row := v.Index(i)
		for k, fd := range fields {
			readers[k](i, row.Field(fd.index))
		}
	}
	return rows, nil
}

// A field ties a struct's field to a column.
type field struct {
	index  int
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
		fields = append(fields, field{i, c})
	}
	return fields, nil
}

func (f field) append(c *Column, v reflect.Value) {
	switch f.column.Kind {
	case table.Time:
		if t := v.Interface().(time.Time); t.IsZero() {
			c.Null()
		} else {
			c.Int64(t.UnixMicro())
		}
	case table.Float:
		c.Float(v.Float())
	case table.Text:
		c.Text(v.String())
	case table.Int:
		c.Int64(v.Int())
	case table.Bit:
		if v.Kind() == reflect.Bool {
			c.Bit(v.Bool())
		} else {
			c.State(table.State(v.Int()))
		}
	}
}

// reader returns a function that sets a struct's field from row i.
func (f field) reader(from *Frame) func(i int, v reflect.Value) {
	name := f.column.Name
	switch f.column.Kind {
	case table.Time:
		times, valid := from.Times(name), from.Valid(name)
		return func(i int, v reflect.Value) {
			if valid.At(i) {
				v.Set(reflect.ValueOf(time.UnixMicro(times[i]).UTC()))
			}
		}
	case table.Float:
		floats := from.Floats(nil, name)
		return func(i int, v reflect.Value) { v.SetFloat(floats[i]) }
	case table.Text:
		texts := from.Text(name)
		return func(i int, v reflect.Value) { v.SetString(texts.At(i)) }
	case table.Int:
		ints, _ := from.Ints(name)
		return func(i int, v reflect.Value) { v.SetInt(ints[i]) }
	}
	bits := from.Bits(name)
	return func(i int, v reflect.Value) {
		if v.Kind() == reflect.Bool {
			v.SetBool(bits.At(i))
		} else {
			v.SetInt(int64(bits.State(i)))
		}
	}
}
