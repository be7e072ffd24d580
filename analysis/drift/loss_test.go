package drift

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// The charge sensor of Li & Braun 2009 with its default coefficients: at a rated
// subcooling of 7.5 K and superheat of 10 K, 3.5 and 14 K mean 13.6 % less charge, of
// which superheat makes 0.4 * 4 K. Here subcooling stands alone.
func TestSensitivityIsThatOfTheChargeSensor(t *testing.T) {
	if got := 100 * perPercent; math.Abs(got-41.1) > 0.05 {
		t.Errorf("K_ch %.2f K, want 41.1", got)
	}
	if got := ((3.5 - 7.5) - perSuperheat*(14-10)) / perPercent; math.Abs(got+13.6) > 0.05 {
		t.Errorf("charge %.2f %%, want -13.6", got)
	}
}

// Over a reading's own width, evidence follows Bayes: a change of so many standard
// deviations under a belief of the same width as its uncertainty.
func TestEvidenceOfAReading(t *testing.T) {
	over := func(r reading, m move) float64 { return m.explains(r) - logDensity(r.size, r.sd*r.sd) }
	for _, c := range []struct{ size, sd, mean, width, want float64 }{
		{0, 1, 0, 1, -math.Log(2) / 2},            // nothing seen: the wider belief loses by its width
		{3, 1, 0, 1, 9./2 - 9./4 - math.Log(2)/2}, // N(3; 0, 2) over N(3; 0, 1)
		{3, 1, 3, 1, 9./2 - math.Log(2)/2},
	} {
		if got := over(reading{c.size, c.sd}, tells(c.mean, c.width, 0, 0)); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%+v: %.6f, want %.6f", c, got, c.want)
		}
	}
	// Of a belief about 0 that knows the sign, half is left: the right sign gains
	// nearly ln 2, the wrong one loses nearly all.
	r := reading{6, 1}
	either := over(r, tells(0, 2, 0, 0))
	if gain := over(r, tells(0, 2, 1, 0)) - either; math.Abs(gain-math.Ln2) > 1e-6 {
		t.Errorf("the right sign gains %.4f, want ln 2", gain)
	}
	if loss := over(r, tells(0, 2, -1, 0)) - either; loss > -10 {
		t.Errorf("the wrong sign loses %.1f only", loss)
	}
}

// lossOf is what is known of a machine's loss after its last visit.
func lossOf(t *testing.T, s register.System, visits []table.Visit, events ...register.Event) table.Cause {
	t.Helper()
	rows := Causes(s, events, visits, Options{})
	for _, c := range slices.Backward(rows) {
		if c.Kind == ChargeLoss && c.DecidedOn.Equal(visits[len(visits)-1].Start) {
			return c
		}
	}
	t.Fatal("no loss of charge is seen")
	return table.Cause{}
}

// A loss that goes on after subcooling is used up is not taken for a slower one: rate and
// loss stay those of the machine, drawn with the generic sensitivity.
func TestLossGoesOnOnceSubcoolingIsUsedUp(t *testing.T) {
	const machines = 40
	rng := rand.New(rand.NewPCG(70, 70))
	rates, losses, told := 0, 0, 0
	for range machines {
		m := machine{visits: 36, every: month, noise: 0.5, leak: 5 + 3*rng.Float64(), from: 8}
		c := lossOf(t, system(), m.draw(rng))
		rate := m.leak / perPercent
		gone := rate * years(time.Duration(m.visits-1-m.from)*m.every)
		rates += int(is(c.LossPctLo <= rate && rate <= c.LossPctHi))
		losses += int(is(c.LostLo <= gone && gone <= c.LostHi))
		told += int(is(c.Note == usedUp))
	}
	if rates < 36 || losses < 36 || told < 36 {
		t.Errorf("of %d machines the rate is held %d times, the loss %d times, and %d are told that subcooling is used up", machines, rates, losses, told)
	}
}

// A weighed addition shows how much a percent is worth at this machine, and takes what it
// put back off the loss. A line with the kilograms in grams does not.
func TestWeighedAdditionCalibrates(t *testing.T) {
	const own, refilled = 1.5 * perPercent, 20
	rng := rand.New(rand.NewPCG(71, 71))
	m := machine{visits: 30, every: month, noise: 0.4, leak: 4, from: 8}
	s := system()
	s.Charge.KG = 10
	visits := m.draw(rng)
	slices.SortFunc(visits, func(a, b table.Visit) int { return a.Start.Compare(b.Start) })
	back := m.leak * years(time.Duration(refilled-m.from)*m.every)
	for i := refilled; i < len(visits); i++ {
		visits[i].Subcooling += back
	}
	added := register.Event{Kind: register.ChargeAdded, Time: visits[refilled].Start.Add(-time.Hour), HasTime: true, KG: s.Charge.KG * back / own / 100}
	rate, gone := m.leak/own, m.leak*years(time.Duration(m.visits-1-refilled)*m.every)/own

	c := lossOf(t, s, visits, added)
	if c.CalibratedBy != 1 || c.LossPct < 0.75*rate || c.LossPct > 1.25*rate || c.Lost < 0.6*gone || c.Lost > 1.4*gone {
		t.Errorf("calibrated by %d: %.1f %% a year and %.1f %% gone, want about %.1f and %.1f", c.CalibratedBy, c.LossPct, c.Lost, rate, gone)
	}
	if width := math.Log(c.LossPctHi/c.LossPctLo) / 2; width > 0.35 {
		t.Errorf("the rate is known within a factor of %.2f only", math.Exp(width))
	}
	added.KG *= 1000
	if c := lossOf(t, s, visits, added); c.CalibratedBy != 0 {
		t.Errorf("%.0f kg into a machine of %.0f kg calibrate it", added.KG, s.Charge.KG)
	}
}

// Behind a fixed opening superheat bears half of a loss: the sensor's own figures for a
// machine that lost 10 %.
func TestFixedOpeningLosesBySuperheatToo(t *testing.T) {
	s := system()
	s.Expansion = register.Orifice
	if got := alone(s) + perSuperheat*(0.5*perPercent/perSuperheat); math.Abs(got-perPercent) > 1e-12 {
		t.Errorf("subcooling and superheat together fall by %.3f K per percent, want %.3f", got, perPercent)
	}
	rng := rand.New(rand.NewPCG(72, 72))
	visits := machine{visits: 30, every: month, noise: 0.4}.draw(rng)
	slices.SortFunc(visits, func(a, b table.Visit) int { return a.Start.Compare(b.Start) })
	const rate = 12.0 // % a year
	for i := 8; i < len(visits); i++ {
		gone := rate * years(visits[i].Start.Sub(visits[8].Start))
		visits[i].Subcooling -= gone * perPercent / 2
		visits[i].Superheat += gone * perPercent / 2 / perSuperheat
	}
	if c := lossOf(t, s, visits); c.LossPctLo > rate || c.LossPctHi < rate || c.LossPct < 0.8*rate {
		t.Errorf("%.1f %% a year (%.1f to %.1f), want about %.0f", c.LossPct, c.LossPctLo, c.LossPctHi, rate)
	}
}
