package steady

import (
	"testing"
	"time"

	"rimelog/analysis/cycle"
)

// A logger stored watts under kW for half of a month (D28): the machine ran all the same
// when it stored kilowatts, 11 beside 11 000, and from the first minute on of runs that are too
// short for its discharge gas to get hot. It did not where fans draw 0.4 kW while the low side
// is pumped down.
func TestWattsBesideKilowattsBothRun(t *testing.T) {
	const half = 2000
	c := &cycle.Columns{Time: make([]int64, 2*half)}
	for _, q := range []cycle.Quantity{cycle.Power, cycle.PressureRatio, cycle.DischargeSuperheat} {
		c.Values[q] = make([]float64, 2*half)
	}
	runs := func(i int) bool { return i%60 >= 20 }
	for i := range c.Time {
		c.Time[i] = int64(i) * time.Minute.Microseconds()
		power, ratio, hot := 0.4, 2.0, -3.0 // the low side is pumped down
		if runs(i) {
			power, ratio, hot = 11, 3, float64(i%60)-45
		}
		if i < half {
			power *= 1000
		}
		c.Values[cycle.Power][i], c.Values[cycle.PressureRatio][i], c.Values[cycle.DischargeSuperheat][i] = power, ratio, hot
	}
	on := make([]bool, c.Rows())
	e := &evidences{Columns: c}
	if by := e.mask(on, 0, c.Rows()); by != ByPower {
		t.Fatalf("told by %q, want %q", by, ByPower)
	}
	for i, is := range on {
		if is != runs(i) {
			t.Fatalf("sample %d, %g kW: running %v, want %v", i, c.Values[cycle.Power][i], is, runs(i))
		}
	}
	for i := range half {
		c.Values[cycle.Power][i] /= 1000
	}
	e = &evidences{Columns: c}
	if got := e.threshold(cycle.Power, leastPower); got.thousandth < 1e9 {
		t.Errorf("kilowatts alone: a second threshold at %v kW, want none", got.thousandth)
	}
}
