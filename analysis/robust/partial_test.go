package robust

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// season is an invented outdoor temperature: 10 ± 10 °C, warmest at mid-year.
func season(year float64) float64 { return 10 - 10*math.Cos(2*math.Pi*year) }

func TestPartialTakesTheSeasonOut(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 22))
	var slope, influence, naive float64
	const runs = 200
	for range runs {
		times, y, air := make([]float64, 18), make([]float64, 18), make([]float64, 18)
		for i := range times {
			times[i] = float64(i) / 12
			air[i] = season(times[i]) + 2*rng.NormFloat64()
			y[i] = 6 - 2*times[i] + 0.15*air[i] + 0.3*rng.NormFloat64()
		}
		y[3] += 20 // one wild value
		tr, err := Partial(times, y, nil, 0.95, air)
		if err != nil {
			t.Fatal(err)
		}
		slope += tr.Slope / runs
		influence += tr.Influence[0] / runs
		ls, err := LeastSquares(y, ones(18), times, air)
		if err != nil {
			t.Fatal(err)
		}
		naive += ls.Coefficients[1] / runs
	}
	within(t, "mean slope", slope, -2, 0.12)
	within(t, "mean influence", influence, 0.15, 0.02)
	if math.Abs(naive+2) < 1 {
		t.Errorf("least squares gives a slope of %.2f: the wild value is too tame for this test", naive)
	}
}

// A season that runs along with time (spring to summer) must widen the interval:
// in noise the 95 % interval covers zero, and the test fires, as often as it says.
func TestPartialIsHonestInHalfASeason(t *testing.T) {
	rng := rand.New(rand.NewPCG(23, 24))
	covered, fired, runs := 0, 0, 0
	for range 1000 {
		times, y, air := make([]float64, 10), make([]float64, 10), make([]float64, 10)
		for i := range times {
			times[i] = float64(i) / 20
			air[i] = season(times[i]) + 2*rng.NormFloat64()
			y[i] = 6 + 0.15*air[i] + 0.7*rng.NormFloat64()
		}
		tr, err := Partial(times, y, nil, 0.95, air)
		if errors.Is(err, ErrSingular) {
			continue // the season ran too closely along
		}
		runs++
		if tr.Lo <= 0 && 0 <= tr.Hi {
			covered++
		}
		if tr.P < 0.05 {
			fired++
		}
	}
	within(t, "coverage", float64(covered)/float64(runs), 0.95, 0.03)
	within(t, "false alarms at 5 %", float64(fired)/float64(runs), 0.04, 0.025)
}

// Another set of instruments, 2 K lower, from the middle on is no trend.
func TestPartialComparesWithinGroupsOnly(t *testing.T) {
	rng := rand.New(rand.NewPCG(25, 26))
	times, y, set := steps(20), make([]float64, 20), make([]int, 20)
	for i := range y {
		y[i] = 6 + 0.3*rng.NormFloat64()
		if i >= 10 {
			set[i] = 1
			y[i] -= 2
		}
	}
	blind, err := Partial(times, y, nil, 0.95)
	if err != nil || blind.P > 1e-3 {
		t.Fatalf("without groups the step must look like a trend: p %v, %v", blind.P, err)
	}
	tr, err := Partial(times, y, set, 0.95)
	if err != nil || tr.P < 0.05 {
		t.Errorf("within groups: p %v, %v; want no trend", tr.P, err)
	}
	within(t, "level by the last set", tr.Level, 4, 0.5)
	within(t, "first value as the last set would show it", tr.Leveled[0], 4, 1)
}

func TestPartialRefusesTimeThatIsTheSeason(t *testing.T) {
	times := steps(8)
	air := make([]float64, 8)
	for i := range air {
		air[i] = 2 * times[i]
	}
	if _, err := Partial(times, []float64{1, 2, 1, 3, 2, 4, 3, 5}, nil, 0.95, air); !errors.Is(err, ErrSingular) {
		t.Errorf("air that rises with time: got %v, want ErrSingular", err)
	}
}

func TestOnset(t *testing.T) {
	rng := rand.New(rand.NewPCG(27, 28))
	y := make([]float64, 30)
	for i := range y {
		y[i] = 6 - 0.3*math.Max(0, float64(i)-12) + 0.1*rng.NormFloat64()
	}
	at, err := Onset(steps(30), y)
	if err != nil {
		t.Fatal(err)
	}
	within(t, "onset", at, 12, 2)
	at, err = Onset(steps(5), []float64{5, 4, 3, 2, 1})
	if err != nil || at != 0 {
		t.Errorf("an even fall from the start: got %v, %v; want 0", at, err)
	}
}
