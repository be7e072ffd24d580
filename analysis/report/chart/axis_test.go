package chart

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Laws of a rounded axis: it holds what it was shown, its ends are whole steps, and
// it has few of them, each 1, 2 or 5 times a power of ten.
func TestRoundLaws(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		var e extent
		size := math.Pow(10, 4*rng.Float64()-2)
		e.show(size*rng.NormFloat64(), size*rng.NormFloat64())
		lo, hi, step := e.round()
		if lo > e.lo || hi < e.hi {
			t.Errorf("%v rounded to %g to %g does not hold it", e, lo, hi)
		}
		for _, end := range []float64{lo, hi} {
			if n := end / step; math.Abs(n-math.Round(n)) > 1e-6 {
				t.Errorf("%v: end %g is no whole number of steps %g", e, end, step)
			}
		}
		if n := (hi - lo) / step; n < 2 || n > 9 {
			t.Errorf("%v: %g steps", e, n)
		}
		lead := step / math.Pow(10, math.Floor(math.Log10(step)+1e-9))
		if math.Abs(lead-1) > 1e-6 && math.Abs(lead-2) > 1e-6 && math.Abs(lead-5) > 1e-6 {
			t.Errorf("%v: step %g", e, step)
		}
	}
}

func TestExtentOfNothing(t *testing.T) {
	var e extent
	e.show(nan, math.Inf(1))
	if lo, hi, step := e.round(); lo != 0 || hi != 1 || step <= 0 {
		t.Errorf("an axis of nothing goes from %g to %g by %g", lo, hi, step)
	}
}

func TestDecades(t *testing.T) {
	for _, c := range []struct{ lo, hi, first, last float64 }{
		{1.4, 18, 1, 20}, {2, 10, 2, 10}, {0.3, 4.9, 0.2, 5}, {30, 110, 20, 200}, {7, 7, 5, 10},
	} {
		got := extent{c.lo, c.hi, true}.decades()
		if math.Abs(got[0]-c.first) > 1e-9 || math.Abs(got[len(got)-1]-c.last) > 1e-9 {
			t.Errorf("labels for %g to %g: %v, want %g to %g", c.lo, c.hi, got, c.first, c.last)
		}
	}
	if got := (extent{}).decades(); len(got) < 2 {
		t.Errorf("labels for nothing: %v", got)
	}
}

func TestMerge(t *testing.T) {
	got := merge(raw{"a": []any{raw{"x": 1.0}, "old"}, "keep": true}, raw{"a": []any{raw{"y": 2.0}, nil, "new"}, "b": "set"}).(raw)
	list := got["a"].([]any)
	first := list[0].(raw)
	if first["x"] != 1.0 || first["y"] != 2.0 || list[1] != "old" || list[2] != "new" || got["keep"] != true || got["b"] != "set" {
		t.Errorf("merged to %v", got)
	}
}

func TestNum(t *testing.T) {
	for _, v := range []float64{nan, math.Inf(1), math.Inf(-1)} {
		if num(v) != nil {
			t.Errorf("num(%v) = %v, want a gap", v, num(v))
		}
	}
	if got := num(1.23456); got != 1.235 {
		t.Errorf("num(1.23456) = %v, want three digits", got)
	}
}
