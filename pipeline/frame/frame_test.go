package frame_test

import (
	"math"
	"math/rand/v2"
	"reflect"
	"strconv"
	"testing"
	"time"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/frame/frametest"
	"rimelog/pipeline/table"
)

func TestFloatsAreTheNearestToTheDecimal(t *testing.T) {
	// strconv gives the float64 nearest to a decimal text (IEEE 754 reading).
	f := frametest.Random(t, table.Samples(), 2000, 1)
	for _, col := range []string{"suction_pressure_kpa", "sink_flow_m3_h", "energy_kwh"} {
		def := f.Table().Columns[f.Table().Index(col)]
		valid := f.Valid(col)
		for i, got := range f.Floats(nil, col) {
			if !valid.At(i) {
				if !math.IsNaN(got) {
					t.Fatalf("%s row %d: null gave %v", col, i, got)
				}
				continue
			}
			if m := mantissa(f, def, i); m > 1<<53 || m < -1<<53 {
				continue // float64 has 53 bits
			}
			text := strconv.FormatInt(mantissa(f, def, i), 10) + "e-" + strconv.Itoa(def.Digits)
			if want, _ := strconv.ParseFloat(text, 64); got != want {
				t.Errorf("%s row %d: got %v, want %s", col, i, got, text)
			}
		}
	}
}

func mantissa(f *frame.Frame, def table.Column, i int) int64 {
	if def.Kind == table.Fixed32 {
		v, _ := f.Fixed32(def.Name)
		return int64(v[i])
	}
	v, _ := f.Fixed64(def.Name)
	return v[i]
}

func TestFloatsReusesMemory(t *testing.T) {
	f := frametest.Random(t, table.Samples(), 100, 1)
	dst := make([]float64, 0, 100)
	got := f.Floats(dst, "power_kw")
	if &got[0] != &dst[:1][0] {
		t.Error("a long enough slice was not used")
	}
}

func TestUntouchedColumnsAreEmpty(t *testing.T) {
	b := frame.NewBuilder(table.Windows(), 2)
	b.Column("superheat_k").Floats([]float64{5, math.NaN()})
	f, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	if f.Rows() != 2 || f.Has("subcooling_k") || !f.Has("superheat_k") || f.Has("no_such_column") {
		t.Errorf("rows %d, has subcooling %v, superheat %v", f.Rows(), f.Has("subcooling_k"), f.Has("superheat_k"))
	}
	if !f.Valid("start").None() || f.Text("grade").At(1) != "" {
		t.Error("an untouched time is not null, or an untouched text not empty")
	}
	if n, _ := f.Ints("samples"); n[0] != 0 || !f.Valid("samples").All() {
		t.Error("an untouched count is not zero")
	}
	if v := f.Valid("superheat_k"); v.Count() != 1 || !v.At(0) || v.At(1) {
		t.Error("NaN is not null")
	}
}

func TestColumnsOfDifferentLengthsAreRefused(t *testing.T) {
	b := frame.NewBuilder(table.Samples(), 2)
	b.Column("time").Int64s([]int64{1, 2}, nil)
	b.Column("power_kw").Int32(1)
	if _, err := b.Build(); err == nil {
		t.Error("two times and one power made a frame")
	}
}

// rowsAre compares the rows of got with those rows of want.
func rowsAre(t *testing.T, got, want *frame.Frame, rows ...int) {
	t.Helper()
	if got.Rows() != len(rows) {
		t.Fatalf("%d rows, want %d", got.Rows(), len(rows))
	}
	for i, r := range rows {
		frametest.Equal(t, got.Slice(i, i+1), want.Slice(r, r+1))
	}
}

func TestSliceTakeConcat(t *testing.T) {
	for _, tab := range table.All() {
		f := frametest.Random(t, tab, 50, 3)
		rowsAre(t, f.Slice(7, 10), f, 7, 8, 9)
		order := rand.New(rand.NewPCG(4, 4)).Perm(50)
		rowsAre(t, f.Take(order), f, order...)
		rowsAre(t, f.Slice(5, 45).Take([]int{39, 0, 0}), f, 44, 5, 5)
		joined, err := frame.Concat(f.Slice(0, 13), frame.Empty(tab), f.Slice(13, 50))
		if err != nil {
			t.Fatal(err)
		}
		frametest.Equal(t, joined, f)
	}
}

func TestConcatRefusesOtherTables(t *testing.T) {
	if _, err := frame.Concat(frame.Empty(table.Samples()), frame.Empty(table.Windows())); err == nil {
		t.Error("samples and windows were joined")
	}
	if _, err := frame.Concat(); err == nil {
		t.Error("nothing made a frame")
	}
}

func TestBetween(t *testing.T) {
	b := frame.NewBuilder(table.Samples(), 4)
	b.Column("time").Int64s([]int64{10, 20, 20, 30}, nil)
	f, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ from, to, rows int64 }{
		{0, 100, 4}, {10, 30, 3}, {11, 20, 0}, {20, 21, 2}, {31, 40, 0}, {30, 10, 0},
	} {
		if got := f.Between("time", c.from, c.to).Rows(); int64(got) != c.rows {
			t.Errorf("between %d and %d: %d rows, want %d", c.from, c.to, got, c.rows)
		}
	}
}

func TestSelect(t *testing.T) {
	f := frametest.Random(t, table.Samples(), 5, 1).Select("power_kw", "time", "unheard_of")
	if got := f.Table().Columns; len(got) != 2 || got[0].Name != "time" || got[1].Name != "power_kw" {
		t.Errorf("columns %v, want time and power_kw in the table's order", got)
	}
}

func TestRowsRoundTrip(t *testing.T) {
	roundTrip[table.Window](t, table.Windows())
	roundTrip[table.Visit](t, table.Visits())
	roundTrip[table.Trend](t, table.Trends())
	roundTrip[table.Finding](t, table.Findings())
	roundTrip[table.Upload](t, table.Uploads())
	roundTrip[table.Problem](t, table.Quality())
	roundTrip[table.Extra](t, table.Extras())
	roundTrip[table.Refusal](t, table.Refusals())
}

func roundTrip[Row any](t *testing.T, tab table.Table) {
	t.Helper()
	f := frametest.Random(t, tab, 40, 5)
	rows, err := frame.Rows[Row](f)
	if err != nil {
		t.Fatal(err)
	}
	again, err := frame.FromRows(tab, rows)
	if err != nil {
		t.Fatal(err)
	}
	frametest.Equal(t, again, f)
}

func TestNullsOfRows(t *testing.T) {
	rows := []table.Window{{Start: time.UnixMicro(5).UTC(), Superheat: math.NaN(), Subcooling: 3}}
	f, err := frame.FromRows(table.Windows(), rows)
	if err != nil {
		t.Fatal(err)
	}
	if f.Has("end") || f.Has("superheat_k") || !f.Has("subcooling_k") || f.Times("start")[0] != 5 {
		t.Error("the zero time or NaN is not null, or a value went")
	}
	back, err := frame.Rows[table.Window](f)
	if err != nil || !back[0].End.IsZero() || !math.IsNaN(back[0].Superheat) || !reflect.DeepEqual(back[0].Start, rows[0].Start) {
		t.Errorf("%+v, %v", back, err)
	}
}

func TestFixedPointHasNoRows(t *testing.T) {
	if _, err := frame.FromRows(table.Samples(), []table.Sample{{}}); err == nil {
		t.Error("samples came from structs, which have no null")
	}
	if _, err := frame.Rows[table.Visit](frame.Empty(table.Windows())); err == nil {
		t.Error("windows were read as visits")
	}
}

func TestMistakesPanic(t *testing.T) {
	f := frame.Empty(table.Samples())
	for name, mistake := range map[string]func(){
		"no such column": func() { f.Times("tiem") },
		"wrong kind":     func() { f.Times("power_kw") },
		"text as number": func() { frame.Empty(table.Windows()).Floats(nil, "grade") },
		"builder":        func() { frame.NewBuilder(table.Samples(), 0).Column("tiem") },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			mistake()
		}()
	}
}

// BenchmarkRows turns a month of windows into rows of structs and back, and reports the time
// of a row.
func BenchmarkRows(b *testing.B) {
	const windows = 4000
	f := frametest.Random(b, table.Windows(), windows, 1)
	rows, err := frame.Rows[table.Window](f)
	if err != nil {
		b.Fatal(err)
	}
	for _, way := range []struct {
		name string
		do   func() error
	}{
		{"from", func() error { _, err := frame.FromRows(table.Windows(), rows); return err }},
		{"to", func() error { _, err := frame.Rows[table.Window](f); return err }},
	} {
		b.Run(way.name, func(b *testing.B) {
			for b.Loop() {
				if err := way.do(); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*windows), "ns/row")
		})
	}
}
