// Package frametest makes frames for tests and compares them.
package frametest

import (
	"math"
	"math/rand/v2"
	"testing"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// Random makes a frame of any table from a seed. About a third of what may be
// null is; values lie anywhere in their column's type.
func Random(t testing.TB, tab table.Table, rows int, seed uint64) *frame.Frame {
	t.Helper()
	rng := rand.New(rand.NewPCG(seed, uint64(rows)))
	b := frame.NewBuilder(tab, rows)
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
	return Build(t, b)
}

// Build ends the test where the builder's columns do not fit together.
func Build(t testing.TB, b *frame.Builder) *frame.Frame {
	t.Helper()
	f, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func appendRandom(c *frame.Column, k table.Kind, rng *rand.Rand) {
	switch k {
	case table.Fixed32:
		c.Int32(rng.Int32N(2*999_999_999+1) - 999_999_999)
	case table.Fixed64:
		c.Int64(rng.Int64N(2*999_999_999_999_999_999+1) - 999_999_999_999_999_999)
	case table.Time:
		c.Int64(rng.Int64N(4_000_000_000_000_000))
	case table.Int:
		c.Int64(int64(rng.Uint64()))
	case table.Float:
		c.Float([]float64{0, math.Inf(1), -math.MaxFloat64, rng.NormFloat64()}[rng.IntN(4)])
	case table.Text:
		c.Text([]string{"", "°C", "a;b\n", "falling"}[rng.IntN(4)])
	case table.Bit:
		c.Bit(rng.IntN(2) == 0)
	}
}

// Equal reports the first cell in which two frames of one table differ.
func Equal(t testing.TB, got, want *frame.Frame) {
	t.Helper()
	if got.Rows() != want.Rows() || got.Table().Name != want.Table().Name {
		t.Fatalf("%d rows of %s, want %d of %s", got.Rows(), got.Table().Name, want.Rows(), want.Table().Name)
	}
	for _, c := range want.Table().Columns {
		a, b := cells(got, c), cells(want, c)
		for i := range want.Rows() {
			if x, y := a(i), b(i); x != y {
				t.Fatalf("%s.%s row %d: got %v, want %v", want.Table().Name, c.Name, i, x, y)
			}
		}
	}
}

// cells gives a column's values for comparing: nil for null.
func cells(f *frame.Frame, c table.Column) func(i int) any {
	valid, at := f.Valid(c.Name), value(f, c)
	return func(i int) any {
		if !valid.At(i) {
			return nil
		}
		return at(i)
	}
}

func value(f *frame.Frame, c table.Column) func(i int) any {
	switch c.Kind {
	case table.Time:
		v := f.Times(c.Name)
		return func(i int) any { return v[i] }
	case table.Fixed32:
		v, _ := f.Fixed32(c.Name)
		return func(i int) any { return v[i] }
	case table.Float:
		v := f.Floats(nil, c.Name)
		return func(i int) any { return v[i] }
	case table.Text:
		v := f.Text(c.Name)
		return func(i int) any { return v.At(i) }
	case table.Bit:
		v := f.Bits(c.Name)
		return func(i int) any { return v.At(i) }
	}
	v, _ := f.Fixed64(c.Name)
	return func(i int) any { return v[i] }
}
