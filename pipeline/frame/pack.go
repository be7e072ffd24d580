package frame

import (
	"encoding/binary"
	"errors"
	"hash/crc32"
	"math"
	"reflect"
	"slices"
	"time"

	"rimelog/pipeline/table"
)

// Pack appends rows to buf, column by column, as bytes for [Unpack] in another process of
// the same program: what shards of a run tell each other. What lasts is a table. Times are
// kept to the microsecond and any NaN is the same, as in a frame. It panics for rows with
// fixed-point columns: a programmer's mistake.
func Pack[Row any](buf []byte, rows []Row) []byte {
	row := reflect.TypeFor[Row]()
	buf = binary.LittleEndian.AppendUint32(buf, shapeOf(row))
	buf = binary.LittleEndian.AppendUint32(buf, uint32(len(rows)))
	for i, c := range table.ColumnsOf(row) {
		s := strideOf(rows, row.Field(i).Offset)
		buf = s.pack(slices.Grow(buf, s.room(c, len(rows))), c, len(rows))
	}
	return buf
}

// errPacked says that bytes are no rows of the kind that was asked for.
var errPacked = errors.New("these are no packed rows of this kind")

// Unpack gives the rows that [Pack] wrote, and the bytes behind them.
func Unpack[Row any](b []byte) (rows []Row, rest []byte, err error) {
	row := reflect.TypeFor[Row]()
	p := packed{rest: b}
	shape, n := p.word(), int(p.word())
	if p.short || shape != shapeOf(row) || n > len(p.rest) {
		return nil, b, errPacked
	}
	rows = make([]Row, n)
	for i, c := range table.ColumnsOf(row) {
		strideOf(rows, row.Field(i).Offset).unpack(&p, c, n)
	}
	if p.short {
		return nil, b, errPacked
	}
	return rows, p.rest, nil
}

// shapeOf tells row types apart, so that rows are not taken for those of another release.
func shapeOf(row reflect.Type) (sum uint32) {
	for _, c := range table.ColumnsOf(row) {
		sum = crc32.Update(sum, crc32.IEEETable, append([]byte(c.Name), byte(c.Kind)))
	}
	return sum
}

// noTime stands for the zero time.
const noTime = math.MinInt64

// room is how many bytes a column takes at most.
func (s stride) room(c table.Column, rows int) int {
	if c.Kind == table.Text {
		return 4*rows + s.length(rows)
	}
	return 8 * rows
}

func (s stride) pack(buf []byte, c table.Column, rows int) []byte {
	for i := range rows {
		switch c.Kind {
		case table.Time:
			buf = binary.LittleEndian.AppendUint64(buf, uint64(microsOf(*at[time.Time](s, i))))
		case table.Float:
			buf = binary.LittleEndian.AppendUint64(buf, math.Float64bits(oneNaN(*at[float64](s, i))))
		case table.Int:
			buf = binary.LittleEndian.AppendUint64(buf, uint64(*at[int64](s, i)))
		case table.Text:
			text := *at[string](s, i)
			buf = append(binary.LittleEndian.AppendUint32(buf, uint32(len(text))), text...)
		case table.Bit:
			buf = append(buf, *at[byte](s, i)) // a bool is 0 or 1, a State no more than a byte
		default:
			panic("frame: rows of column " + c.Name + ": " + errFixedPoint.Error())
		}
	}
	return buf
}

func (s stride) unpack(p *packed, c table.Column, rows int) {
	if c.Kind == table.Text {
		s.unpackTexts(p, rows)
		return
	}
	for i := range rows {
		switch c.Kind {
		case table.Time:
			if v := int64(p.long()); v != noTime {
				*at[time.Time](s, i) = time.UnixMicro(v).UTC()
			}
		case table.Float:
			*at[float64](s, i) = math.Float64frombits(p.long())
		case table.Int:
			*at[int64](s, i) = int64(p.long())
		case table.Bit:
			if b := p.take(1); b != nil {
				*at[byte](s, i) = b[0]
			}
		}
	}
}

// unpackTexts gives each row its part of one string: a column may have a text for every
// upload of years.
func (s stride) unpackTexts(p *packed, rows int) {
	column := *p
	for range rows {
		p.take(int(p.word()))
	}
	if p.short {
		return
	}
	all := string(column.rest[:len(column.rest)-len(p.rest)])
	for i := range rows {
		n := 4 + int(column.word())
		column.take(n - 4)
		*at[string](s, i), all = all[4:n], all[n:]
	}
}

func microsOf(t time.Time) int64 {
	if t.IsZero() {
		return noTime
	}
	return t.UnixMicro()
}

func oneNaN(v float64) float64 {
	if math.IsNaN(v) {
		return math.NaN()
	}
	return v
}

// A packed is what is left to unpack; short once more was asked for than there was.
type packed struct {
	rest  []byte
	short bool
}

func (p *packed) take(n int) []byte {
	if n < 0 || n > len(p.rest) {
		p.short, p.rest = true, nil
		return nil
	}
	out := p.rest[:n]
	p.rest = p.rest[n:]
	return out
}

func (p *packed) word() uint32 {
	if b := p.take(4); b != nil {
		return binary.LittleEndian.Uint32(b)
	}
	return 0
}

func (p *packed) long() uint64 {
	if b := p.take(8); b != nil {
		return binary.LittleEndian.Uint64(b)
	}
	return 0
}
