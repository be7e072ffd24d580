package main

import (
	"fmt"
	"strings"

	"rimelog/thermo"
)

// coldCritical is the critical temperature below which a refrigerant is above
// its critical point in a warm room, so that its pressure at standstill has no
// saturation to limit it.
const coldCritical = thermo.Kelvin(273.15 + 40)

// hazards are the usual cautions for whoever takes a figure to a machine, one
// per line (common practice, no source). Classes are those of ISO 817.
func hazards(r *thermo.Refrigerant) []string {
	list := []string{
		"Caution: circuits are under pressure and escaping gas displaces air; only licensed persons open them.",
		"Local codes and the supplier's safety data sheet come before anything printed here.",
	}
	class := r.SafetyClass()
	if class == "" || class == "-" {
		return append(list, fmt.Sprintf("%s has no safety class here: take it for flammable and toxic until its safety data sheet says otherwise.", r))
	}
	if strings.HasPrefix(class, "B") {
		list = append(list, fmt.Sprintf("%s is toxic (class %s): protective equipment, ventilation, a second person, a known way out.", r, class))
	}
	if flammable := map[string]string{"2L": "mildly flammable", "2": "flammable", "3": "highly flammable"}[class[1:]]; flammable != "" {
		list = append(list, fmt.Sprintf("%s is %s (class %s): no ignition source, ventilation, gas detector, tools rated for it, charge limits.", r, flammable, class))
	}
	if tc, pc := r.Critical(); tc > 0 && tc < coldCritical {
		list = append(list, fmt.Sprintf("%s has its critical point at %.0f °C and %.0f bar: standing warm, a circuit can exceed that pressure.", r, tc.Celsius(), float64(pc)/1e5))
	}
	return list
}

// gradeMeans explains an accuracy grade.
func gradeMeans(g thermo.Grade) string {
	switch g {
	case thermo.GradeA:
		return "reference equation of a pure fluid"
	case thermo.GradeB:
		return "blend, every pair fitted with a departure function"
	case thermo.GradeC:
		return "blend, every pair fitted"
	}
	return "blend with estimated pairs: not for decisions of a few kelvin"
}
