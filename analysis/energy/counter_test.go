package energy

import (
	"math"
	"math/rand/v2"
	"testing"
)

// What counters do: worked out by hand for counters of six digits.
func TestCounterSteps(t *testing.T) {
	for _, c := range []struct {
		before, after, hours, kwh float64
		step                      Step
	}{
		{100, 101.5, 1, 1.5, Counted},
		{100, 100, 1, 0, Counted},
		{999998.5, 1.25, 1, 2.75, RolledOver},
		{99990, 20, 24, 30, RolledOver},
		{54321, 3, 1, math.NaN(), Reset},
		{54321, 54000, 1, math.NaN(), Backwards},
		{54321, 30000, 1, math.NaN(), Backwards},
		{100, 90000, 1, math.NaN(), Leapt},
		{math.NaN(), 5, 1, math.NaN(), Counted},
	} {
		kwh, step := Between(c.before, c.after, c.hours, math.NaN())
		if step != c.step || !(math.Abs(kwh-c.kwh) < 1e-9 || !finite(kwh) && !finite(c.kwh)) {
			t.Errorf("from %v to %v in %v h: %v kWh, %v; want %v, %v", c.before, c.after, c.hours, kwh, step, c.kwh, c.step)
		}
	}
}

const minute = int64(60e6)

// steady is a log of a constant power, a sample a minute, with its counter.
func steady(minutes int, kw, first float64) Trace {
	var t Trace
	for i := range minutes + 1 {
		t.Time = append(t.Time, int64(i)*minute)
		t.Power = append(t.Power, kw)
		t.Energy = append(t.Energy, first+kw*float64(i)/60)
		t.Outdoor = append(t.Outdoor, float64(i)/60)
	}
	return t
}

func totals(hours []Hour) (kwh, covered float64) {
	for _, h := range hours {
		kwh, covered = kwh+h.KWh, covered+h.Covered
	}
	return kwh, covered
}

// A gap is a gap: with power alone nothing is counted over it, a counter knows.
func TestNothingIsMadeUpOverGaps(t *testing.T) {
	whole := steady(600, 3, 50)
	cut := Trace{}
	for i, at := range whole.Time {
		if i < 200 || i > 380 {
			cut.Time = append(cut.Time, at)
			cut.Power = append(cut.Power, whole.Power[i])
			cut.Energy = append(cut.Energy, whole.Energy[i])
		}
	}
	counter, _ := Hours(cut)
	if kwh, covered := totals(counter); math.Abs(kwh-30) > 1e-9 || math.Abs(covered-10) > 1e-9 {
		t.Errorf("counter: %v kWh in %v h, want 30 in 10", kwh, covered)
	}
	cut.Energy = nil
	power, _ := Hours(cut)
	want := (199.0 + 219) / 60 // minutes on either side
	if kwh, covered := totals(power); math.Abs(kwh-3*want) > 1e-9 || math.Abs(covered-want) > 1e-9 {
		t.Errorf("power: %v kWh in %v h, want %v in %v", kwh, covered, 3*want, want)
	}
	for _, h := range power {
		if h.Covered > 1+1e-9 {
			t.Errorf("an hour of %v h", h.Covered)
		}
	}
	near(t, "mean outdoor temperature of the third hour", Hour(hoursOf(whole)[2]).Outdoor, 2.5, 1e-9)
}

func hoursOf(t Trace) []Hour { h, _ := Hours(t); return h }

// Law: wherever a counter is reset or rolls over, the sum is what was really used,
// less what went by unseen in the one step of a reset.
func TestResetsAndRolloversKeepTheSum(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 1))
	for range 50 {
		tr := steady(2000, 6, 99950)
		at := 100 + r.IntN(1800)
		for i := at; i < len(tr.Energy); i++ { // set to zero right before this sample
			tr.Energy[i] = 6 * float64(i-at) / 60
		}
		for i := range at {
			if tr.Energy[i] >= 100000 {
				tr.Energy[i] -= 100000
			}
		}
		hours, odd := Hours(tr)
		kwh, _ := totals(hours)
		near(t, "kWh", kwh, 200-0.1, 1e-6)
		for _, o := range odd {
			if o.Step == Backwards || o.Step == Leapt {
				t.Errorf("a sound counter does %+v", o)
			}
		}
	}
}

// A counter that runs backwards is told, and adds nothing.
func TestBackwardsIsFlagged(t *testing.T) {
	tr := steady(120, 6, 5000)
	for i := 60; i < 90; i++ {
		tr.Energy[i] = tr.Energy[59] - float64(i-59)
	}
	hours, odd := Hours(tr)
	if len(odd) == 0 || odd[0].Step != Backwards {
		t.Fatalf("oddities %+v", odd)
	}
	if kwh, _ := totals(hours); kwh > 12+31 {
		t.Errorf("%v kWh of 12 real ones", kwh)
	}
}
