package dataset

import (
	"bytes"
	"fmt"
	"reflect"
	"slices"
	"sync"

	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/format"

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

// A fileSchema is the schema of a table as it stands in a file's footer, with the
// order that each column's bounds are in.
type fileSchema struct {
	columns  []table.Column
	elements []format.SchemaElement // not to be changed
	orders   []format.ColumnOrder
	text     string
}

// fileSchemas keeps the schema of each table by its name: it follows from the table, and
// to work it out takes longer than to write a small file.
var fileSchemas sync.Map

func fileSchemaOf(t table.Table) (*fileSchema, error) {
	if kept, ok := fileSchemas.Load(t.Name); ok {
		if s := kept.(*fileSchema); slices.Equal(s.columns, t.Columns) {
			return s, nil
		}
	}
	s, err := newFileSchema(t)
	if err != nil {
		return nil, fmt.Errorf("schema of %s: %w", t.Name, err)
	}
	fileSchemas.Store(t.Name, s)
	return s, nil
}

// newFileSchema takes what the Parquet library writes into a file without rows.
func newFileSchema(t table.Table) (*fileSchema, error) {
	var empty bytes.Buffer
	schema := schemaOf(t)
	if err := parquet.NewGenericWriter[any](&empty, schema).Close(); err != nil {
		return nil, err
	}
	f, err := openFile(bytes.NewReader(empty.Bytes()), int64(empty.Len()))
	if err != nil {
		return nil, err
	}
	return &fileSchema{t.Columns, f.Metadata().Schema, f.Metadata().ColumnOrders, schema.String()}, nil
}

// nodeOf is a column's type.
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
		return parquet.Timestamp(parquet.Microsecond)
	case table.Fixed32: // DECIMAL(9, digits): nine digits fit an INT32
		return parquet.Decimal(c.Digits, 9, parquet.Int32Type)
	case table.Fixed64: // DECIMAL(18, digits): eighteen digits fit an INT64
		return parquet.Decimal(c.Digits, 18, parquet.Int64Type)
	case table.Float:
		return parquet.Leaf(parquet.DoubleType)
	case table.Text:
		return parquet.String()
	case table.Bit:
		return parquet.Leaf(parquet.BooleanType)
	case table.Int:
		return parquet.Int(64)
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
