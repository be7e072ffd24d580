package dataset

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/apache/arrow/go/v17/arrow/memory"
	"github.com/apache/arrow/go/v17/parquet/file"
	"github.com/apache/arrow/go/v17/parquet/pqarrow"
	"github.com/parquet-go/parquet-go"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/frame/frametest"
	"rimelog/pipeline/table"
)

func footOf(t table.Table) footer {
	return footer{
		table: t.Name, step: "join/1", fingerprint: strings.Repeat("ab", 32),
		notes: map[string]string{"rimelog.tally": `{"a":1}`, "rimelog.a": "x", "rimelog.z": "y"},
	}
}

func encoded(tb testing.TB, f *frame.Frame) []byte {
	tb.Helper()
	var b bytes.Buffer
	if err := encode(&b, f, footOf(f.Table()), newCodec()); err != nil {
		tb.Fatal(err)
	}
	return b.Bytes()
}

func opened(tb testing.TB, b []byte) *parquet.File {
	tb.Helper()
	f, err := openFile(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		tb.Fatal(err)
	}
	return f
}

func decoded(tb testing.TB, b []byte, t table.Table) *frame.Frame {
	tb.Helper()
	got, err := decode(opened(tb, b), t)
	if err != nil {
		tb.Fatal(err)
	}
	return got
}

func TestRoundTrip(t *testing.T) {
	for _, tab := range table.All() {
		for _, rows := range []int{0, 1, 2, 127, 128, 129, 2000} {
			want := frametest.Random(t, tab, rows, 11)
			frametest.Equal(t, decoded(t, encoded(t, want), tab), want)
		}
	}
	for _, rows := range []int{PageRows - 1, PageRows, PageRows + 1} {
		want := frametest.Random(t, table.Extras(), rows, 11)
		frametest.Equal(t, decoded(t, encoded(t, want), table.Extras()), want)
	}
}

func TestRoundTripOfSeveralRowGroups(t *testing.T) {
	want := loggerFrame(t, 2*rowGroupRows+17, true)
	b := encoded(t, want)
	f := opened(t, b)
	if n := f.RowGroups()[0].NumRows(); len(f.RowGroups()) != 3 || n != 131_072 {
		t.Errorf("%d row groups, the first of %d rows", len(f.RowGroups()), n)
	}
	frametest.Equal(t, decoded(t, b, table.Samples()), want)
}

func TestSomeColumns(t *testing.T) {
	f := frametest.Random(t, table.Samples(), 100, 3)
	part := frame.Columns(table.Samples(), "power_kw", "time")
	frametest.Equal(t, decoded(t, encoded(t, f), part), f.Select("time", "power_kw"))
}

func TestSameFrameSameBytes(t *testing.T) {
	for _, tab := range table.All() {
		f := frametest.Random(t, tab, 3000, 1)
		first := encoded(t, f)
		for range 5 { // notes come from a map, whose order changes
			if !bytes.Equal(first, encoded(t, f)) {
				t.Fatalf("%s: other bytes for the same frame", tab.Name)
			}
		}
		// The same rows as a slice of a longer frame.
		longer, err := frame.Concat(frametest.Random(t, tab, 7, 2), f)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(first, encoded(t, longer.Slice(7, 3007))) {
			t.Errorf("%s: other bytes for a slice of the same rows", tab.Name)
		}
	}
}

// TestGoldenBytes fails when the bytes of files change: raise the versions of
// the steps that write them, then put the new hashes here. They hold for one
// processor architecture and the versions in go.mod.
func TestGoldenBytes(t *testing.T) {
	for name, want := range map[string]string{
		"samples":  "9be55bf761de9ad10da75de978542f24ed15c8c5ffca57e27e0e812a7d938d65",
		"extras":   "e508d5fff62d5a6a341bac405174cb9ab25199d183b166678c3b4ee80be719a2",
		"refusals": "f99c573244a4bd80ae85b51137f3d9e1217b3bb01d36ff6ea92de46f417b6a59",
	} {
		sum := sha256.Sum256(encoded(t, frametest.Random(t, tableNamed(t, name), 2000, 9)))
		if got := hex.EncodeToString(sum[:]); got != want {
			t.Errorf("\t\t%q: %q,", name, got)
		}
	}
}

func tableNamed(t *testing.T, name string) table.Table {
	t.Helper()
	for _, tab := range table.All() {
		if tab.Name == name {
			return tab
		}
	}
	t.Fatalf("no table %s", name)
	return table.Table{}
}

// TestOtherReader reads our files with another library and compares types and
// values. DECIMAL and TIMESTAMP are those of the Parquet format specification
// (LogicalTypes.md of apache/parquet-format).
func TestOtherReader(t *testing.T) {
	f := frametest.Random(t, table.Samples(), 3000, 21)
	b := encoded(t, f)
	r, err := file.NewParquetReader(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	ar, err := pqarrow.NewFileReader(r, pqarrow.ArrowReadProperties{}, memory.DefaultAllocator)
	if err != nil {
		t.Fatal(err)
	}
	got, err := ar.ReadTable(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if created := r.MetaData().GetCreatedBy(); created != "rimelog version 1(build tables)" {
		t.Errorf("created by %q", created)
	}
	if v := r.MetaData().KeyValueMetadata().FindValue("rimelog.table"); v == nil || *v != "samples" {
		t.Errorf("footer key rimelog.table is %v", v)
	}
	for i, c := range table.Samples().Columns {
		field := got.Schema().Field(i)
		if want := foreignType(c); field.Name != c.Name || field.Type.String() != want {
			t.Errorf("column %d is %s of type %s, want %s of type %s", i, field.Name, field.Type, c.Name, want)
		}
		foreignEqual(t, f, c, got.Column(i).Data())
	}
}

func foreignType(c table.Column) string {
	switch c.Kind {
	case table.Time:
		return "timestamp[us, tz=UTC]"
	case table.Fixed32:
		return fmt.Sprintf("decimal(9, %d)", c.Digits)
	case table.Fixed64:
		return fmt.Sprintf("decimal(18, %d)", c.Digits)
	}
	return "bool"
}

func foreignEqual(t *testing.T, f *frame.Frame, c table.Column, data *arrow.Chunked) {
	t.Helper()
	valid, row := f.Valid(c.Name), 0
	for _, chunk := range data.Chunks() {
		for i := range chunk.Len() {
			if chunk.IsValid(i) != valid.At(row) {
				t.Fatalf("%s row %d: null differs", c.Name, row)
			}
			if valid.At(row) && foreignCell(chunk, i) != ourCell(f, c, row) {
				t.Fatalf("%s row %d: other reader %d, ours %d", c.Name, row, foreignCell(chunk, i), ourCell(f, c, row))
			}
			row++
		}
	}
	if row != f.Rows() {
		t.Errorf("%s: %d rows, want %d", c.Name, row, f.Rows())
	}
}

func foreignCell(a arrow.Array, i int) int64 {
	switch a := a.(type) {
	case *array.Timestamp:
		return int64(a.Value(i))
	case *array.Decimal128:
		return a.Value(i).BigInt().Int64()
	case *array.Boolean:
		if a.Value(i) {
			return 1
		}
	}
	return 0
}

func ourCell(f *frame.Frame, c table.Column, i int) int64 {
	switch c.Kind {
	case table.Time:
		return f.Times(c.Name)[i]
	case table.Fixed32:
		v, _ := f.Fixed32(c.Name)
		return int64(v[i])
	case table.Fixed64:
		v, _ := f.Fixed64(c.Name)
		return v[i]
	}
	if f.Bits(c.Name).At(i) {
		return 1
	}
	return 0
}

func TestOtherReaderOfDerivedTables(t *testing.T) {
	for _, tab := range table.All() {
		r, err := file.NewParquetReader(bytes.NewReader(encoded(t, frametest.Random(t, tab, 100, 4))))
		if err != nil {
			t.Fatal(err)
		}
		ar, err := pqarrow.NewFileReader(r, pqarrow.ArrowReadProperties{}, memory.DefaultAllocator)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := ar.ReadTable(context.Background()); err != nil || got.NumRows() != 100 {
			t.Errorf("%s: %v", tab.Name, err)
		}
	}
}

func TestEncodeRefusesWhatDoesNotFit(t *testing.T) {
	for col, put := range map[string]func(*frame.Column){
		"power_kw":   func(c *frame.Column) { c.Int32(1_000_000_000) },
		"energy_kwh": func(c *frame.Column) { c.Int64(-1_000_000_000_000_000_000) },
	} {
		b := frame.NewBuilder(table.Samples(), 1)
		put(b.Column(col))
		f := frametest.Build(t, b)
		if err := encode(&bytes.Buffer{}, f, footOf(table.Samples()), newCodec()); err == nil || !strings.Contains(err.Error(), col) {
			t.Errorf("%s beyond its type: %v", col, err)
		}
	}
	part := frametest.Random(t, table.Samples(), 1, 1).Select("time")
	if err := encode(&bytes.Buffer{}, part, footOf(table.Samples()), newCodec()); err == nil {
		t.Error("a file with only some of its table's columns was written")
	}
}

// FuzzDamagedFile reads files with bytes changed: an error or other values, but
// no panic of the library gets out.
func FuzzDamagedFile(f *testing.F) {
	whole := encoded(f, frametest.Random(f, table.Extras(), 50, 1))
	f.Add(uint16(0), byte(1))
	f.Add(uint16(len(whole)-5), byte(255))
	f.Add(uint16(len(whole)/2), byte(7))
	f.Add(uint16(len(whole)-5), byte('}')) // a footer of 2 GB
	f.Fuzz(func(t *testing.T, at uint16, by byte) {
		b := bytes.Clone(whole)
		b[int(at)%len(b)] ^= by
		if pf, err := openFile(bytes.NewReader(b), int64(len(b))); err == nil {
			if tab, err := tableOf(pf, footerOf(pf)); err == nil {
				_, _ = decode(pf, tab) // any answer will do
			}
		}
	})
}

// loggerFrame is what a logger of eight channels writes once a second: slow
// processes with noise, and now and then a gap.
func loggerFrame(tb testing.TB, rows int, gaps bool) *frame.Frame {
	tb.Helper()
	rng := rand.New(rand.NewPCG(7, 1))
	b := frame.NewBuilder(table.Samples(), rows)
	times := b.Column("time")
	for i := range rows {
		times.Int64(march2024 + int64(i)*1_000_000)
	}
	for k, name := range []string{
		"suction_pressure_kpa", "discharge_pressure_kpa", "suction_temp_c", "discharge_temp_c",
		"liquid_temp_c", "outdoor_temp_c", "room_temp_c", "power_kw",
	} {
		c, v := b.Column(name), 20_000.0+1_000*float64(k)
		for range rows {
			v += 0.02*(20_000-v) + 50*rng.NormFloat64()
			if gaps && rng.IntN(50) == 0 {
				c.Null()
			} else {
				c.Int32(int32(v/100) * 100) // one decimal, as most loggers print
			}
		}
	}
	return frametest.Build(tb, b)
}

// march2024 is 2024-03-01 00:00:00 UTC in microseconds since 1970.
const march2024 = 1_709_251_200_000_000

func BenchmarkEncode(b *testing.B) {
	for _, gaps := range []bool{false, true} {
		f := loggerFrame(b, 500_000, gaps)
		b.Run(fmt.Sprintf("channels=8/gaps=%v", gaps), func(b *testing.B) {
			n := 0
			for b.Loop() {
				n = len(encoded(b, f))
			}
			b.ReportMetric(8*float64(f.Rows())*float64(b.N)/b.Elapsed().Seconds()/1e6, "Mvalues/s")
			b.ReportMetric(float64(n)/float64(f.Rows()), "B/row")
		})
	}
}

func BenchmarkDecode(b *testing.B) {
	for _, gaps := range []bool{false, true} {
		f := loggerFrame(b, 500_000, gaps)
		bytes := encoded(b, f)
		b.Run(fmt.Sprintf("channels=8/gaps=%v", gaps), func(b *testing.B) {
			for b.Loop() {
				decoded(b, bytes, table.Samples())
			}
			b.ReportMetric(8*float64(f.Rows())*float64(b.N)/b.Elapsed().Seconds()/1e6, "Mvalues/s")
		})
	}
}

// BenchmarkDecodeRunning decodes what a machine did: text that repeats, and bits.
func BenchmarkDecodeRunning(b *testing.B) {
	const rows = 10_000
	rng := rand.New(rand.NewPCG(3, 4))
	build := frame.NewBuilder(table.Running(), rows)
	for _, def := range table.Running().Columns {
		for c := build.Column(def.Name); c.Len() < rows; {
			switch k := rng.IntN(12); def.Kind {
			case table.Text:
				c.Text([]string{"running", "off", "starting", "defrost"}[k%4])
			case table.Bit:
				c.State(table.State(k % 3))
			case table.Float:
				c.Float(float64(k))
			default:
				c.Int64(march2024 + int64(c.Len())*60e6)
			}
		}
	}
	bytes := encoded(b, frametest.Build(b, build))
	for b.Loop() {
		decoded(b, bytes, table.Running())
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*rows), "ns/row")
}

// A channel that nobody logged is not decoded, and still has as many rows as the file,
// whether or not any other column is read.
func TestColumnsWithoutValues(t *testing.T) {
	b := frame.NewBuilder(table.Samples(), 3)
	b.Column("time").Int64s([]int64{1, 2, 3}, nil)
	f, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	file := encoded(t, f)
	for _, cols := range [][]string{nil, {"time", "power_kw"}, {"power_kw"}, {"power_kw", "suction_temp_c", "running"}} {
		got := decoded(t, file, frame.Columns(table.Samples(), cols...))
		if got.Rows() != 3 || !got.Valid("power_kw").None() {
			t.Errorf("%v: %d rows, of power %d", cols, got.Rows(), got.Valid("power_kw").Count())
		}
	}
}
