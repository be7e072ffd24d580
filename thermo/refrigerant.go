package thermo

import (
	"slices"
	"strings"
)

// Refrigerant is one refrigerant at its nominal composition, with the datum
// its enthalpies and entropies are counted from. It is read-only and may be
// shared by goroutines; what it needs is computed at first use and kept.
type Refrigerant struct {
	entry *entry
	datum Datum
}

// Grade says how well founded the properties are.
type Grade uint8

// The grades.
const (
	GradeA Grade = iota // pure fluid, reference equation
	GradeB              // blend, every pair fitted with a departure function
	GradeC              // blend, every pair fitted
	GradeD              // blend, some pair estimated
)

// String is the grade's letter.
func (g Grade) String() string { return "ABCD"[g : g+1] }

// Source says where the equations come from.
type Source struct {
	Cite      string   // the works, joined by "; "
	Estimated []string // pairs without published parameters, "R22+R124"
}

// Limits is the range of the equations: outside it every call is an error.
type Limits struct {
	TMin, TMax Kelvin
	PMax       Pascal
}

// Name is the canonical designation, "R134a", "R1234ze(E)".
func (r *Refrigerant) Name() string { return r.entry.name }

// String is the canonical designation.
func (r *Refrigerant) String() string { return r.entry.name }

// SafetyClass is the class of ISO 817 and ASHRAE 34, "A2L", or "-" when the
// refrigerant has none. It never replaces the supplier's safety data sheet or
// local codes.
func (r *Refrigerant) SafetyClass() string { return r.entry.class }

// Composition lists the components by mass.
func (r *Refrigerant) Composition() []Component { return slices.Clone(r.entry.parts) }

// Pure reports whether the refrigerant is a single substance.
func (r *Refrigerant) Pure() bool { return len(r.entry.parts) == 1 }

// GWP is the global warming potential in the given set, for a blend by mass
// from its components. ok is false when a component has none in that set.
func (r *Refrigerant) GWP(set GWPSet) (gwp float64, ok bool) {
	for _, p := range r.entry.parts {
		e := registry().byName[p.Name]
		if e == nil || set >= gwpSets || e.gwp[set] < 0 {
			return 0, false
		}
		gwp += p.MassFraction * e.gwp[set]
	}
	return gwp, true
}

// MolarMass is the molar mass at the nominal composition, kg/mol.
func (r *Refrigerant) MolarMass() float64 {
	m, err := r.entry.core.model()
	if err != nil {
		return 0
	}
	return m.m
}

// Critical is the critical point: the published one of a pure fluid, for a
// blend where the model's bubble and dew lines meet.
func (r *Refrigerant) Critical() (Kelvin, Pascal) {
	l, err := r.entry.core.lines()
	if err != nil {
		return 0, 0
	}
	return Kelvin(l.tc), Pascal(l.pc)
}

// Range is the range of the equations. A blend's lower limit is the mean of
// its components' weighted by amount, but not below half its critical
// temperature or 200 K; its upper limits are the lowest of its components'.
func (r *Refrigerant) Range() Limits {
	m, errM := r.entry.core.model()
	l, errL := r.entry.core.lines()
	if errM != nil || errL != nil {
		return Limits{}
	}
	return Limits{Kelvin(l.tMin), Kelvin(m.tMax), Pascal(m.pMax)}
}

// Grade says how well founded the properties are.
func (r *Refrigerant) Grade() Grade {
	m, err := r.entry.core.model()
	switch {
	case err != nil || len(m.mix.Estimated()) > 0:
		return GradeD
	case m.mix.Len() == 1:
		return GradeA
	case m.mix.Departs():
		return GradeB
	}
	return GradeC
}

// Source names the works the properties come from.
func (r *Refrigerant) Source() Source {
	m, err := r.entry.core.model()
	if err != nil {
		return Source{}
	}
	var cites []string
	for _, c := range m.mix.Sources() {
		if !slices.Contains(cites, c) {
			cites = append(cites, c)
		}
	}
	return Source{Cite: strings.Join(cites, "; "), Estimated: slices.Clone(m.mix.Estimated())}
}
