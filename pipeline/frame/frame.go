// Package frame holds rows of a table in memory, column by column.
//
// A Frame is an Arrow record described by a [table.Table]: time as microseconds,
// fixed point as mantissas, float64, text and bits, each with its nulls. It never
// changes once it is built; slices of columns are shared with the caller, who
// must not write to them.
//
//  1. A [Builder], or [FromRows] for tables with few rows, makes a frame.
//  2. Times, Fixed32, Fixed64, Ints, Text and Bits give a column as it is
//     stored; Floats gives any number as float64 with NaN for null.
//  3. Slice, Between, Take and Concat make frames from frames.
//  4. [Rows] gives the rows as structs of package table.
//
// To ask for a column that the frame does not have, or as the wrong kind, is a
// programmer's mistake and panics; [Frame.Has] tells beforehand. Frames use the
// garbage collector's memory: there is nothing to release.
package frame

import (
	"fmt"
	"math"
	"sort"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"

	"rimelog/pipeline/table"
)

// A Frame is a number of rows of a table, or of some of its columns.
type Frame struct {
	table table.Table
	rec   arrow.Record
}

// Empty returns a frame of the table without rows.
func Empty(t table.Table) *Frame {
	f, _ := NewBuilder(t, 0).Build() // nothing was appended, so no lengths can differ
	return f
}

// Table describes the columns of the frame. Where only some columns were read,
// it lists those.
func (f *Frame) Table() table.Table { return f.table }

// Rows is the number of rows.
func (f *Frame) Rows() int { return int(f.rec.NumRows()) }

// Record is the Arrow record behind the frame, for libraries that take one.
// A Fixed32 column is an Int32 of mantissas there.
func (f *Frame) Record() arrow.Record { return f.rec }

// Has tells whether the frame has the column and a value in it.
func (f *Frame) Has(col string) bool {
	i := f.table.Index(col)
	return i >= 0 && f.rec.Column(i).NullN() < f.Rows()
}

// Valid tells which rows of a column hold a value.
func (f *Frame) Valid(col string) Valid { return validOf(f.column(col)) }

// Times returns a time column in microseconds since 1970, UTC. Where the column
// may be null, Valid tells which rows count.
func (f *Frame) Times(col string) []int64 {
	a := as[*array.Timestamp](f, col).TimestampValues()
	return arrow.Int64Traits.CastFromBytes(arrow.TimestampTraits.CastToBytes(a))
}

// Fixed32 returns the mantissas of a fixed-point column: the value times ten to
// the column's Digits.
func (f *Frame) Fixed32(col string) ([]int32, Valid) {
	a := as[*array.Int32](f, col)
	return a.Int32Values(), validOf(a)
}

// Fixed64 returns the mantissas of a 64-bit fixed-point column.
func (f *Frame) Fixed64(col string) ([]int64, Valid) {
	a := as[*array.Int64](f, col)
	return a.Int64Values(), validOf(a)
}

// Ints returns a column of whole numbers.
func (f *Frame) Ints(col string) ([]int64, Valid) { return f.Fixed64(col) }

// Text returns a column of text.
func (f *Frame) Text(col string) Texts { return Texts{as[*array.String](f, col)} }

// Bits returns a column of yes and no.
func (f *Frame) Bits(col string) Bits { return Bits{as[*array.Boolean](f, col)} }

// Floats returns any column of numbers as float64 in the column's unit, NaN for
// null (times are microseconds). It writes into dst where dst is long enough.
// A mantissa below 2^53 divided by its power of ten is the float64 nearest to
// the decimal, since both are exact; a larger counter may be off by one last place.
func (f *Frame) Floats(dst []float64, col string) []float64 {
	i := f.index(col)
	if cap(dst) < f.Rows() {
		dst = make([]float64, f.Rows())
	}
	dst = dst[:f.Rows()]
	a := f.rec.Column(i)
	scale := math.Pow10(f.table.Columns[i].Digits)
	switch a := a.(type) {
	case *array.Int32:
		divide(dst, a.Int32Values(), scale)
	case *array.Int64:
		divide(dst, a.Int64Values(), scale)
	case *array.Timestamp:
		divide(dst, a.TimestampValues(), 1)
	case *array.Float64:
		copy(dst, a.Float64Values())
	default:
		panic(fmt.Sprintf("frame: column %s of %s holds no numbers", col, f.table.Name))
	}
	setNaN(dst, validOf(a))
	return dst
}

func divide[N ~int32 | ~int64](dst []float64, src []N, by float64) {
	for i, v := range src {
		dst[i] = float64(v) / by
	}
}

func setNaN(dst []float64, v Valid) {
	if v.All() {
		return
	}
	for i := range dst {
		if !v.At(i) {
			dst[i] = math.NaN()
		}
	}
}

// Slice returns rows i up to, not including, j. Nothing is copied.
func (f *Frame) Slice(i, j int) *Frame {
	return &Frame{f.table, f.rec.NewSlice(int64(i), int64(j))}
}

// Between returns the rows whose time is from <= t < to, in microseconds since
// 1970. The column must be sorted and without nulls. Nothing is copied.
func (f *Frame) Between(col string, from, to int64) *Frame {
	t := f.Times(col)
	i := sort.Search(len(t), func(i int) bool { return t[i] >= from })
	j := sort.Search(len(t), func(i int) bool { return t[i] >= to })
	return f.Slice(i, max(i, j))
}

// Select returns the frame with only the columns named, in the table's order.
// Names that the frame does not have are left out. Nothing is copied.
func (f *Frame) Select(cols ...string) *Frame {
	t := Columns(f.table, cols...)
	arrays := make([]arrow.Array, len(t.Columns))
	for i, c := range t.Columns {
		arrays[i] = f.rec.Column(f.table.Index(c.Name))
	}
	return &Frame{t, array.NewRecord(schemaOf(t), arrays, f.rec.NumRows())}
}

// Columns returns the table with only the columns named, in the table's order;
// with all of them where none is named.
func Columns(t table.Table, cols ...string) table.Table {
	if len(cols) == 0 {
		return t
	}
	want := map[string]bool{}
	for _, c := range cols {
		want[c] = true
	}
	all := t.Columns
	t.Columns = nil
	for _, c := range all {
		if want[c.Name] {
			t.Columns = append(t.Columns, c)
		}
	}
	return t
}

func (f *Frame) index(col string) int {
	i := f.table.Index(col)
	if i < 0 {
		panic(fmt.Sprintf("frame: %s has no column %s here", f.table.Name, col))
	}
	return i
}

func (f *Frame) column(col string) arrow.Array { return f.rec.Column(f.index(col)) }

func as[A arrow.Array](f *Frame, col string) A {
	a, ok := f.column(col).(A)
	if !ok {
		panic(fmt.Sprintf("frame: column %s of %s is of another kind", col, f.table.Name))
	}
	return a
}
