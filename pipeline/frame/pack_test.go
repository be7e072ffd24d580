package frame_test

import (
	"math"
	"reflect"
	"testing"
	"time"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A parcel has a column of every kind that rows can have.
type parcel struct {
	At    time.Time   `col:"at" doc:"a time"`
	Value float64     `col:"value" doc:"a number"`
	Count int64       `col:"count" doc:"a count"`
	Text  string      `col:"text" doc:"a text"`
	Is    bool        `col:"is" doc:"yes or no"`
	State table.State `col:"state" doc:"yes, no or unknown"`
}

func parcels() []parcel {
	return []parcel{
		{},
		{time.UnixMicro(-7).UTC(), math.Copysign(0, -1), math.MinInt64, "\x00 grün", true, table.Yes},
		{time.UnixMicro(1_700_000_000_000_001).UTC(), math.Inf(-1), 3, "", false, table.No},
		{time.Date(2026, 3, 1, 0, 0, 0, 1999, time.FixedZone("", 3600)), math.Float64frombits(0x7ff8000000000abc), -1, "x", true, table.Unknown},
	}
}

// Rows that are packed and unpacked are what a frame makes of them.
func TestPackGivesWhatAFrameGives(t *testing.T) {
	for n := range len(parcels()) + 1 {
		rows := parcels()[:n]
		f, err := frame.FromRows(table.Table{Name: "parcels", Columns: table.ColumnsOf(reflect.TypeFor[parcel]())}, rows)
		if err != nil {
			t.Fatal(err)
		}
		want, err := frame.Rows[parcel](f)
		if err != nil {
			t.Fatal(err)
		}
		got, rest, err := frame.Unpack[parcel](frame.Pack([]byte{}, append(rows, rows...)[:n:n]))
		if err != nil || len(rest) > 0 || !alike(got, want) {
			t.Errorf("%d rows: %v, %d bytes left, %+v; want %+v", n, err, len(rest), got, want)
		}
	}
}

// alike compares numbers by their bits.
func alike(a, b []parcel) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		x, y := a[i], b[i]
		if math.Float64bits(x.Value) != math.Float64bits(y.Value) {
			return false
		}
		if x.Value, y.Value = 0, 0; !reflect.DeepEqual(x, y) {
			return false
		}
	}
	return true
}

func TestUnpackTakesNothingElse(t *testing.T) {
	whole := frame.Pack(nil, parcels())
	for n := range whole {
		if _, _, err := frame.Unpack[parcel](whole[:n]); err == nil {
			t.Errorf("%d of %d bytes are taken for rows", n, len(whole))
		}
	}
	type other struct {
		At time.Time `col:"at" doc:"a time"`
	}
	if _, _, err := frame.Unpack[other](whole); err == nil {
		t.Error("rows are taken for those of another kind")
	}
	if _, rest, err := frame.Unpack[parcel](append(whole, 1, 2)); err != nil || len(rest) != 2 {
		t.Errorf("%d bytes are left of 2, %v", len(rest), err)
	}
}
