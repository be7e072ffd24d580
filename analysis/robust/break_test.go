package robust

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

func upTo(n int) []float64 {
	t := make([]float64, n)
	for i := range t {
		t[i] = float64(i)
	}
	return t
}

// The Nile at Aswan has one break, after its 28th year, between means of 1097.75 and
// 849.97. Source: R 4.2.2, strucchange 1.5-3, breakpoints (BIC).
func TestBreakOfTheNile(t *testing.T) {
	b, err := Course{T: upTo(len(nile)), Y: nile}.Break(0.95)
	if err != nil {
		t.Fatal(err)
	}
	if !b.Sudden || b.P > 1e-6 {
		t.Errorf("sudden %v, chance %.2g; want a sudden one beyond doubt", b.Sudden, b.P)
	}
	within(t, "rows before", float64(b.Before), 28, 1.5)
	within(t, "size", b.Size, 849.97-1097.75, 15)
}

// A chance is one: in noise it falls below a limit no more often than the limit
// says, whatever is taken out, and not much less often either.
func TestBreakChancesAreKept(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 7))
	const n, runs = 24, 1500
	for name, influences := range map[string]int{"alone": 0, "beside an influence": 1} {
		below := 0
		for range runs {
			c := Course{T: upTo(n), Y: noise(rng, n, 1)}
			for range influences {
				c.Influences = append(c.Influences, noise(rng, n, 5))
			}
			b, err := c.Break(0.95)
			if err != nil {
				t.Fatal(err)
			}
			if b.P <= 0.05 {
				below++
			}
		}
		if share := float64(below) / runs; share > 0.065 || share < 0.015 {
			t.Errorf("%s: %.3f of chances below 0.05", name, share)
		}
	}
}

// What goes down at an even rate from the twentieth of 32 rows on is found with size,
// rate and onset, beside an influence ten times as large.
func TestBreakFindsARamp(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 7))
	covered := 0
	for range 100 {
		c := Course{T: upTo(32), Y: noise(rng, 32, 0.3), Influences: [][]float64{noise(rng, 32, 8)}}
		for i := range c.Y {
			c.Y[i] += 4 - 0.3*math.Max(0, float64(i)-19) + 0.4*c.Influences[0][i]
		}
		b, err := c.Break(0.95)
		if err != nil {
			t.Fatal(err)
		}
		if b.P > 1e-3 || b.Sudden || math.Abs(b.Onset-19) > 6 || math.Abs(b.Influence[0]-0.4) > 0.1 {
			t.Fatalf("got %+v, want -0.3 a row from 19 on", b)
		}
		if b.Lo <= -3.6 && b.Hi >= -3.6 {
			covered++
		}
	}
	if covered < 85 {
		t.Errorf("%d of 100 intervals at 0.95 hold the truth", covered)
	}
}

// A change that came together with another group counts only beyond what groups may
// differ by; one within both groups counts.
func TestBreakBetweenGroups(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 7))
	run := func(stated float64, group func(i int) int, from int) float64 {
		c := Course{T: upTo(30), Y: noise(rng, 30, 0.2), GroupSD: stated}
		for i := range c.Y {
			c.Group = append(c.Group, group(i))
			if i >= from {
				c.Y[i] -= 2
			}
		}
		b, err := c.Break(0.95)
		if err != nil {
			t.Fatal(err)
		}
		return b.P
	}
	handover := func(i int) int { return min(1, i/15) }
	turns := func(i int) int { return i % 2 }
	if p := run(1, handover, 15); p < 0.02 {
		t.Errorf("2 K with new instruments that may err by 1 K: chance %.2g, want no alarm", p)
	}
	if p := run(0.05, handover, 15); p > 0.005 {
		t.Errorf("2 K with new instruments that may err by 0.05 K: chance %.2g, want it found", p)
	}
	if p := run(1, turns, 20); p > 1e-6 {
		t.Errorf("2 K within two sets that take turns: chance %.2g, want it found", p)
	}
}

// Rows under conditions that the baseline has not seen prove nothing: a value that
// bends where it gets cold has not changed.
func TestBreakDoesNotExtrapolate(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 7))
	c := Course{T: upTo(20), Y: noise(rng, 20, 0.2), Influences: [][]float64{make([]float64, 20)}}
	for i := range c.Y {
		outdoor := 25 - 1.5*float64(i) + 3*rng.NormFloat64()
		c.Influences[0][i] = outdoor
		c.Y[i] += math.Max(0, 8-outdoor)
	}
	if b, err := c.Break(0.95); err == nil && b.P < 0.01 {
		t.Errorf("first autumn of a record: chance %.2g, want no alarm", b.P)
	}
}

// A level that was set anew by an event is no change; what goes on after it is.
func TestBreakWithinTheLastEra(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 7))
	for _, after := range []float64{0, -0.3} {
		c := Course{T: upTo(30), Y: noise(rng, 30, 0.2), Era: make([]int, 30)}
		for i := 18; i < 30; i++ {
			c.Era[i] = 1
			c.Y[i] += 3 + after*math.Max(0, float64(i-22))
		}
		b, err := c.Break(0.95)
		if err != nil || (b.P < 0.002) != (after < 0) {
			t.Errorf("%.1f a row after an event: chance %.2g, error %v", after, b.P, err)
		}
	}
}

func TestBreakSaysWhatIsWild(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 7))
	y := noise(rng, 20, 0.2)
	y[19] = -5
	b, err := Course{T: upTo(20), Y: y}.Break(0.95)
	if err != nil || b.Lasting/b.Size > 0.4 {
		t.Errorf("one wild row at the end: lasting %.2f of %.2f, error %v; want little of it", b.Lasting, b.Size, err)
	}
	var few *TooFewError
	if _, err := (Course{T: upTo(5), Y: y[:5]}).Break(0.95); !errors.As(err, &few) {
		t.Errorf("five rows: error %v, want TooFewError", err)
	}
}

// The evidence of a bend at the onset of its own sketch is that of the sketch, to the last
// digit: what several bends share is worked out once.
func TestEvidencesAgreeWithSketches(t *testing.T) {
	rng := rand.New(rand.NewPCG(93, 93))
	const n = 40
	c := Course{GroupSD: 0.5, Influences: [][]float64{make([]float64, n)}, Group: make([]int, n), Era: make([]int, n), T: make([]float64, n), Y: make([]float64, n)}
	bends := [][]float64{nil, make([]float64, n), make([]float64, n)}
	for i := range n {
		x := 10 * rng.NormFloat64()
		c.T[i], c.Influences[0][i], c.Group[i], c.Era[i] = float64(i)/12, x, i%3, i/15
		c.Y[i] = 6 + 0.1*x + rng.NormFloat64()
		bends[1][i], bends[2][i] = x*x, math.Max(0, x)
	}
	for k, bend := range bends {
		if c.Bends = nil; bend != nil {
			c.Bends = [][]float64{bend}
		}
		sketch, err := c.Sketch()
		if err != nil {
			t.Fatal(err)
		}
		c.Bends = nil
		if got := c.Evidences(sketch.At, bends)[k]; got != sketch.Evidence {
			t.Errorf("evidence %v with bend %d, its sketch says %v", got, k, sketch.Evidence)
		}
	}
}
