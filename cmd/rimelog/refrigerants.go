package main

import (
	"context"
	"flag"
	"fmt"
	"math"
	"strings"

	"rimelog/thermo"
)

func refrigerantsCommand() command {
	return command{
		name: "refrigerants", takes: "[REFRIGERANT...]",
		short: "lists the refrigerants with range, accuracy grade, safety class, GWP and sources",
		long: `Lists all refrigerants, or those named. Composition is in mass %. The range is that of the
equations in °C; saturation ends at the critical point. GWP is over 100 years, in three
published sets; a blend's is worked out from its components. Accuracy grades:
  A  pure fluid, reference equation
  B  blend, every pair of components fitted with a departure function
  C  blend, every pair fitted
  D  blend, some pair estimated: saturation may be off by a few kelvin

Safety classes are those of ISO 817 and ASHRAE 34: A or B for lower or higher toxicity; 1, 2L,
2, 3 for no to high flammability; - where none is known here, which is no proof of safety.
With -json a list of objects: name, grade, composition (name, mass_fraction),
molar_mass_kg_mol, temp_min_c, temp_max_c, safety_class, gwp (by set, null where unknown).`,
		setup: func(*flag.FlagSet) action { return listRefrigerants },
	}
}

func listRefrigerants(_ context.Context, out *console, operands []string) error {
	list, err := named(operands)
	if err != nil {
		return err
	}
	if out.json {
		rows := []refrigerantJSON{}
		for _, r := range list {
			rows = append(rows, newRefrigerantJSON(r))
		}
		out.print(rows)
		return nil
	}
	printRefrigerants(out, list)
	return nil
}

// named finds the refrigerants asked for, all when none is.
func named(names []string) ([]*thermo.Refrigerant, error) {
	if len(names) == 0 {
		names = thermo.Names()
	}
	var list []*thermo.Refrigerant
	for _, n := range names {
		r, err := thermo.Lookup(n)
		if err != nil {
			return nil, usagef("%s", sentence(err, nil))
		}
		list = append(list, r)
	}
	return list, nil
}

// A refrigerantJSON is one refrigerant for other programs: a stable interface.
type refrigerantJSON struct {
	Name        string              `json:"name"`
	Grade       string              `json:"grade"`
	Composition []componentJSON     `json:"composition"`
	MolarMass   float64             `json:"molar_mass_kg_mol"`
	TempMin     float64             `json:"temp_min_c"`
	TempMax     float64             `json:"temp_max_c"`
	SafetyClass string              `json:"safety_class"`
	GWP         map[string]*float64 `json:"gwp"` // by set; null where unknown
}

type componentJSON struct {
	Name         string  `json:"name"`
	MassFraction float64 `json:"mass_fraction"`
}

func newRefrigerantJSON(r *thermo.Refrigerant) refrigerantJSON {
	limits := r.Range()
	j := refrigerantJSON{
		Name: r.Name(), Grade: r.Grade().String(), MolarMass: rounded(r.MolarMass(), 9),
		TempMin: rounded(limits.TMin.Celsius(), 6), TempMax: rounded(limits.TMax.Celsius(), 6),
		SafetyClass: r.SafetyClass(), GWP: map[string]*float64{},
	}
	for _, c := range r.Composition() {
		j.Composition = append(j.Composition, componentJSON{c.Name, rounded(c.MassFraction, 9)})
	}
	for _, set := range gwpSets {
		j.GWP[set.String()] = nil
		if v, ok := r.GWP(set); ok {
			v = rounded(v, 6)
			j.GWP[set.String()] = &v
		}
	}
	return j
}

// gwpSets are the sets in the order of their years.
var gwpSets = []thermo.GWPSet{thermo.GWPAR4, thermo.GWPAR5, thermo.GWPEU2024}

// rounded takes the noise of binary fractions off a value.
func rounded(v float64, decimals int) float64 {
	scale := math.Pow10(decimals)
	return math.Round(v*scale) / scale
}

// printRefrigerants prints one line each, and the works they rest on below.
func printRefrigerants(out *console, list []*thermo.Refrigerant) {
	var works works
	fmt.Fprintf(out.out, "%-13s %-5s %-5s %15s %8s %8s %8s  %s\n", "", "grade", "class", "range °C", "GWP AR4", "GWP AR5", "GWP 2024", "composition, mass %; sources")
	for _, r := range list {
		limits := r.Range()
		fmt.Fprintf(out.out, "%-13s %-5s %-5s %6.1f to %5.1f", r, r.Grade(), r.SafetyClass(), limits.TMin.Celsius(), limits.TMax.Celsius())
		for _, set := range gwpSets {
			fmt.Fprintf(out.out, " %8s", gwp(r, set))
		}
		fmt.Fprintf(out.out, "  %s %s%s\n", composition(r), works.cite(r.Source().Cite), estimated(r))
	}
	fmt.Fprintln(out.out, "\nGWP sets: AR4 as in Regulation (EU) 517/2014, AR5, and Regulation (EU) 2024/573. Sources:")
	for i, w := range works {
		fmt.Fprintf(out.out, "%4d  %s\n", i+1, w)
	}
	fmt.Fprint(out.out, "\nCaution: classes are a first orientation. The supplier's safety data sheet and local codes\nprevail; circuits are under pressure and only licensed persons open them.\n")
}

func gwp(r *thermo.Refrigerant, set thermo.GWPSet) string {
	v, ok := r.GWP(set)
	switch {
	case !ok:
		return "-"
	case v < 10:
		return fmt.Sprintf("%.3g", v)
	}
	return fmt.Sprintf("%.0f", v)
}

func composition(r *thermo.Refrigerant) string {
	if r.Pure() {
		return "pure"
	}
	var parts []string
	for _, c := range r.Composition() {
		parts = append(parts, fmt.Sprintf("%s %.4g", c.Name, c.MassFraction*100))
	}
	return strings.Join(parts, ", ")
}

func estimated(r *thermo.Refrigerant) string {
	if pairs := r.Source().Estimated; len(pairs) > 0 {
		return " estimated: " + strings.Join(pairs, " ")
	}
	return ""
}

// works collects what is cited, in order of first mention.
type works []string

// cite returns the numbers of the works in a citation.
func (w *works) cite(text string) string {
	var marks []string
	for work := range strings.SplitSeq(text, "; ") {
		marks = append(marks, fmt.Sprint(w.number(work)))
	}
	return "[" + strings.Join(marks, " ") + "]"
}

func (w *works) number(work string) int {
	for i, known := range *w {
		if known == work {
			return i + 1
		}
	}
	*w = append(*w, work)
	return len(*w)
}
