package dataset

import (
	"encoding/binary"
	"fmt"
	"math"

	"github.com/klauspost/compress/huff0"
	"github.com/klauspost/compress/zstd"
	"github.com/parquet-go/parquet-go/encoding/delta"
	"github.com/parquet-go/parquet-go/encoding/plain"
	"github.com/parquet-go/parquet-go/encoding/rle"
	"github.com/parquet-go/parquet-go/encoding/thrift"
	"github.com/parquet-go/parquet-go/format"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A columnWriter makes the pages of one column of the row group under way. It
// keeps them compressed until the row group is whole.
type columnWriter struct {
	column table.Column
	codec  *zstd.Encoder
	room   *scratch

	pages []byte // finished: header and data, as they go into the file
	raw   int64  // their size before compression
	rows  int64
	nulls int64
	blank int   // rows without a value that no page holds yet
	low   int64 // bounds of the numbers, where there is one
	high  int64
	words dictionary
}

// A scratch is the room that the columns of a file use in turn.
type scratch struct {
	ints   []int32
	longs  []int64
	floats []float64
	levels []byte
	head   []byte // definition levels, encoded
	data   []byte
	packed []byte
	deltas deltaPacker
	huff   huff0.Scratch
}

// reset prepares for the next row group.
func (c *columnWriter) reset() {
	*c = columnWriter{column: c.column, codec: c.codec, room: c.room, pages: c.pages[:0], low: math.MaxInt64, high: math.MinInt64}
}

// append adds a page with the rows of a frame. Rows without any value wait: those
// of neighbouring frames share a page, so that an absent channel costs nothing.
func (c *columnWriter) append(f *frame.Frame) error {
	n := f.Rows()
	c.rows += int64(n)
	if f.Table().Index(c.column.Name) < 0 {
		if !c.column.Null {
			return fmt.Errorf("column %s: missing", c.column.Name)
		}
		c.blank += n
		return nil
	}
	valid := f.Valid(c.column.Name)
	if c.column.Null && valid.None() {
		c.blank += n
		return nil
	}
	c.flushBlank()
	data, err := c.encode(f, valid)
	if err != nil {
		return fmt.Errorf("column %s: %w", c.column.Name, err)
	}
	nulls := n - valid.Count()
	c.nulls += int64(nulls)
	return c.page(n, nulls, c.levels(n, valid), data)
}

// flushBlank makes a page of the rows that wait.
func (c *columnWriter) flushBlank() {
	if c.blank == 0 {
		return
	}
	n := c.blank
	c.blank = 0
	c.nulls += int64(n)
	data := c.room.data[:0]
	switch c.column.Kind {
	case table.Float, table.Bit:
	default: // the header of an empty list
		data, _ = new(delta.BinaryPackedEncoding).EncodeInt32(data, nil) // nothing to go wrong
	}
	_ = c.page(n, n, run(c.room.head[:0], n, 0), data) // only headers that cannot be encoded fail
}

// run appends one run of a level in the hybrid encoding: n times the same.
func run(dst []byte, n int, level byte) []byte {
	return append(binary.AppendUvarint(dst, uint64(n)<<1), level)
}

// levels tells which rows hold a value; nothing for a column that always does.
func (c *columnWriter) levels(n int, valid frame.Valid) []byte {
	switch {
	case !c.column.Null:
		return nil
	case valid.All():
		return run(c.room.head[:0], n, 1)
	}
	l := c.room.levels[:0]
	for i := range n {
		level := byte(0)
		if valid.At(i) {
			level = 1
		}
		l = append(l, level)
	}
	c.room.levels = l
	c.room.head, _ = (&rle.Encoding{BitWidth: 1}).EncodeLevels(c.room.head[:0], l) // a width of 1 is one it knows
	return c.room.head
}

// page appends a data page of format version 2, whose levels are never compressed.
func (c *columnWriter) page(rows, nulls int, levels, data []byte) error {
	packed, compressed := data, rows > nulls
	if compressed {
		packed = c.compress(rows-nulls, data)
	}
	h := format.PageHeader{
		Type:                 format.DataPageV2,
		UncompressedPageSize: int32(len(levels) + len(data)),
		CompressedPageSize:   int32(len(levels) + len(packed)),
		DataPageHeaderV2: thrift.New(format.DataPageHeaderV2{
			NumValues: int32(rows), NumNulls: int32(nulls), NumRows: int32(rows), Encoding: encodingOf(c.column),
			DefinitionLevelsByteLength: int32(len(levels)), IsCompressed: thrift.New(compressed),
		}),
	}
	head, err := thrift.Marshal(new(thrift.CompactProtocol), h)
	if err != nil {
		return err
	}
	c.raw += int64(len(head) + len(levels) + len(data))
	c.pages = append(append(append(c.pages, head...), levels...), packed...)
	return nil
}

// dictionaryPage is the page that text's data pages point into.
func (c *columnWriter) dictionaryPage() ([]byte, error) {
	packed := c.codec.EncodeAll(c.words.plain, nil)
	h := format.PageHeader{
		Type: format.DictionaryPage, UncompressedPageSize: int32(len(c.words.plain)), CompressedPageSize: int32(len(packed)),
		DictionaryPageHeader: thrift.New(format.DictionaryPageHeader{NumValues: int32(len(c.words.place)), Encoding: format.Plain}),
	}
	head, err := thrift.Marshal(new(thrift.CompactProtocol), h)
	c.raw += int64(len(head) + len(c.words.plain))
	return append(head, packed...), err
}

// encode gives the values that are there.
func (c *columnWriter) encode(f *frame.Frame, valid frame.Valid) (data []byte, err error) {
	r, name := c.room, c.column.Name
	switch c.column.Kind {
	case table.Time:
		data, err = c.encodeLongs(f.Times(name), valid, math.MaxInt64)
	case table.Fixed32:
		v, _ := f.Fixed32(name)
		data, err = c.encodeInts(v, valid)
	case table.Fixed64:
		v, _ := f.Fixed64(name)
		data, err = c.encodeLongs(v, valid, maxFixed64)
	case table.Int:
		v, _ := f.Ints(name)
		data, err = c.encodeLongs(v, valid, math.MaxInt64)
	case table.Float:
		r.floats = f.Floats(r.floats, name)
		data = r.data[:0]
		for _, x := range there(r.floats[:0], r.floats, valid) {
			data = binary.LittleEndian.AppendUint64(data, math.Float64bits(x))
		}
	case table.Bit:
		data = encodeBits(r.data[:0], f.Bits(name), valid)
	default:
		data, err = c.encodeTexts(f.Text(name))
	}
	r.data = data
	return data, err
}

func (c *columnWriter) encodeInts(v []int32, valid frame.Valid) ([]byte, error) {
	if !valid.All() {
		c.room.ints = there(c.room.ints[:0], v, valid)
		v = c.room.ints
	}
	low, high := extremes(v)
	if err := c.bound(int64(low), int64(high), maxFixed32); err != nil {
		return nil, err
	}
	return c.room.deltas.pack(c.room.data[:0], v), nil
}

func (c *columnWriter) encodeLongs(v []int64, valid frame.Valid, limit int64) ([]byte, error) {
	if !valid.All() {
		c.room.longs = there(c.room.longs[:0], v, valid)
		v = c.room.longs
	}
	low, high := extremes(v)
	if err := c.bound(low, high, limit); err != nil {
		return nil, err
	}
	return new(delta.BinaryPackedEncoding).EncodeInt64(c.room.data[:0], v)
}

// bound keeps the bounds of a page, and refuses mantissas that the column's DECIMAL
// type does not hold. Ingest has refused such values with their reason before they
// come here.
func (c *columnWriter) bound(low, high, limit int64) error {
	if high > limit || low < -limit {
		return fmt.Errorf("mantissas from %d to %d do not fit the column", low, high)
	}
	c.low, c.high = min(c.low, low), max(c.high, high)
	return nil
}

// there appends the values that are there. dst may be the beginning of v.
func there[V any](dst, v []V, valid frame.Valid) []V {
	if valid.All() {
		return v
	}
	for i, x := range v {
		if valid.At(i) {
			dst = append(dst, x)
		}
	}
	return dst
}

func encodeBits(dst []byte, b frame.Bits, valid frame.Valid) []byte {
	n := 0
	for i := range b.Len() {
		if valid.At(i) {
			dst = plain.AppendBoolean(dst, n, b.At(i))
			n++
		}
	}
	return dst
}

// encodeTexts gives the places of the texts in the row group's dictionary.
func (c *columnWriter) encodeTexts(t frame.Texts) ([]byte, error) {
	v := c.room.ints[:0]
	for i := range t.Len() {
		v = append(v, c.words.find(t.At(i)))
	}
	c.room.ints = v
	return new(rle.DictionaryEncoding).EncodeInt32(c.room.data[:0], v)
}

// A dictionary holds each text of a row group once.
type dictionary struct {
	place map[string]int32
	plain []byte // the texts with their lengths
	last  string // that was looked for: most rows have the text of the row before
	at    int32  // its place
}

func (d *dictionary) find(s string) int32 {
	if len(d.place) > 0 && s == d.last {
		return d.at
	}
	i, ok := d.place[s]
	if !ok {
		if d.place == nil {
			d.place = map[string]int32{}
		}
		i = int32(len(d.place))
		d.place[s] = i
		d.plain = plain.AppendByteArrayString(d.plain, s)
	}
	d.last, d.at = s, i
	return i
}

// encodingOf is how a column's values are written. Fixed point, time and whole
// numbers are delta-encoded: neighbours are alike, and it measured both faster and
// smaller than plain or dictionary for logged channels. Text repeats.
func encodingOf(c table.Column) format.Encoding {
	switch c.Kind {
	case table.Float, table.Bit:
		return format.Plain
	case table.Text:
		return format.RLEDictionary
	}
	return format.DeltaBinaryPacked
}

// statistics says what a reader may skip a row group by.
func (c *columnWriter) statistics() format.Statistics {
	s := format.Statistics{NullCount: c.nulls}
	if c.low > c.high {
		return s
	}
	if c.column.Kind == table.Fixed32 {
		s.MinValue, s.MaxValue = plain.Int32(int32(c.low)), plain.Int32(int32(c.high))
	} else {
		s.MinValue, s.MaxValue = plain.Int64(c.low), plain.Int64(c.high)
	}
	return s
}

// chunk is the metadata of the column in a row group that begins at an offset.
func (c *columnWriter) chunk(typ format.Type, offset, dictionary int64) format.ColumnChunk {
	m := format.ColumnMetaData{
		Type: typ, Encoding: []format.Encoding{encodingOf(c.column)}, PathInSchema: []string{c.column.Name},
		Codec: format.Zstd, NumValues: c.rows, TotalUncompressedSize: c.raw, TotalCompressedSize: dictionary + int64(len(c.pages)),
		DataPageOffset: offset + dictionary, Statistics: c.statistics(),
	}
	if c.column.Null {
		m.Encoding = append(m.Encoding, format.RLE)
	}
	if dictionary > 0 {
		m.Encoding = append(m.Encoding, format.Plain)
		m.DictionaryPageOffset = offset
	}
	return format.ColumnChunk{MetaData: m}
}
