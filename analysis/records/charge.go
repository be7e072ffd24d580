package records

import (
	"math"
	"strings"

	"rimelog/pipeline/register"
)

var nan = math.NaN()

// A Charge is the full charge of a system, kg, as exactly as it is known. All of it is
// NaN where nobody knows.
type Charge struct {
	Lo, Mid, Hi float64
	By          string // how it is known
}

// estimateSpread is how far a charge that was estimated may be off without the register
// saying so, as a share of it (common practice, no source).
const estimateSpread = 0.25

// Known tells whether anything is known of the charge.
func (c Charge) Known() bool { return c.Mid > 0 }

// Exact tells whether the charge is no range.
func (c Charge) Exact() bool { return c.Known() && c.Lo == c.Hi }

// String writes the charge for people.
func (c Charge) String() string {
	switch {
	case !c.Known():
		return "unknown"
	case c.Exact():
		return number(c.Mid) + " kg"
	}
	return number(c.Lo) + " to " + number(c.Hi) + " kg"
}

// chargeOf is the full charge by the register, or by what the record says was filled
// in at installation or retrofit.
func (c *circuit) chargeOf() Charge {
	s := c.Register
	kg := s.Charge.KG
	switch {
	case s.ChargeLow >= 0 && s.ChargeHigh > 0:
		mid := kg
		if !(kg > 0) {
			mid = (s.ChargeLow + s.ChargeHigh) / 2
		}
		return Charge{s.ChargeLow, mid, s.ChargeHigh, "register, as a range"}
	case kg > 0 && s.Charge.Source == register.ChargeEstimated:
		return Charge{kg * (1 - estimateSpread), kg, kg * (1 + estimateSpread), "register, estimated: taken as within 25 %"}
	case kg > 0:
		return Charge{kg, kg, kg, "register"}
	}
	for i := len(c.events) - 1; i >= 0; i-- {
		e := c.events[i]
		if (e.Kind == register.Install || e.Kind == register.Retrofit) && e.KG > 0 {
			return Charge{e.KG, e.KG, e.KG, "filled in at the " + e.Kind.String() + " of " + date(e.day)}
		}
	}
	return Charge{nan, nan, nan, "nobody says"}
}

// amount is what a rule tests of the system's charge: at its least and at its most.
func (c *circuit) amount(s RuleSet, group, measure string) (lo, hi float64, ok bool) {
	if c.fluid == nil || !c.charge.Known() {
		return nan, nan, false
	}
	perKG, ok := s.Measure(c.fluid, group, measure)
	return tidy(perKG * c.charge.Lo), tidy(perKG * c.charge.Hi), ok
}

// tidy takes away what floating point adds behind the ninth digit, so that 5 t made of
// fractions by mass are 5 t. NaN stays NaN.
func tidy(x float64) float64 { return math.Round(x*1e9) / 1e9 }

// tested says what the rules test of the system, part by part.
func (c *circuit) tested() string {
	var out []string
	for _, s := range c.sets {
		for _, r := range s.LeakChecks {
			lo, hi, ok := c.amount(s, r.Group, r.Measure)
			if !ok || hi == 0 {
				continue
			}
			out = append(out, r.Group+": "+between(lo, hi)+" "+unitOf(r.Measure)+", duty from "+number(r.Classes[0].From))
		}
	}
	return strings.Join(out, "; ")
}

// unitOf is the unit of a measure for people.
func unitOf(measure string) string {
	if measure == TonnesCO2e {
		return TonnesCO2e
	}
	return "kg"
}
