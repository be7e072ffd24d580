package dataset

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"slices"

	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/format"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/store"
	"rimelog/pipeline/table"
)

// open gives the Parquet file at a name, its footer, and what closes it.
func (d *Dataset) open(ctx context.Context, name string) (*parquet.File, footer, store.ReaderAtCloser, error) {
	r, size, err := d.st.ReaderAt(ctx, name)
	if err != nil {
		return nil, footer{}, nil, err
	}
	f, err := openFile(r, size)
	if err != nil {
		return nil, footer{}, nil, errors.Join(damaged(name, err), r.Close())
	}
	return f, footerOf(f), r, nil
}

func openFile(r io.ReaderAt, size int64) (f *parquet.File, err error) {
	defer tame(&err)
	if err := checkLength(r, size); err != nil {
		return nil, err
	}
	return parquet.OpenFile(r, size, parquet.SkipPageIndex(true), parquet.SkipBloomFilters(true))
}

// checkLength looks at the footer's length, which stands before the last four
// bytes of a file: the Parquet library makes room for whatever it says.
func checkLength(r io.ReaderAt, size int64) error {
	const frame = 12 // "PAR1" at both ends and the length
	if size < frame {
		return fmt.Errorf("has only %d bytes", size)
	}
	var end [4]byte
	if _, err := r.ReadAt(end[:], size-8); err != nil {
		return err
	}
	if n := int64(binary.LittleEndian.Uint32(end[:])); n > size-frame {
		return fmt.Errorf("is cut off or damaged: a footer of %d bytes in a file of %d", n, size)
	}
	return nil
}

// tame turns a panic into an error: the Parquet library trusts the sizes and
// offsets in a file, and panics over some that are damaged.
func tame(err *error) {
	if p := recover(); p != nil {
		*err = fmt.Errorf("is damaged: %v", p)
	}
}

func damaged(name string, err error) Corrupt {
	return Corrupt{name, "cannot be read: " + err.Error(), "run verify -repair, then run again"}
}

func footerOf(f *parquet.File) footer {
	foot := footer{notes: map[string]string{}}
	for _, kv := range f.Metadata().KeyValueMetadata {
		switch kv.Key {
		case keyTable:
			foot.table = kv.Value
		case keyStep:
			foot.step = kv.Value
		case keyFingerprint:
			foot.fingerprint = kv.Value
		case keyBelow:
			foot.below = placesOf(kv.Value)
		default:
			foot.notes[kv.Key] = kv.Value
		}
	}
	if len(foot.notes) == 0 {
		foot.notes = nil
	}
	return foot
}

func (d *Dataset) footer(ctx context.Context, name string) (footer, int64, error) {
	f, foot, closer, err := d.open(ctx, name)
	if err != nil {
		return footer{}, 0, err
	}
	return foot, f.NumRows(), closer.Close()
}

// read gives the rows of a file, of all columns or those named.
func (d *Dataset) read(ctx context.Context, name string, cols ...string) (rows *frame.Frame, err error) {
	f, foot, closer, err := d.open(ctx, name)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, closer.Close()) }()
	t, err := tableOf(f, foot)
	if err != nil {
		return nil, damaged(name, err)
	}
	if rows, err = decode(f, frame.Columns(t, cols...)); err != nil {
		return nil, damaged(name, err)
	}
	return rows, nil
}

// tableOf is the table that a file says it is of, if its schema is that table's.
func tableOf(f *parquet.File, foot footer) (_ table.Table, err error) {
	defer tame(&err)
	t, ok := table.Named(foot.table)
	if !ok {
		return t, fmt.Errorf("no table is called %q", foot.table)
	}
	schema, err := fileSchemaOf(t)
	switch {
	case err != nil:
		return t, err
	case f.Schema().String() != schema.text:
		return t, fmt.Errorf("its columns are not those of table %s", t.Name)
	case !allZstd(f):
		return t, errors.New("is not compressed as our files are")
	}
	return t, nil
}

// allZstd is also a guard: a damaged codec number may have another codec make
// room for gigabytes.
func allZstd(f *parquet.File) bool {
	for _, g := range f.Metadata().RowGroups {
		for _, c := range g.Columns {
			if c.MetaData.Codec != format.Zstd {
				return false
			}
		}
	}
	return true
}

func decode(f *parquet.File, t table.Table) (rows *frame.Frame, err error) {
	defer tame(&err)
	b, room := frame.NewBuilder(t, int(f.NumRows())), &spreading{}
	for i, c := range t.Columns {
		leaf, ok := f.Schema().Lookup(c.Name)
		if !ok {
			return nil, fmt.Errorf("column %s: is missing", c.Name)
		}
		if i > 0 && c.Null && allNull(f, leaf.ColumnIndex) {
			continue // as most channels are: the builder knows; the first tells it how many rows there are
		}
		if err := decodeColumn(f, leaf.ColumnIndex, c, room, b.Column(c.Name)); err != nil {
			return nil, fmt.Errorf("column %s: %w", c.Name, err)
		}
	}
	return b.Build()
}

func decodeColumn(f *parquet.File, column int, c table.Column, room *spreading, dst *frame.Column) error {
	for i, g := range f.RowGroups() {
		meta := f.Metadata().RowGroups[i].Columns[column].MetaData
		if c.Null && meta.Statistics.NullCount == g.NumRows() {
			dst.Nulls(int(g.NumRows()))
			continue
		}
		if err := decodeChunk(g.ColumnChunks()[column], c, room, dst); err != nil {
			return err
		}
	}
	return nil
}

// allNull tells whether a column holds no value in any row.
func allNull(f *parquet.File, column int) bool {
	for _, g := range f.Metadata().RowGroups {
		if g.Columns[column].MetaData.Statistics.NullCount != g.NumRows {
			return false
		}
	}
	return true
}

func decodeChunk(chunk parquet.ColumnChunk, c table.Column, room *spreading, dst *frame.Column) (err error) {
	pages := chunk.Pages()
	defer func() { err = errors.Join(err, pages.Close()) }()
	for {
		p, err := pages.ReadPage()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		err = decodePage(p, c, room, dst)
		parquet.Release(p)
		if err != nil {
			return err
		}
	}
}

func decodePage(p parquet.Page, c table.Column, room *spreading, dst *frame.Column) error {
	data, levels := p.Data(), p.DefinitionLevels()
	switch c.Kind {
	case table.Fixed32:
		spread(data.Int32(), levels, &room.narrow, &room.valid, dst.Int32s)
	case table.Time, table.Fixed64, table.Int:
		spread(data.Int64(), levels, &room.whole, &room.valid, dst.Int64s)
	case table.Float:
		spread(data.Double(), levels, &room.floats, &room.valid, dst.Float64s)
	case table.Bit:
		decodeBits(data.Boolean(), levels, int(p.NumValues()), dst)
	default:
		words := p.Dictionary()
		if words == nil {
			return errors.New("text without a dictionary")
		}
		return decodeWords(data.Int32(), levels, words, dst)
	}
	return nil
}

// decodeWords puts the texts of a page into its rows: the page keeps places in a list of
// words.
func decodeWords(places []int32, levels []byte, words parquet.Dictionary, dst *frame.Column) error {
	length := 0
	for _, place := range places {
		if int(place) >= words.Len() || place < 0 {
			return fmt.Errorf("word %d of %d", place, words.Len())
		}
		length += len(words.Index(place).ByteArray())
	}
	dst.Room(length)
	for i := range max(len(levels), len(places)) {
		switch {
		case len(levels) > 0 && levels[i] == 0:
			dst.Null()
			continue
		case len(places) == 0:
			return errors.New("fewer words than rows")
		}
		dst.Bytes(words.Index(places[0]).ByteArray())
		places = places[1:]
	}
	return nil
}

// A spreading is memory for the rows of a page, used for one page after the other.
type spreading struct {
	narrow []int32
	whole  []int64
	floats []float64
	valid  []bool
}

// spread puts the values of a page into its rows: a page keeps only the values
// that are there, and a level of 1 or 0 for each row. What is put is used again afterwards.
func spread[V any](values []V, levels []byte, room *[]V, valid *[]bool, put func([]V, []bool)) {
	if len(levels) == 0 || len(values) == len(levels) {
		put(values, nil)
		return
	}
	rows, there := slices.Grow((*room)[:0], len(levels)), slices.Grow((*valid)[:0], len(levels))
	for _, l := range levels {
		var v V
		if l == 1 {
			v, values = values[0], values[1:]
		}
		rows, there = append(rows, v), append(there, l == 1)
	}
	put(rows, there)
	*room, *valid = rows, there
}

// decodeBits puts packed bits, lowest first, into their rows, as spread does.
func decodeBits(bits, levels []byte, rows int, dst *frame.Column) {
	k := 0
	for i := range rows {
		if len(levels) > 0 && levels[i] == 0 {
			dst.Null()
			continue
		}
		dst.Bit(bits[k>>3]>>(k&7)&1 == 1)
		k++
	}
}
