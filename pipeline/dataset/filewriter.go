package dataset

import (
	"encoding/binary"
	"fmt"
	"io"
	"maps"
	"slices"
	"sort"

	"github.com/klauspost/compress/zstd"
	"github.com/parquet-go/parquet-go/encoding/thrift"
	"github.com/parquet-go/parquet-go/format"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

const (
	// rowGroupRows is the length of a row group: long enough to compress well,
	// short enough that a reader who wants a day of a month skips the rest.
	rowGroupRows = 131_072
	// PageRows is the length of a page, and of the frames that are written at the
	// lowest cost. Page boundaries, and so the bytes, depend on it.
	PageRows = 32_768
)

// A fileWriter writes a table file as a stream: it holds no more than the
// compressed pages of one row group.
type fileWriter struct {
	w       io.Writer
	table   table.Table
	columns []*columnWriter
	meta    format.FileMetaData
	offset  int64
	rows    int    // of the row group under way
	room    []byte // of copyGroup

	byMonth bool     // no row group holds rows of two months
	month   Month    // of the row group under way
	months  []string // so far
}

// newFileWriter begins a file. The bytes follow from the rows and the footer alone.
func newFileWriter(w io.Writer, t table.Table, foot footer, codec *zstd.Encoder) (*fileWriter, error) {
	schema, err := fileSchemaOf(t)
	if err != nil {
		return nil, err
	}
	f := &fileWriter{w: w, table: t, meta: format.FileMetaData{
		Version: 2, CreatedBy: createdBy, KeyValueMetadata: foot.keyValues(), Schema: schema.elements, ColumnOrders: schema.orders,
	}}
	room := &scratch{}
	for _, c := range t.Columns {
		cw := &columnWriter{column: c, codec: codec, room: room}
		cw.reset()
		f.columns = append(f.columns, cw)
	}
	return f, f.write([]byte(magic))
}

const (
	magic     = "PAR1"
	createdBy = "rimelog version 1(build tables)"
)

func (f *fileWriter) write(b []byte) error {
	n, err := f.w.Write(b)
	f.offset += int64(n)
	return err
}

// append writes the rows of a frame behind those before. Columns that the frame
// does not have are null. The frame may be changed afterwards.
func (f *fileWriter) append(rows *frame.Frame) error {
	for rows.Rows() > 0 {
		n, err := f.fitting(rows)
		if err != nil {
			return err
		}
		piece := rows.Slice(0, n)
		for _, c := range f.columns {
			if err := c.append(piece); err != nil {
				return fmt.Errorf("encode %s: %w", f.table.Name, err)
			}
		}
		if f.rows += n; f.rows == rowGroupRows {
			if err := f.endGroup(); err != nil {
				return err
			}
		}
		rows = rows.Slice(n, rows.Rows())
	}
	return nil
}

// fitting tells how many rows the next page takes. It begins a row group where a
// month begins.
func (f *fileWriter) fitting(rows *frame.Frame) (int, error) {
	n := min(rows.Rows(), PageRows, rowGroupRows-f.rows)
	if !f.byMonth {
		return n, nil
	}
	times := rows.Times(f.table.Columns[0].Name)
	if times[0] >= f.month.To || times[0] < f.month.From {
		if err := f.endGroup(); err != nil {
			return 0, err
		}
		f.month = MonthOf(times[0])
		f.months = append(f.months, f.month.Name)
		n = min(rows.Rows(), PageRows)
	}
	if times[n-1] >= f.month.To {
		n = sort.Search(n, func(i int) bool { return times[i] >= f.month.To })
	}
	return n, nil
}

// endGroup writes the row group under way, if it has rows.
func (f *fileWriter) endGroup() error {
	if f.rows == 0 {
		return nil
	}
	g := format.RowGroup{NumRows: int64(f.rows), FileOffset: f.offset, Ordinal: int16(len(f.meta.RowGroups))}
	for i, c := range f.columns {
		chunk, err := f.endColumn(c, f.meta.Schema[i+1].Type.V)
		if err != nil {
			return fmt.Errorf("encode %s: column %s: %w", f.table.Name, c.column.Name, err)
		}
		g.Columns = append(g.Columns, chunk)
		g.TotalByteSize += chunk.MetaData.TotalUncompressedSize
		g.TotalCompressedSize += chunk.MetaData.TotalCompressedSize
	}
	f.addGroup(g)
	f.rows = 0
	return nil
}

func (f *fileWriter) endColumn(c *columnWriter, typ format.Type) (format.ColumnChunk, error) {
	c.flushBlank()
	offset := f.offset
	if c.column.Kind == table.Text {
		page, err := c.dictionaryPage()
		if err != nil {
			return format.ColumnChunk{}, err
		}
		if err := f.write(page); err != nil {
			return format.ColumnChunk{}, err
		}
	}
	chunk := c.chunk(typ, offset, f.offset-offset)
	err := f.write(c.pages)
	c.reset()
	return chunk, err
}

func (f *fileWriter) addGroup(g format.RowGroup) {
	f.meta.RowGroups = append(f.meta.RowGroups, g)
	f.meta.NumRows += g.NumRows
}

// drop forgets the row groups from one on: their bytes stay, unlisted.
func (f *fileWriter) drop(from int) {
	for _, g := range f.meta.RowGroups[from:] {
		f.meta.NumRows -= g.NumRows
	}
	f.meta.RowGroups, f.rows = f.meta.RowGroups[:from], 0
	for _, c := range f.columns {
		c.reset()
	}
}

// copyRoom is how many bytes are copied at a time: few calls of the system, and what
// was read is hashed and written while it is near.
const copyRoom = 1 << 18

// copyGroup takes a row group of another file of the same table as it is: nothing
// is decoded.
func (f *fileWriter) copyGroup(from io.ReaderAt, g format.RowGroup) error {
	if err := f.endGroup(); err != nil {
		return err
	}
	shift := f.offset - g.FileOffset
	if f.room == nil {
		f.room = make([]byte, copyRoom)
	}
	n, err := io.CopyBuffer(f.w, struct{ io.Reader }{io.NewSectionReader(from, g.FileOffset, g.TotalCompressedSize)}, f.room)
	f.offset += n
	if err == nil && n != g.TotalCompressedSize {
		err = io.ErrUnexpectedEOF
	}
	g.Ordinal, g.FileOffset = int16(len(f.meta.RowGroups)), g.FileOffset+shift
	g.Columns = slices.Clone(g.Columns)
	for i := range g.Columns {
		m := &g.Columns[i].MetaData
		m.DataPageOffset += shift
		if m.DictionaryPageOffset > 0 {
			m.DictionaryPageOffset += shift
		}
	}
	f.addGroup(g)
	return err
}

// close writes the footer.
func (f *fileWriter) close() error {
	if err := f.endGroup(); err != nil {
		return err
	}
	b, err := thrift.Marshal(new(thrift.CompactProtocol), &f.meta)
	if err != nil {
		return fmt.Errorf("encode %s: footer: %w", f.table.Name, err)
	}
	b = binary.LittleEndian.AppendUint32(b, uint32(len(b)))
	return f.write(append(b, magic...))
}

// keyValues is a footer in its one order.
func (foot footer) keyValues() []format.KeyValue {
	kv := []format.KeyValue{{Key: keyTable, Value: foot.table}}
	if foot.step != "" {
		kv = append(kv, format.KeyValue{Key: keyStep, Value: foot.step}, format.KeyValue{Key: keyFingerprint, Value: foot.fingerprint})
	}
	for _, k := range slices.Sorted(maps.Keys(foot.notes)) {
		kv = append(kv, format.KeyValue{Key: k, Value: foot.notes[k]})
	}
	if foot.below != nil {
		kv = append(kv, format.KeyValue{Key: keyBelow, Value: placesText(foot.below)})
	}
	return kv
}
