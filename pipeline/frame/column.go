package frame

import (
	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"

	"rimelog/pipeline/table"
)

// Valid tells which rows of a column hold a value.
type Valid struct {
	bitmap      []byte // one bit a row, lowest first; nil where there is no null
	offset      int
	rows, nulls int
}

func validOf(a arrow.Array) Valid {
	v := Valid{rows: a.Len(), nulls: a.NullN(), offset: a.Data().Offset()}
	if v.nulls > 0 {
		v.bitmap = a.NullBitmapBytes()
	}
	return v
}

// At tells whether row i holds a value.
func (v Valid) At(i int) bool {
	if v.bitmap == nil {
		return true
	}
	i += v.offset
	return v.bitmap[i>>3]&(1<<(i&7)) != 0
}

// All tells whether every row holds a value.
func (v Valid) All() bool { return v.nulls == 0 }

// None tells whether no row holds a value.
func (v Valid) None() bool { return v.nulls == v.rows }

// Count is the number of rows that hold a value.
func (v Valid) Count() int { return v.rows - v.nulls }

// Texts is a column of text.
type Texts struct{ a *array.String }

// Len is the number of rows.
func (t Texts) Len() int { return t.a.Len() }

// At returns the text of row i, empty for null.
func (t Texts) At(i int) string { return t.a.Value(i) }

// Bits is a column of yes and no.
type Bits struct{ a *array.Boolean }

// Len is the number of rows.
func (b Bits) Len() int { return b.a.Len() }

// At tells whether row i holds yes.
func (b Bits) At(i int) bool { return b.a.IsValid(i) && b.a.Value(i) }

// State returns row i as yes, no or unknown.
func (b Bits) State(i int) table.State {
	switch {
	case b.a.IsNull(i):
		return table.Unknown
	case b.a.Value(i):
		return table.Yes
	}
	return table.No
}

// Valid tells which rows are known.
func (b Bits) Valid() Valid { return validOf(b.a) }

// typeOf is the Arrow type a column is held as.
func typeOf(c table.Column) arrow.DataType {
	switch c.Kind {
	case table.Time:
		return arrow.FixedWidthTypes.Timestamp_us // its zone is UTC
	case table.Fixed32:
		return arrow.PrimitiveTypes.Int32
	case table.Float:
		return arrow.PrimitiveTypes.Float64
	case table.Text:
		return arrow.BinaryTypes.String
	case table.Bit:
		return arrow.FixedWidthTypes.Boolean
	}
	return arrow.PrimitiveTypes.Int64 // Fixed64, Int
}

func schemaOf(t table.Table) *arrow.Schema {
	fields := make([]arrow.Field, len(t.Columns))
	for i, c := range t.Columns {
		fields[i] = arrow.Field{Name: c.Name, Type: typeOf(c), Nullable: c.Null}
	}
	return arrow.NewSchema(fields, nil)
}
