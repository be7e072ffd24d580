package dataset

import (
	"fmt"
	"reflect"

	"github.com/parquet-go/parquet-go"

	"rimelog/pipeline/table"
)

// schemaOf is the Parquet schema of a table: its columns in its own order. Most
// columns may be null even where rows seldom lack them, so that files of
// different loggers have one schema.
func schemaOf(t table.Table) *parquet.Schema {
	g := group{Group: parquet.Group{}}
	for _, c := range t.Columns {
		n := nodeOf(c)
		g.Group[c.Name] = n
		g.fields = append(g.fields, field{n, c.Name})
	}
	return parquet.NewSchema(t.Name, g)
}

// nodeOf is a column's type and encoding. Fixed point, time and whole numbers
// are delta-encoded: neighbours are alike, and it measured both faster and
// smaller than plain or dictionary for logged channels. Text repeats.
func nodeOf(c table.Column) parquet.Node {
	n := leafOf(c)
	if c.Null {
		n = parquet.Optional(n)
	}
	return n
}

func leafOf(c table.Column) parquet.Node {
	switch c.Kind {
	case table.Time:
		return parquet.Encoded(parquet.Timestamp(parquet.Microsecond), &parquet.DeltaBinaryPacked)
	case table.Fixed32: // DECIMAL(9, digits): nine digits fit an INT32
		return parquet.Encoded(parquet.Decimal(c.Digits, 9, parquet.Int32Type), &parquet.DeltaBinaryPacked)
	case table.Fixed64: // DECIMAL(18, digits): eighteen digits fit an INT64
		return parquet.Encoded(parquet.Decimal(c.Digits, 18, parquet.Int64Type), &parquet.DeltaBinaryPacked)
	case table.Float:
		return parquet.Encoded(parquet.Leaf(parquet.DoubleType), &parquet.Plain)
	case table.Text:
		return parquet.Encoded(parquet.String(), &parquet.RLEDictionary)
	case table.Bit:
		return parquet.Encoded(parquet.Leaf(parquet.BooleanType), &parquet.Plain)
	case table.Int:
		return parquet.Encoded(parquet.Int(64), &parquet.DeltaBinaryPacked)
	}
	panic(fmt.Sprintf("dataset: column %s has a kind nobody stores", c.Name))
}

// The largest mantissas that fit DECIMAL(9) and DECIMAL(18).
const (
	maxFixed32 = 999_999_999
	maxFixed64 = 999_999_999_999_999_999
)

// group is a parquet.Group that keeps its fields in order: a Group, being a
// map, would sort them by name.
type group struct {
	parquet.Group
	fields []parquet.Field
}

func (g group) Fields() []parquet.Field { return g.fields }

// field is a named node. Values come in columns, never out of Go structs.
type field struct {
	parquet.Node
	name string
}

func (f field) Name() string { return f.name }

func (f field) Value(reflect.Value) reflect.Value { return reflect.Value{} }
