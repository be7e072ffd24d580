package robust

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// Under beliefs so wide that they say nothing, and with no wild values, the estimate is
// that of least squares: NIST's certified values of Norris.
func TestBeliefAgreesWithCertifiedValues(t *testing.T) {
	b := Belief{Y: norrisY, Columns: [][]float64{ones(len(norrisY)), norrisX}, Mean: []float64{0, 0}, SD: []float64{1e6, 1e6}, Wild: 1e-12, WildSD: 1e3, Scatter: 0.8848, ScatterWeight: 1e-6}
	e, err := b.Fit()
	if err != nil {
		t.Fatal(err)
	}
	within(t, "intercept", e.Coef[0], -0.262323073774029, 1e-6)
	within(t, "slope", e.Coef[1], 1.00211681802045, 1e-9)
	within(t, "residual standard deviation", e.Scatter, 0.884796396144373, 1e-6)
	within(t, "standard error of the slope", e.SD(1), 0.000429796848199937, 1e-9)
}

// One more column, asked about after the fit, has the coefficient and standard error
// that it would have within it.
func TestChangeAgreesWithCertifiedValues(t *testing.T) {
	b := Belief{Y: norrisY, Columns: [][]float64{ones(len(norrisY))}, Mean: []float64{0}, SD: []float64{1e6}, Bend: [][]float64{norrisX}, BendSD: 1e6, Wild: 1e-12, WildSD: 1e3, Scatter: 0.8848, ScatterWeight: 1e-6}
	e, err := b.Fit()
	if err != nil {
		t.Fatal(err)
	}
	slope := e.Change(norrisX)
	within(t, "slope", slope.Coef, 1.00211681802045, 1e-8)
	within(t, "its standard error", slope.SD, 0.000429796848199937, 1e-8)
	if four := e.Changes([4][]float64{norrisX, norrisX, ones(len(norrisY)), norrisX}); four != [4]Change{slope, slope, {}, slope} {
		t.Errorf("asked about four at once: %v, alone %v, and nothing of what is in the fit", four, slope)
	}
}

// A belief about a mean of normal values of known scatter is the textbook's: weights
// are the reciprocals of the variances.
func TestBeliefWeighsBySpread(t *testing.T) {
	b := Belief{Y: []float64{3, 5, 4, 4}, Columns: [][]float64{ones(4)}, Mean: []float64{0}, SD: []float64{1}, Wild: 1e-12, WildSD: 1e3, Scatter: 2, ScatterWeight: 1e9}
	e, err := b.Fit()
	if err != nil {
		t.Fatal(err)
	}
	within(t, "mean", e.Coef[0], 4*(4/4.)/(4/4.+1), 1e-6)
	within(t, "its spread", e.SD(0), math.Sqrt(1/(4/4.+1)), 1e-6)
}

// Doubt adds to the variance of each value, and weights are the reciprocals.
func TestDoubtWeighs(t *testing.T) {
	b := Belief{Y: []float64{3, 5}, Columns: [][]float64{ones(2)}, Mean: []float64{0}, SD: []float64{1}, Wild: 1e-12, WildSD: 1e3, Scatter: 2, ScatterWeight: 1e9}
	e, err := b.Fit()
	if err != nil {
		t.Fatal(err)
	}
	if e, err = e.Doubting([]float64{0, math.Sqrt(12)}); err != nil {
		t.Fatal(err)
	}
	within(t, "mean", e.Coef[0], (3/4.+5/16.)/(1/4.+1/16.+1), 1e-6)
	within(t, "its spread", e.SD(0), math.Sqrt(1/(1/4.+1/16.+1)), 1e-6)
}

// A tenth of values far off leave a line where it is, and are told from the others.
func TestBeliefKnowsWildValues(t *testing.T) {
	rng := rand.New(rand.NewPCG(51, 51))
	n, missed, blamed := 0, 0, 0
	for range 40 {
		b := Belief{Columns: [][]float64{ones(30), nil}, Mean: []float64{0, 0}, SD: []float64{10, 10}, Wild: 0.1, WildSD: 6, Scatter: 0.5, ScatterWeight: 4}
		for i := range 30 {
			x := float64(i) / 10
			y := 2 + 1.5*x + 0.4*rng.NormFloat64()
			if i%10 == 4 {
				y += 8
			}
			b.Columns[1], b.Y = append(b.Columns[1], x), append(b.Y, y)
		}
		e, err := b.Fit()
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(e.Coef[1]-1.5) > 4*e.SD(1) {
			t.Errorf("slope %.2f ± %.2f, want about 1.5", e.Coef[1], e.SD(1))
		}
		for i, w := range e.Weights {
			n++
			switch {
			case i%10 == 4 && w > 0.1:
				missed++
			case i%10 != 4 && w < 0.5:
				blamed++
			}
		}
	}
	if missed > 0 || blamed > n/50 {
		t.Errorf("%d wild values taken for good ones, %d good ones for wild", missed, blamed)
	}
}

// The interval of a change holds it as often as it says.
func TestChangeKeepsItsInterval(t *testing.T) {
	rng := rand.New(rand.NewPCG(52, 52))
	held := 0
	const trials = 400
	for range trials {
		b := Belief{Columns: [][]float64{ones(24)}, Mean: []float64{5}, SD: []float64{4}, Wild: 0.1, WildSD: 6, Scatter: 0.5, ScatterWeight: 4}
		step := make([]float64, 24)
		for i := range step {
			if i >= 12 {
				step[i] = 1
			}
			b.Y = append(b.Y, 6-2*step[i]+0.5*rng.NormFloat64())
		}
		b.Bend, b.BendSD = [][]float64{step}, 6
		e, err := b.Fit()
		if err != nil {
			t.Fatal(err)
		}
		if c := e.Change(step); math.Abs(c.Coef+2) < 1.96*c.SD {
			held++
		}
	}
	if share := float64(held) / trials; share < 0.92 || share > 0.985 {
		t.Errorf("%.3f of intervals hold the change, want about 0.95", share)
	}
}

func TestBeliefRefusesWhatIsNoNumber(t *testing.T) {
	_, err := Belief{}.Fit()
	var few *TooFewError
	if !errors.As(err, &few) {
		t.Errorf("no values: %v", err)
	}
	b := Belief{Y: []float64{1, math.NaN()}, Columns: [][]float64{ones(2)}, Mean: []float64{0}, SD: []float64{1}, Wild: 0.1, WildSD: 6, Scatter: 1, ScatterWeight: 4}
	if _, err := b.Fit(); !errors.Is(err, ErrInfinite) {
		t.Errorf("a gap: %v", err)
	}
}

// Values on a floor are left out where the line lies below it, and count where it does not:
// the line behind censored values is found (the model of Tobin, Econometrica 26 (1958) 24),
// which least squares through all of them would flatten.
func TestBeliefSeesWhatIsAboveAFloor(t *testing.T) {
	rng := rand.New(rand.NewPCG(58, 24))
	b := Belief{Columns: [][]float64{ones(40), nil}, Mean: []float64{0, 0}, SD: []float64{10, 10}, Wild: 0.1, WildSD: 6, Scatter: 0.3, ScatterWeight: 4}
	for i := range 40 {
		x := float64(i) / 4
		y := math.Max(0, 5-x+0.3*rng.NormFloat64())
		b.Columns[1], b.Y, b.AtMost = append(b.Columns[1], x), append(b.Y, y), append(b.AtMost, y == 0)
	}
	seen, err := b.Fit()
	if err != nil {
		t.Fatal(err)
	}
	within(t, "slope", seen.Coef[1], -1, 0.06)
	within(t, "scatter", seen.Scatter, 0.3, 0.08)
	b.AtMost = nil
	all, err := b.Fit()
	if err != nil {
		t.Fatal(err)
	}
	if all.Coef[1] < -0.9 {
		t.Errorf("slope %.2f through all values, want it flattened: the test shows nothing", all.Coef[1])
	}
}
