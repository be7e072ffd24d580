package records

import (
	"fmt"
	"slices"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// bans are those that hit the system's refrigerant on the day, or will. Of one passage
// only the next to come is listed besides the one in force.
func (c *circuit) bans() (out []table.ServiceBan) {
	if c.fluid == nil || c.gone {
		return nil
	}
	for _, s := range c.sets {
		gwp, known := s.GWPOf(c.fluid)
		for _, b := range s.Bans {
			from := first(s, b.Source)
			over := b.To != nil && b.To.Time.Before(c.asOf)
			hit, doubt := c.hit(s, b, gwp)
			if !known || over || !hit {
				continue
			}
			out = append(out, table.ServiceBan{
				System: c.id, Refrigerant: c.fluid.Name(), GWP: gwp, From: from, InForce: !from.After(c.asOf), Banned: b.Banned, Allowed: b.Allowed,
				Doubt: both(doubt, b.Note), Jurisdiction: s.Jurisdiction, Rule: s.passage(b.Source), Standing: b.Standing,
			})
		}
	}
	slices.SortStableFunc(out, func(a, b table.ServiceBan) int { return a.From.Compare(b.From) })
	return out
}

// first is the first day of a rule.
func first(s RuleSet, r Source) time.Time {
	if r.From != nil {
		return r.From.Time
	}
	return s.From.Time
}

// hit tells whether a ban is about the system, and what would have to be known to be
// sure. What is not known counts as hit.
func (c *circuit) hit(s RuleSet, b BanRule, gwp float64) (hit bool, doubt string) {
	if gwp < b.GWPFrom {
		return false, ""
	}
	if b.Group != "" {
		if _, share := s.Part(c.fluid, b.Group); share == 0 {
			return false, ""
		}
	}
	use := branch(c.Register.Kind)
	switch {
	case use == "":
		doubt = "kind is empty or other in systems.csv"
	case !slices.Contains(b.Uses, use), b.ExceptChillers && c.Register.Kind == register.Chiller:
		return false, ""
	}
	if b.CO2eFrom == 0 {
		return true, doubt
	}
	lo, hi := gwp*c.charge.Lo/1000, gwp*c.charge.Hi/1000
	switch {
	case !c.charge.Known():
		return true, both(doubt, fmt.Sprintf("its charge is not known; concerned from %s t CO2e", number(b.CO2eFrom)))
	case hi < b.CO2eFrom:
		return false, ""
	case lo < b.CO2eFrom:
		doubt = both(doubt, fmt.Sprintf("its charge is %s t CO2e; concerned from %s", between(lo, hi), number(b.CO2eFrom)))
	}
	return true, doubt
}
