package robust

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

func TestMedianVariance(t *testing.T) {
	rng := rand.New(rand.NewPCG(31, 32))
	for n, want := range medianVariance {
		var ss float64
		const runs = 60000
		for range runs {
			m, _ := Median(noise(rng, n, 1))
			ss += m * m / runs
		}
		within(t, "variance of a median", ss, want, 0.02*want)
	}
}

func TestLastShift(t *testing.T) {
	rng := rand.New(rand.NewPCG(33, 34))
	fired := 0
	const runs = 4000
	for range runs {
		s, err := LastShift(noise(rng, 20, 0.7), 4, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		if s.P < 0.05 {
			fired++
		}
		if (s.P < 0.05) != (s.Lo > 0 || s.Hi < 0) {
			t.Fatalf("interval and chance disagree: %+v", s)
		}
	}
	within(t, "false alarms at 5 %", float64(fired)/runs, 0.05, 0.015)

	y := noise(rng, 20, 0.3)
	for i := 16; i < 20; i++ {
		y[i] -= 2
	}
	y[5], y[18] = 30, -30 // wild values
	s, err := LastShift(y, 4, 0.95)
	if err != nil || s.P > 1e-4 || math.Abs(s.Size+2) > 0.6 {
		t.Errorf("a fall of 2 K with two wild values: got %+v, %v", s, err)
	}
	var few *TooFewError
	if _, err := LastShift(y[:11], 4, 0.95); !errors.As(err, &few) {
		t.Errorf("11 values: got %v, want TooFewError", err)
	}
}
