package frame

import (
	"math"
	"math/rand/v2"
	"reflect"
	"strconv"
	"testing"
	"time"

	"rimelog/pipeline/table"
)

// randomFrame makes a frame of any table: about a third of what may be null is.
func randomFrame(t testing.TB, tab table.Table, rows int, seed uint64) *Frame {
	t.Helper()
	rng := rand.New(rand.NewPCG(seed, 2))
	b := NewBuilder(tab, rows)
	for _, def := range tab.Columns {
		c := b.Column(def.Name)
		for range rows {
			if def.Null && rng.IntN(3) == 0 {
				c.Null()
			} else {
				appendRandom(c, def.Kind, rng)
			}
		}
	}
	f, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func appendRandom(c *Column, k table.Kind, rng *rand.Rand) {
	switch k {
	case table.Fixed32:
		c.Int32(rng.Int32N(1_999_999_999) - 999_999_999)
	case table.Time, table.Fixed64, table.Int:
		c.Int64(rng.Int64N(1_999_999_999_999) - 999_999_999_999)
	case table.Float:
		c.Float(rng.NormFloat64())
	case table.Text:
		c.Text(strconv.Itoa(rng.IntN(1000)))
	case table.Bit:
		c.Bit(rng.IntN(2) == 0)
	}
}

func TestFloatsAreTheNearestToTheDecimal(t *testing.T) {
	// strconv gives the float64 nearest to a decimal text (IEEE 754 reading).
	f := randomFrame(t, table.Samples(), 2000, 1)
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
			text := strconv.FormatInt(mantissa(f, def, i), 10) + "e-" + strconv.Itoa(def.Digits)
			if want, _ := strconv.ParseFloat(text, 64); got != want {
				t.Errorf("%s row %d: got %v, want %s", col, i, got, text)
			}
		}
	}
}

func mantissa(f *Frame, def table.Column, i int) int64 {
	if def.Kind == table.Fixed32 {
		v, _ := f.Fixed32(def.Name)
		return int64(v[i])
	}
	v, _ := f.Fixed64(def.Name)
	return v[i]
}

func TestFloatsReusesMemory(t *testing.T) {
	f := randomFrame(t, table.Samples(), 100, 1)
	dst := make([]float64, 0, 100)
	got := f.Floats(dst, "power_kw")
	if &got[0] != &dst[:1][0] {
		t.Error("a long enough slice was not used")
	}
}

func TestUntouchedColumnsAreEmpty(t *testing.T) {
	b := NewBuilder(table.Windows(), 2)
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
	b := NewBuilder(table.Samples(), 2)
	b.Column("time").Int64s([]int64{1, 2}, nil)
	b.Column("power_kw").Int32(1)
	if _, err := b.Build(); err == nil {
		t.Error("two times and one power made a frame")
	}
}

// same compares frames cell by cell through the rows' indices.
func same(t *testing.T, got, want *Frame, rowOf func(int) int) {
	t.Helper()
	for _, c := range want.Table().Columns {
		for i := range got.Rows() {
			if a, b := cell(got, c, i), cell(want, c, rowOf(i)); a != b {
				t.Fatalf("%s row %d: got %v, want %v", c.Name, i, a, b)
			}
		}
	}
}

func cell(f *Frame, c table.Column, i int) any {
	switch {
	case !f.Valid(c.Name).At(i):
		return nil
	case c.Kind == table.Text:
		return f.Text(c.Name).At(i)
	case c.Kind == table.Bit:
		return f.Bits(c.Name).State(i)
	}
	return f.Floats(nil, c.Name)[i]
}

func TestSliceTakeConcat(t *testing.T) {
	for _, tab := range table.All() {
		f := randomFrame(t, tab, 50, 3)
		same(t, f.Slice(7, 31), f, func(i int) int { return i + 7 })
		order := rand.New(rand.NewPCG(4, 4)).Perm(50)
		same(t, f.Take(order), f, func(i int) int { return order[i] })
		same(t, f.Slice(5, 45).Take([]int{39, 0, 0}), f, func(i int) int { return []int{44, 5, 5}[i] })
		joined, err := Concat(f.Slice(0, 13), Empty(tab), f.Slice(13, 50))
		if err != nil {
			t.Fatal(err)
		}
		if joined.Rows() != 50 {
			t.Fatalf("%s: %d rows, want 50", tab.Name, joined.Rows())
		}
		same(t, joined, f, func(i int) int { return i })
	}
}

func TestConcatRefusesOtherTables(t *testing.T) {
	if _, err := Concat(Empty(table.Samples()), Empty(table.Windows())); err == nil {
		t.Error("samples and windows were joined")
	}
	if _, err := Concat(); err == nil {
		t.Error("nothing made a frame")
	}
}

func TestBetween(t *testing.T) {
	b := NewBuilder(table.Samples(), 4)
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
	f := randomFrame(t, table.Samples(), 5, 1).Select("power_kw", "time", "unheard_of")
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
	f := randomFrame(t, tab, 40, 5)
	rows, err := Rows[Row](f)
	if err != nil {
		t.Fatal(err)
	}
	again, err := FromRows(tab, rows)
	if err != nil {
		t.Fatal(err)
	}
	same(t, again, f, func(i int) int { return i })
}

func TestNullsOfRows(t *testing.T) {
	rows := []table.Window{{Start: time.UnixMicro(5).UTC(), Superheat: math.NaN(), Subcooling: 3}}
	f, err := FromRows(table.Windows(), rows)
	if err != nil {
		t.Fatal(err)
	}
	if f.Has("end") || f.Has("superheat_k") || !f.Has("subcooling_k") || f.Times("start")[0] != 5 {
		t.Error("the zero time or NaN is not null, or a value went")
	}
	back, err := Rows[table.Window](f)
	if err != nil || !back[0].End.IsZero() || !math.IsNaN(back[0].Superheat) || !reflect.DeepEqual(back[0].Start, rows[0].Start) {
		t.Errorf("%+v, %v", back, err)
	}
}

func TestFixedPointHasNoRows(t *testing.T) {
	if _, err := FromRows(table.Samples(), []table.Sample{{}}); err == nil {
		t.Error("samples came from structs, which have no null")
	}
	if _, err := Rows[table.Visit](Empty(table.Windows())); err == nil {
		t.Error("windows were read as visits")
	}
}

func TestMistakesPanic(t *testing.T) {
	f := Empty(table.Samples())
	for name, mistake := range map[string]func(){
		"no such column": func() { f.Times("tiem") },
		"wrong kind":     func() { f.Times("power_kw") },
		"text as number": func() { Empty(table.Windows()).Floats(nil, "grade") },
		"builder":        func() { NewBuilder(table.Samples(), 0).Column("tiem") },
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
