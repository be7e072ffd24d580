package report

import (
	"strings"

	"rimelog/thermo"
)

// A caution is a hazard and what it asks for. The list is the usual one of the
// trade (common practice, no source); safety classes are those of ISO 817.
type caution struct{ Head, Text string }

// cautions are what to mind before somebody works on a system with the refrigerant.
func cautions(refrigerant string) []caution {
	list := []caution{{"First", "Findings are indications from logged data. Measure again before you act. Local law, codes, the maker's instructions and the safety data sheet prevail over anything on this page; only licensed persons may open a circuit, add or recover refrigerant, or carry out leak checks."}}
	list = append(list, refrigerantCautions(refrigerant)...)
	return append(list,
		caution{"Pressure", "A circuit stays under pressure when it is switched off. Use hoses and fittings rated for the refrigerant; liquid shut in between two closed valves can burst a pipe."},
		caution{"Breathing", "Refrigerant gas displaces air, first in pits, cellars and cold rooms. Ventilate before you go in."},
		caution{"Heat, cold, movement", "Hot-gas lines and compressors burn; liquid refrigerant freezes skin and eyes. Fans may start by themselves."},
		caution{"Electricity", "Isolate, lock, and verify that it is dead; capacitors hold their charge. Work on live parts is for qualified electricians."},
		caution{"Refrigerant", "Do not vent it. Do not top up a system that loses refrigerant before the leak is repaired. Never charge by a chart alone."},
	)
}

func refrigerantCautions(name string) []caution {
	if name == "" {
		return []caution{{"Refrigerant unknown", "The register does not name it. Treat it as flammable and toxic until the nameplate says otherwise."}}
	}
	r, err := thermo.Lookup(name)
	if err != nil {
		return []caution{{"Safety class unknown", "The safety class of " + name + " is not known here. Look it up in the safety data sheet before you start."}}
	}
	return append(classCautions(r.Name(), r.SafetyClass()), highPressure(r)...)
}

func classCautions(name, class string) (list []caution) {
	named := name + ", class " + class
	if class == "" || class == "-" {
		return []caution{{"Safety class unknown", "The safety class of " + name + " is not known here. Look it up in the safety data sheet before you start."}}
	}
	if strings.HasPrefix(class, "B") {
		list = append(list, caution{"Toxic: " + named, "Wear the protective equipment the safety data sheet asks for, work with a second person, know the emergency route before you start."})
	}
	switch strings.TrimLeft(class, "AB") {
	case "3":
		list = append(list, caution{"Highly flammable: " + named, "No source of ignition; ventilate; gas detector on; tools and recovery machine rated for flammable gas; keep to the charge limits."})
	case "2":
		list = append(list, caution{"Flammable: " + named, "No source of ignition; ventilate; gas detector on; tools and recovery machine rated for flammable gas."})
	case "2L":
		list = append(list, caution{"Mildly flammable: " + named, "No source of ignition; ventilate; gas detector on; tools and recovery machine rated for flammable gas."})
	}
	if len(list) == 0 {
		list = append(list, caution{named, "Not flammable and of low toxicity in that class. It can still suffocate, and in a fire it breaks down into toxic gases."})
	}
	return list
}

// highPressure warns of carbon dioxide: its standstill pressure is far above that
// of other refrigerants.
func highPressure(r *thermo.Refrigerant) []caution {
	if r.Name() != "R744" {
		return nil
	}
	return []caution{{"Very high pressure: R744", "At standstill it can exceed 60 to 80 bar, and relief valves may open when the power is off. Carbon dioxide suffocates without warning."}}
}
