package table

//go:generate go run rimelog/pipeline/table/internal/gendoc

import (
	"fmt"
	"reflect"
	"sync"
	"time"
)

// Fixed is a channel's value in thousandths of its unit. It only marks a column:
// values live in frames.
type Fixed int32

// Flow is a channel's value in millionths of its unit.
type Flow int32

// Counter is a counter's reading in thousandths of its unit.
type Counter int64

// State is a yes or no that may be unknown.
type State int8

// The values of a State.
const (
	Unknown State = iota
	No
	Yes
)

// Kind is how a column is stored.
type Kind uint8

// The kinds of column.
const (
	Time    Kind = iota // microseconds since 1970, UTC
	Fixed32             // fixed point in an INT32
	Fixed64             // fixed point in an INT64
	Float               // DOUBLE
	Text                // UTF-8
	Bit                 // BOOLEAN
	Int                 // INT64
)

// A Column is one column of a table.
type Column struct {
	Name        string
	Kind        Kind
	Digits      int  // digits after the decimal point of a fixed-point column
	Null        bool // whether a row may lack it
	Unit        string
	Doc         string
	Method      string
	Uncertainty string // the column with this one's standard uncertainty, or empty
	Source      string // the standard, handbook or paper behind the method, or empty
}

// A Partition is how a table's rows are cut into files.
type Partition uint8

// The partitions.
const (
	ByFleet       Partition = iota // TABLE/data.parquet
	BySystem                       // TABLE/system=ID/data.parquet
	BySystemMonth                  // TABLE/system=ID/month=YYYY-MM/data.parquet
)

// A Table is a name, its columns in stored order, and how it is cut into files.
type Table struct {
	Name      string
	Partition Partition
	Doc       string
	Columns   []Column
}

// Index returns the position of a column, or -1.
func (t Table) Index(name string) int {
	for i, c := range t.Columns {
		if c.Name == name {
			return i
		}
	}
	return -1
}

// Path is where the file of a partition lies below the dataset folder.
// Arguments that the partition does not use are ignored.
func (t Table) Path(system, month string) string {
	switch t.Partition {
	case BySystemMonth:
		return fmt.Sprintf("%s/system=%s/month=%s/data.parquet", t.Name, system, month)
	case BySystem:
		return fmt.Sprintf("%s/system=%s/data.parquet", t.Name, system)
	}
	return t.Name + "/data.parquet"
}

// ColumnsOf returns the columns that the fields of a row struct describe; they are shared, and
// not to be changed. It panics for a struct that is not a table's: a programmer's mistake.
func ColumnsOf(row reflect.Type) []Column {
	if cols, ok := described.Load(row); ok {
		return cols.([]Column)
	}
	cols := make([]Column, row.NumField())
	for i := range cols {
		cols[i] = columnOf(row.Field(i))
	}
	described.Store(row, cols)
	return cols
}

// described keeps the columns of each row struct: tags do not change, and to read them is dear.
var described sync.Map

func columnOf(f reflect.StructField) Column {
	c := Column{
		Name: f.Tag.Get("col"), Unit: f.Tag.Get("unit"), Doc: f.Tag.Get("doc"),
		Method: f.Tag.Get("method"), Uncertainty: f.Tag.Get("u"), Source: f.Tag.Get("source"),
	}
	if c.Name == "" || c.Doc == "" {
		panic("table: field " + f.Name + " needs a col and a doc tag")
	}
	s, ok := storage[f.Type]
	if !ok {
		panic("table: field " + f.Name + " has a type no column is stored as")
	}
	c.Kind, c.Digits, c.Null = s.kind, s.digits, s.null
	return c
}

var storage = map[reflect.Type]struct {
	kind   Kind
	digits int
	null   bool
}{
	reflect.TypeFor[time.Time](): {Time, 0, true},
	reflect.TypeFor[Fixed]():     {Fixed32, 3, true},
	reflect.TypeFor[Flow]():      {Fixed32, 6, true},
	reflect.TypeFor[Counter]():   {Fixed64, 3, true},
	reflect.TypeFor[float64]():   {Float, 0, true},
	reflect.TypeFor[string]():    {Text, 0, false},
	reflect.TypeFor[bool]():      {Bit, 0, false},
	reflect.TypeFor[State]():     {Bit, 0, true},
	reflect.TypeFor[int64]():     {Int, 0, false},
}

func of[Row any](name string, p Partition, doc string) Table {
	return Table{Name: name, Partition: p, Doc: doc, Columns: ColumnsOf(reflect.TypeFor[Row]())}
}
