package energy

import (
	"math"
	"testing"
	"time"

	"rimelog/pipeline/table"
)

// Each error is told by its witness, and sound readings by none.
func TestPowerErrors(t *testing.T) {
	m, s := machine(t)
	per, _ := m.perKilogram(s, shellLoss)
	s.SourceIn, s.SourceOut, s.SourceFlow = 12, 7, 1
	sound := m.useful(s) * per.work / per.use
	for _, c := range []struct {
		factor float64
		want   string
	}{{1, ""}, {1.3, ""}, {0.7, ""}, {1000, RuleWatts}, {1.0 / 3, RulePhase}} {
		s.Power = c.factor * sound
		expected, by := m.ExpectedPower(s, math.NaN(), math.NaN())
		if got := CheckPower(s.Power / expected); got != c.want {
			t.Errorf("%g times the power by %s: %q, want %q", c.factor, by, got, c.want)
		}
	}
	// By hand: √3·400 V·10 A·0.8 = 5.543 kW.
	kw, _ := m.ExpectedPower(s, 10, 400)
	near(t, "by current, kW", kw, 5.543, 0.001)
}

func TestCarnotRules(t *testing.T) {
	for external, want := range map[float64]string{0.3: "", 0.75: "", 0.8: RuleFraction, 1.01: RuleCarnot, math.NaN(): ""} {
		if got := CheckCOP(external); got != want {
			t.Errorf("external fraction %v: %q, want %q", external, got, want)
		}
	}
}

// A month with one phase among sound ones is found by the system's own history.
func TestOddMonths(t *testing.T) {
	month := func(level float64, n int) Index {
		windows := make([]table.EnergyWindow, n)
		for i := range windows {
			windows[i].Index = level * (1 + 0.1*math.Sin(float64(i)))
		}
		return IndexOf("", windows)
	}
	got := OddMonths([]Index{month(1, 30), month(1.1, 30), month(0.34, 30), month(0.9, 30), month(1000, 30), month(1, 5)})
	for i, want := range []string{"", "", RulePhase, "", RuleWatts, ""} {
		if got[i].Rule != want {
			t.Errorf("month %d: %q, want %q", i, got[i].Rule, want)
		}
	}
}

func TestLedgerIsOneRowForOneError(t *testing.T) {
	var l Ledger
	at := time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC)
	for d := range 5 {
		l.Add(RuleCarnot, at.AddDate(0, 0, d), "COP 14 of 11")
	}
	if f := l.Flags(); len(f) != 1 || f[0].Count != 5 || !f[0].To.Equal(at.AddDate(0, 0, 4)) || f[0].Remedy == "" {
		t.Errorf("%+v", f)
	}
}
