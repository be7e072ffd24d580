package drift

import (
	"math"
	"testing"
)

// The charge sensor of Li & Braun 2009 with its default coefficients: at a rated
// subcooling of 7.5 K and superheat of 10 K, 3.5 and 14 K mean 13.6 % less charge, of
// which superheat makes 0.4 * 4 K. Here subcooling stands alone.
func TestSensitivityIsThatOfTheChargeSensor(t *testing.T) {
	const rated, subcooling, superheat = 7.5, 4.0, 0.4 * 4
	per := perKelvin * rated
	if got := 100 * per; math.Abs(got-41.1) > 0.05 {
		t.Errorf("K_ch %.2f K, want 41.1", got)
	}
	if got := -(subcooling + superheat) / per; math.Abs(got+13.6) > 0.05 {
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
