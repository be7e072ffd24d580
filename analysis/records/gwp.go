package records

import (
	"math"
	"slices"

	"rimelog/thermo"
)

// GWPOf is the global warming potential of a refrigerant over 100 years by the set,
// by mass from its components. False where a component has none.
func (s RuleSet) GWPOf(r *thermo.Refrigerant) (gwp float64, ok bool) {
	gwp, _ = s.part(r, func(string) bool { return true })
	return gwp, !math.IsNaN(gwp)
}

// Part is what the substances of a group are of a refrigerant: how much of its global
// warming potential they bring in, NaN where one of them has none in the set, and their
// share by mass.
func (s RuleSet) Part(r *thermo.Refrigerant, group string) (gwp, share float64) {
	members := s.Groups[group]
	return s.part(r, func(name string) bool { return slices.Contains(members, name) })
}

func (s RuleSet) part(r *thermo.Refrigerant, in func(name string) bool) (gwp, share float64) {
	for _, c := range r.Composition() {
		if in(c.Name) {
			gwp += c.MassFraction * s.substance(c.Name)
			share += c.MassFraction
		}
	}
	return gwp, share
}

// substance is the global warming potential of a single substance; NaN where the set has
// none.
func (s RuleSet) substance(name string) float64 {
	if g, ok := s.GWP[name]; ok {
		return g
	}
	set, ok := s.gwpSet()
	r, err := thermo.Lookup(name)
	if !ok || err != nil {
		return nan
	}
	g, ok := r.GWP(set)
	if !ok {
		return nan
	}
	return g
}

// Measure is what a rule tests, per kilogram of charge: tonnes of CO2 equivalent of a
// group, its kilograms, or the whole charge where it holds any of the group.
func (s RuleSet) Measure(r *thermo.Refrigerant, group, measure string) (perKG float64, ok bool) {
	gwp, share := s.Part(r, group)
	switch {
	case measure == TonnesCO2e:
		return gwp / 1000, !math.IsNaN(gwp)
	case measure == Kilograms:
		return share, true
	case share > 0:
		return 1, true
	}
	return 0, true
}
