package report

import (
	"strings"

	"rimelog/analysis/say"
	"rimelog/thermo"
)

// A caution is a hazard and what it asks for. The list is the usual one of the
// trade (common practice, no source); safety classes are those of ISO 817.
type caution struct{ Head, Text string }

// cautions are what to mind before somebody works on a system with the refrigerant.
func cautions(l say.Locale, refrigerant string) []caution {
	list := []caution{{l.Text("First"), l.Text("Findings are indications from logged data. Measure again before you act. Local law, codes, the maker's instructions and the safety data sheet prevail over anything on this page; only licensed persons may open a circuit, add or recover refrigerant, or carry out leak checks.")}}
	list = append(list, refrigerantCautions(l, refrigerant)...)
	return append(list,
		caution{l.Text("Pressure"), l.Text("A circuit stays under pressure when it is switched off. Use hoses and fittings rated for the refrigerant; liquid shut in between two closed valves can burst a pipe.")},
		caution{l.Text("Breathing"), l.Text("Refrigerant gas displaces air, first in pits, cellars and cold rooms. Ventilate before you go in.")},
		caution{l.Text("Heat, cold, movement"), l.Text("Hot-gas lines and compressors burn skin; liquid refrigerant freezes skin and eyes. Fans may start by themselves.")},
		caution{l.Text("Electricity"), l.Text("Isolate, lock, and verify that it is dead; capacitors hold their charge. Work on live parts is for qualified electricians.")},
		caution{l.Text("Refrigerant"), l.Text("Do not vent it. Do not top up a system that loses refrigerant before the leak is repaired. Never charge by a chart alone.")},
	)
}

func refrigerantCautions(l say.Locale, name string) []caution {
	if name == "" {
		return []caution{{l.Text("Refrigerant unknown"), l.Text("The register does not name it. Treat it as flammable and toxic until the nameplate says otherwise.")}}
	}
	r, err := thermo.Lookup(name)
	if err != nil {
		return []caution{{l.Text("Safety class unknown"), l.Text("The safety class of %s is not known here. Look it up in the safety data sheet before you start.", name)}}
	}
	return append(classCautions(l, r.Name(), r.SafetyClass()), highPressure(l, r)...)
}

func classCautions(l say.Locale, name, class string) (list []caution) {
	named := l.Text("%s, class %s", name, class)
	if class == "" || class == "-" {
		return []caution{{l.Text("Safety class unknown"), l.Text("The safety class of %s is not known here. Look it up in the safety data sheet before you start.", name)}}
	}
	if strings.HasPrefix(class, "B") {
		list = append(list, caution{l.Text("Toxic: %s", named), l.Text("Wear the protective equipment the safety data sheet asks for, work with a second person, know the emergency route before you start.")})
	}
	switch strings.TrimLeft(class, "AB") {
	case "3":
		list = append(list, caution{l.Text("Highly flammable: %s", named), l.Text("No source of ignition; ventilate; gas detector on; tools and recovery machine rated for flammable gas; keep to the charge limits.")})
	case "2":
		list = append(list, caution{l.Text("Flammable: %s", named), l.Text("No source of ignition; ventilate; gas detector on; tools and recovery machine rated for flammable gas.")})
	case "2L":
		list = append(list, caution{l.Text("Mildly flammable: %s", named), l.Text("No source of ignition; ventilate; gas detector on; tools and recovery machine rated for flammable gas.")})
	}
	if len(list) == 0 {
		list = append(list, caution{named, l.Text("Not flammable and of low toxicity in that class. It can still suffocate, and in a fire it breaks down into toxic gases.")})
	}
	return list
}

// highPressure warns of carbon dioxide: its standstill pressure is far above that
// of other refrigerants.
func highPressure(l say.Locale, r *thermo.Refrigerant) []caution {
	if r.Name() != "R744" {
		return nil
	}
	return []caution{{l.Text("Very high pressure: R744"), l.Text("At standstill it can exceed %s, and relief valves may open when the power is off. Carbon dioxide suffocates without warning.",
		l.Range(l.In(say.Pressure, 6100), l.In(say.Pressure, 8100), 0, l.Unit(say.Pressure)))}}
}
