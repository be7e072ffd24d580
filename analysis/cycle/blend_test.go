package cycle

import (
	"math"
	"testing"
	"time"

	"rimelog/pipeline/register"
)

// R407C has a glide of 6.5 K at -10 °C and 4.9 K at 40 °C (calculated from REFPROP-grade
// equations; trade tables give the same). Half of its charge topped up in two years may
// have shifted what it boils at by an eighth of that; a pure refrigerant shifts nothing.
func TestBlendDoubtGrowsWithTopUps(t *testing.T) {
	day := func(y int) time.Time { return time.Date(y, 5, 1, 0, 0, 0, 0, time.UTC) }
	events := []register.Event{
		{Kind: register.Install, Time: day(2018), KG: 4}, {Kind: register.ChargeAdded, Time: day(2021), KG: 1},
		{Kind: register.ChargeAdded, Time: day(2022), KG: 1}, {Kind: register.ChargeAdded, Time: day(2024), KG: 4},
	}
	c := circuit(t, "R407C")
	c.System.Charge.KG = 4
	for _, tc := range []struct {
		year  int
		share float64
	}{{2020, 0}, {2021, 0.25}, {2023, 0.5}, {2025, 0}} {
		want := tc.share * 5.9 / 4
		if got := c.BlendDoubt(events, day(tc.year).Add(time.Hour)); math.Abs(got-want) > 0.1*want+1e-9 {
			t.Errorf("%d: %.2f K, want %.2f K", tc.year, got, want)
		}
	}
	if got := circuit(t, "R134a").BlendDoubt(events, day(2023)); got != 0 {
		t.Errorf("R134a: %.2f K, want none", got)
	}
	row := state(t, c, -5, 40, 8, 5, 70)
	in := c.Generic()
	before := absolute(c, &row, in)
	in.Blend = c.BlendDoubt(events, day(2023))
	within(t, "superheat's uncertainty", absolute(c, &row, in), math.Hypot(before, in.Blend), 1e-9)
	in.Blend = 0
	same := between(c, &row, in)
	in.Blend = 0.7
	within(t, "between visits the composition stays", between(c, &row, in), same, 1e-12)
}

// absolute and between are the standard uncertainties of superheat, and of its difference
// between visits.
func absolute(c *Circuit, row *Row, in Instruments) float64 {
	b, _ := c.Budgets(row, &in)
	return b[Superheat].Standard()
}

func between(c *Circuit, row *Row, in Instruments) float64 {
	_, b := c.Budgets(row, &in)
	return b[Superheat].Standard()
}
