package report

import (
	"math"

	"rimelog/analysis/say"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A fact is one thing the register says, or does not say, about a system.
type fact struct {
	Label, Value string
	Unknown      bool
}

// facts are the register's fields in its order. An empty one is shown as unknown:
// it limits what can be said.
func facts(l say.Locale, s register.System) []fact {
	list := []fact{
		{Label: l.Text("System"), Value: s.ID},
		{Label: l.Text("Site"), Value: s.Site},
		{Label: l.Text("Kind"), Value: known(l, s.Kind.String())},
		{Label: l.Text("Refrigerant"), Value: s.RefrigerantName},
		{Label: l.Text("Design charge"), Value: charge(l, s.Charge)},
		{Label: l.Text("Expansion"), Value: known(l, s.Expansion.String())},
		{Label: l.Text("Receiver"), Value: known(l, s.Receiver.String())},
		{Label: l.Text("Accumulator"), Value: yesNo(l, s.Accumulator)},
		{Label: l.Text("Internal heat exchanger"), Value: yesNo(l, s.InternalHeatExchanger)},
		{Label: l.Text("Subcooler"), Value: yesNo(l, s.Subcooler)},
		{Label: l.Text("Head-pressure control"), Value: yesNo(l, s.HeadPressureControl)},
		{Label: l.Text("Head-pressure floor"), Value: figure(l, say.Pressure, s.HeadPressureFloor, 1)},
		{Label: l.Text("Hermetically sealed"), Value: yesNo(l, s.Hermetic)},
		{Label: l.Text("Leak detection fitted"), Value: yesNo(l, s.LeakDetection)},
		{Label: l.Text("Rules on refrigerants of"), Value: s.Jurisdiction},
		{Label: l.Text("Design superheat"), Value: figure(l, say.Difference, s.DesignSuperheat, 1)},
		{Label: l.Text("Design subcooling"), Value: figure(l, say.Difference, s.DesignSubcooling, 1)},
		{Label: l.Text("Altitude"), Value: figure(l, say.Altitude, s.Altitude, 0)},
		{Label: l.Text("Power meter covers"), Value: s.PowerCovers},
	}
	if s.Zone != nil {
		list = append(list, fact{Label: l.Text("Zone of its clocks"), Value: s.Zone.String()})
	} else {
		list = append(list, fact{Label: l.Text("Zone of its clocks")})
	}
	for i := range list {
		if list[i].Value == "" {
			list[i].Value, list[i].Unknown = l.Text("unknown"), true
		}
	}
	return list
}

// known is a word of the register, empty where it is unknown.
func known(l say.Locale, word string) string {
	if word == "unknown" {
		return ""
	}
	return l.Prose(word)
}

func yesNo(l say.Locale, s table.State) string {
	return l.Text([...]say.Text{table.Unknown: "", table.No: "no", table.Yes: "yes"}[s])
}

func figure(l say.Locale, q say.Quantity, v float64, digits int) string {
	if math.IsNaN(v) {
		return ""
	}
	return l.Figure(q, v, digits)
}

func charge(l say.Locale, c register.Charge) string {
	kg := figure(l, say.Mass, c.KG, 2)
	if kg == "" || c.Source == register.ChargeUnknown {
		return kg
	}
	return kg + " (" + l.Prose(c.Source.String()) + ")"
}
