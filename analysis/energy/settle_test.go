package energy

import (
	"math"
	"testing"
)

// A log of starts whose discharge gas nears 80 °C with a time constant of 400 s: the
// log tells the time constant, and a window in the middle of the rise settles at 80; of
// samples a minute apart and five, in short windows and in long ones.
func TestDischargeGasSettles(t *testing.T) {
	for _, every := range []int{1, 5} {
		gasSettles(t, int64(every)*minute, 5*every)
	}
}

// gasSettles tries samples so far apart and a window of so many minutes.
func gasSettles(t *testing.T, every int64, length int) {
	const tau, end = 400.0, 80.0
	l := &Log{}
	var hot []float64
	var running []bool
	for run := range 12 {
		for i := range 40 {
			at := int64(run*40+i) * minute
			if at%every != 0 {
				continue
			}
			l.Time = append(l.Time, at)
			running = append(running, i >= 10 && i < 34)
			s := float64(i-10) * 60
			hot = append(hot, end-45*math.Exp(-math.Max(s, 0)/tau)+0.02*math.Sin(float64(i*i)))
		}
	}
	l.columns[dischargeColumn] = hot
	got := l.shellTime(running)
	near(t, "time constant, s", got, tau, 30)
	i, j := l.Rows(15*minute, int64(15+length)*minute-1)
	s := NewState()
	s.SuctionTemp, s.DischargeTemp, s.Outdoor = 5, mean(hot[i:j]), 20
	raw := s.DischargeTemp
	added, err := s.settle(l.slope(hot, i, j), l.toGo(hot, got, i, j))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "settled, °C", raw+added, end, 0.5)
	if raw > end-3 {
		t.Errorf("the window is no test: %v °C", raw)
	}
}

// Without a known time constant a gas that still warms gives no COP by states.
func TestUnsettledGasSaysNothing(t *testing.T) {
	_, s := machine(t)
	if _, err := s.settle(1.0/60, math.NaN()); err != errUnsettled {
		t.Errorf("1 K a minute: %v", err)
	}
	_, s = machine(t)
	if _, err := s.settle(0.1/60, math.NaN()); err != nil {
		t.Errorf("0.1 K a minute: %v", err)
	}
	_, s = machine(t)
	if _, err := s.settle(6.0/60, 60); err != errUnsettled {
		t.Errorf("60 K to go: %v", err)
	}
}
