package robust_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"rimelog/analysis/robust"
)

// ramps are the columns (x-k)⁺ at some knots.
func ramps(x, knots []float64) (columns [][]float64) {
	for _, k := range knots {
		c := make([]float64, len(x))
		for i, v := range x {
			c[i] = math.Max(0, v-k)
		}
		columns = append(columns, c)
	}
	return columns
}

// bent fits a line that may bend at some knots.
func bent(x, one, y []float64, at []int, knots []float64) (*robust.Mixture, error) {
	d := robust.Design{Fixed: []int{0, 1}, Bundles: [][]int{nil}}
	for k := range knots {
		d.Bundles[0] = append(d.Bundles[0], 2+k)
	}
	models, err := robust.NewMixed(y, at, append([][]float64{one, x}, ramps(x, knots)...)).Fit(d)
	if err != nil {
		return nil, err
	}
	return models[0], nil
}

// Values on a line are told exactly, whatever else they may do.
func TestMixedTellsALine(t *testing.T) {
	var x, one, y []float64
	var at []int
	for i := range 40 {
		x, one, y, at = append(x, float64(i)), append(one, 1), append(y, 3+0.5*float64(i)), append(at, i+i/7)
	}
	m, err := bent(x, one, y, at, []float64{10, 20, 30})
	if err != nil {
		t.Fatal(err)
	}
	if v, _ := m.Sum([]float64{1, 50, 40, 30, 20}); math.Abs(v-28) > 0.01 {
		t.Errorf("at 50: %g, want 28", v)
	}
}

// Monte Carlo: a curve that is no sum of the columns, with noise that follows itself: the
// interval of its mean over a part of its range holds the truth as often as it says.
func TestMixedIntervalsHold(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	curve := func(x float64) float64 { return 20 + 8*math.Tanh((x-12)/4) }
	knots := []float64{3, 6, 9, 12, 15, 18, 21}
	held := 0
	const runs = 60
	for range runs {
		var x, one, y []float64
		var at []int
		noise := 0.0
		for i := range 150 {
			noise = 0.4*noise + 0.5*math.Sqrt(1-0.16)*r.NormFloat64()
			v := 24 * r.Float64()
			x, one, y, at = append(x, v), append(one, 1), append(y, curve(v)+noise), append(at, i)
		}
		m, err := bent(x, one, y, at, knots)
		if err != nil {
			t.Fatal(err)
		}
		total, truth := make([]float64, 2+len(knots)), 0.0
		for v := 4.0; v < 10; v++ {
			total[0], total[1], truth = total[0]+1, total[1]+v, truth+curve(v)
			for k, at := range knots {
				total[2+k] += math.Max(0, v-at)
			}
		}
		if v, u := m.Sum(total); math.Abs(v-truth) < robust.Student(0.9, m.DF)*u {
			held++
		}
	}
	if held < 46 { // 54 expected; below 46 once in 400 times
		t.Errorf("the 90 %% interval holds the truth in %d of %d", held, runs)
	}
}

func TestMixedNeedsValues(t *testing.T) {
	if _, err := bent([]float64{0, 1}, []float64{1, 1}, []float64{1, 2}, []int{0, 1}, nil); err == nil {
		t.Error("two values told a line and its scatter")
	}
}

// Laws of a pool: with full trust a design that fits is all that is left of it, with none a
// plain design counts as much as all others together, whatever the values say.
func TestPoolOfDesigns(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 1))
	var one, x, step, y []float64
	var at []int
	for i := range 60 {
		one, x, at = append(one, 1), append(x, float64(i)), append(at, i)
		step = append(step, math.Max(0, math.Min(1, float64(i-29))))
		y = append(y, 5*step[i]+0.1*r.NormFloat64())
	}
	models, err := robust.NewMixed(y, at, [][]float64{one, step, x}).Fit(robust.Design{Fixed: []int{0}, Last: [][]int{{1}, {2}}})
	if err != nil {
		t.Fatal(err)
	}
	steps, line := models[0], models[1]
	value := func(m *robust.Mixture) float64 { v, _ := m.Sum([]float64{0, 1, 1}); return v }
	for _, c := range []struct {
		trust, want float64
	}{
		{1, value(steps)},
		{0, value(line)/2 + value(steps)/2},
	} {
		if got := value(robust.Pool(c.trust, 0.5, line, steps, steps)); math.Abs(got-c.want) > 1e-6 {
			t.Errorf("trust %g: %g, want %g", c.trust, got, c.want)
		}
	}
	if _, u := robust.Pool(0, 0.5, line, steps).Sum([]float64{0, 1, 1}); u < math.Abs(value(line)-value(steps))/2 {
		t.Errorf("standard uncertainty %g is less than designs differ by", u)
	}
}
