package dataset

import (
	"fmt"
	"io"

	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/compress/zstd"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

const (
	// rowGroupRows is the length of a row group: long enough to compress well,
	// short enough that a reader who wants a day of a month skips the rest.
	rowGroupRows = 131_072
	// batchRows is how many values go to the writer at once. Page boundaries,
	// and so the bytes, depend on it.
	batchRows = 1024
)

// A footer is what a file says of itself.
type footer struct {
	table, step, fingerprint string
	notes                    map[string]string
}

// The footer's keys. Notes have their own, which must not be these.
const (
	keyTable       = "rimelog.table"
	keyStep        = "rimelog.step"
	keyFingerprint = "rimelog.fingerprint"
)

func (f footer) options() []parquet.WriterOption {
	opts := []parquet.WriterOption{
		parquet.KeyValueMetadata(keyTable, f.table),
		parquet.KeyValueMetadata(keyStep, f.step),
		parquet.KeyValueMetadata(keyFingerprint, f.fingerprint),
	}
	for k, v := range f.notes {
		opts = append(opts, parquet.KeyValueMetadata(k, v))
	}
	return opts
}

// newCodec compresses at the fastest level: the default took twice the time for
// files 6 % smaller, fixed point being small from its encoding already.
func newCodec() *zstd.Codec { return &zstd.Codec{Level: zstd.SpeedFastest} }

// encode writes a frame as a Parquet file. The bytes follow from the frame and
// the footer alone.
func encode(w io.Writer, f *frame.Frame, foot footer, codec *zstd.Codec) error {
	t := f.Table()
	if err := whole(t); err != nil {
		return err
	}
	opts := append(foot.options(), schemaOf(t),
		parquet.CreatedBy("rimelog", "1", "tables"),
		parquet.Compression(codec),
		parquet.DataPageVersion(2),
	)
	pw := parquet.NewGenericWriter[any](w, opts...)
	for from := 0; from < f.Rows(); from += rowGroupRows {
		if err := encodeRowGroup(pw, f.Slice(from, min(from+rowGroupRows, f.Rows()))); err != nil {
			return fmt.Errorf("encode %s: %w", t.Name, err)
		}
	}
	if err := pw.Close(); err != nil {
		return fmt.Errorf("encode %s: %w", t.Name, err)
	}
	return nil
}

// whole refuses a frame of only some of its table's columns.
func whole(t table.Table) error {
	for _, known := range table.All() {
		if known.Name == t.Name && len(known.Columns) != len(t.Columns) {
			return fmt.Errorf("encode %s: %d columns of %d", t.Name, len(t.Columns), len(known.Columns))
		}
	}
	return nil
}

func encodeRowGroup(pw *parquet.GenericWriter[any], f *frame.Frame) error {
	columns := pw.ColumnWriters()
	batch := make([]parquet.Value, batchRows)
	for i, c := range f.Table().Columns {
		if err := encodeColumn(columns[i], batch, f, c, i); err != nil {
			return fmt.Errorf("column %s: %w", c.Name, err)
		}
	}
	return pw.Flush()
}

func encodeColumn(w *parquet.ColumnWriter, batch []parquet.Value, f *frame.Frame, c table.Column, index int) error {
	out := output{w: w, batch: batch, missing: parquet.NullValue().Level(0, 0, index), valid: f.Valid(c.Name)}
	if c.Null && out.valid.None() {
		return out.nulls(f.Rows())
	}
	fill, err := fillerOf(f, c)
	if err != nil {
		return err
	}
	return out.values(f.Rows(), fill)
}

// inRange refuses mantissas that the column's DECIMAL type does not hold. Ingest
// has refused such values with their reason before they come here.
func inRange[N int32 | int64](v []N, valid frame.Valid, limit N) error {
	for i, x := range v {
		if (x > limit || x < -limit) && valid.At(i) {
			return fmt.Errorf("row %d: mantissa %d does not fit the column", i, x)
		}
	}
	return nil
}

// A filler fills a batch with a column's values from a row on. There is one
// loop for each kind of storage, since this is where the time goes.
type filler func(batch []parquet.Value, from int)

func fillerOf(f *frame.Frame, c table.Column) (filler, error) {
	level := 0
	if c.Null {
		level = 1 // the definition level of a value that is there
	}
	switch c.Kind {
	case table.Time:
		return int64s(f.Times(c.Name), level), nil
	case table.Fixed32:
		v, valid := f.Fixed32(c.Name)
		return int32s(v, level), inRange(v, valid, maxFixed32)
	case table.Fixed64:
		v, valid := f.Fixed64(c.Name)
		return int64s(v, level), inRange(v, valid, maxFixed64)
	case table.Int:
		v, _ := f.Ints(c.Name)
		return int64s(v, level), nil
	case table.Float:
		return doubles(f.Floats(nil, c.Name), level), nil
	case table.Text:
		return texts(f.Text(c.Name), level), nil
	}
	return bits(f.Bits(c.Name), level), nil
}

func int32s(v []int32, level int) filler {
	return func(batch []parquet.Value, from int) {
		for i, x := range v[from : from+len(batch)] {
			batch[i] = parquet.Int32Value(x)
			batch[i].SetDefinitionLevel(level)
		}
	}
}

func int64s(v []int64, level int) filler {
	return func(batch []parquet.Value, from int) {
		for i, x := range v[from : from+len(batch)] {
			batch[i] = parquet.Int64Value(x)
			batch[i].SetDefinitionLevel(level)
		}
	}
}

func doubles(v []float64, level int) filler {
	return func(batch []parquet.Value, from int) {
		for i, x := range v[from : from+len(batch)] {
			batch[i] = parquet.DoubleValue(x)
			batch[i].SetDefinitionLevel(level)
		}
	}
}

func texts(t frame.Texts, level int) filler {
	return func(batch []parquet.Value, from int) {
		for i := range batch {
			batch[i] = parquet.ByteArrayValue([]byte(t.At(from + i)))
			batch[i].SetDefinitionLevel(level)
		}
	}
}

func bits(b frame.Bits, level int) filler {
	return func(batch []parquet.Value, from int) {
		for i := range batch {
			batch[i] = parquet.BooleanValue(b.At(from + i))
			batch[i].SetDefinitionLevel(level)
		}
	}
}

// An output is a column being written, batch by batch.
type output struct {
	w       *parquet.ColumnWriter
	batch   []parquet.Value
	missing parquet.Value // what stands for null
	valid   frame.Valid
}

// values writes a column of which some rows at least hold a value.
func (o output) values(rows int, fill filler) error {
	for from := 0; from < rows; from += len(o.batch) {
		batch := o.batch[:min(len(o.batch), rows-from)]
		fill(batch, from)
		if !o.valid.All() {
			o.blank(batch, from)
		}
		if _, err := o.w.WriteRowValues(batch); err != nil {
			return err
		}
	}
	return nil
}

func (o output) blank(batch []parquet.Value, from int) {
	for i := range batch {
		if !o.valid.At(from + i) {
			batch[i] = o.missing
		}
	}
}

// nulls writes a column without values.
func (o output) nulls(rows int) error {
	for i := range o.batch {
		o.batch[i] = o.missing
	}
	for from := 0; from < rows; from += len(o.batch) {
		if _, err := o.w.WriteRowValues(o.batch[:min(len(o.batch), rows-from)]); err != nil {
			return err
		}
	}
	return nil
}
