package piecewise

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// TestCurve fits functions with known values, one of them with a vertical
// tangent just outside the end, like a saturated density at the critical point.
func TestCurve(t *testing.T) {
	c, err := NewCurve(0.1, 5, []float64{1e-9, 1e-8}, func(x float64, out []float64) error {
		out[0], out[1] = math.Exp(-x)*math.Sin(3*x), math.Sqrt(5.01-x)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		x := 0.1 + 4.9*rng.Float64()
		if got, want := c.At(0, x), math.Exp(-x)*math.Sin(3*x); math.Abs(got-want) > 1e-9 {
			t.Errorf("exp(-x)*sin(3x) at %g: %.12g, want %.12g", x, got, want)
		}
		if got, want := c.Slope(0, x), math.Exp(-x)*(3*math.Cos(3*x)-math.Sin(3*x)); math.Abs(got-want) > 1e-6 {
			t.Errorf("slope of exp(-x)*sin(3x) at %g: %.12g, want %.12g", x, got, want)
		}
		if got, want := c.At(1, x), math.Sqrt(5.01-x); math.Abs(got-want) > 1e-8 {
			t.Errorf("sqrt(5.01-x) at %g: %.12g, want %.12g", x, got, want)
		}
	}
	for _, x := range []float64{0.1, 5} {
		if !c.Contains(x) || math.Abs(c.At(1, x)-math.Sqrt(5.01-x)) > 1e-8 {
			t.Errorf("end %g: %g", x, c.At(1, x))
		}
	}
	for _, x := range []float64{0.0999, 5.0001, math.NaN(), math.Inf(1)} {
		if c.Contains(x) {
			t.Errorf("the curve contains %g", x)
		}
	}
}

// TestCurveRefuses: a function with a jump is not fitted, and an error of the
// function comes through.
func TestCurveRefuses(t *testing.T) {
	_, err := NewCurve(0, 1, []float64{1e-9}, func(x float64, out []float64) error {
		out[0] = math.Floor(3 * x)
		return nil
	})
	if !errors.Is(err, ErrTolerance) {
		t.Errorf("a jump: %v", err)
	}
	mine := errors.New("mine")
	if _, err := NewCurve(0, 1, []float64{1}, func(float64, []float64) error { return mine }); !errors.Is(err, mine) {
		t.Errorf("an error of the function: %v", err)
	}
}

// TestPatch fits two channels with a corner missing.
func TestPatch(t *testing.T) {
	f := func(x, y float64) (float64, float64) { return math.Exp(x) * math.Cos(2*y), 1 / (1 + x + y) }
	p, err := NewPatch(0, 2, 0, 3, []float64{1e-8, 1e-8}, func(x, y float64, out []float64) error {
		if x+y > 4 {
			return ErrAbsent
		}
		out[0], out[1] = f(x, y)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(3, 4))
	covered := 0
	for range 3000 {
		x, y := 2*rng.Float64(), 3*rng.Float64()
		at, ok := p.Find(x, y)
		if !ok {
			continue
		}
		covered++
		w0, w1 := f(x, y)
		g0, g1 := p.At(0, at, x, y), p.At(1, at, x, y)
		if math.Abs(g0-w0) > 3e-8 || math.Abs(g1-w1) > 3e-8 {
			t.Errorf("at %g, %g: %.10g, %.10g; want %.10g, %.10g", x, y, g0, g1, w0, w1)
		}
		row := p.Row(0, at, x)
		v, slope := row.At(y)
		if math.Abs(v-w0) > 3e-8 || math.Abs(slope+2*math.Exp(x)*math.Sin(2*y)) > 1e-5 || !row.Holds(y) {
			t.Errorf("row at %g, %g: %.10g, slope %.10g", x, y, v, slope)
		}
	}
	if covered < 2650 || covered > 2990 { // the corner is 1/12 of the rectangle
		t.Errorf("%d of 3000 points covered", covered)
	}
	for _, xy := range [][2]float64{{-0.01, 1}, {1, 3.01}, {math.NaN(), 1}, {1, math.NaN()}, {2, 2.9}} {
		if _, ok := p.Find(xy[0], xy[1]); ok {
			t.Errorf("the patch contains %v", xy)
		}
	}
}
