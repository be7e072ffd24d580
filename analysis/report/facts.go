package report

import (
	"math"

	"rimelog/analysis/report/say"
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
func facts(s register.System) []fact {
	list := []fact{
		{Label: "System", Value: s.ID},
		{Label: "Site", Value: s.Site},
		{Label: "Kind", Value: known(s.Kind.String())},
		{Label: "Refrigerant", Value: s.RefrigerantName},
		{Label: "Design charge", Value: charge(s.Charge)},
		{Label: "Expansion", Value: known(s.Expansion.String())},
		{Label: "Receiver", Value: known(s.Receiver.String())},
		{Label: "Accumulator", Value: yesNo(s.Accumulator)},
		{Label: "Internal heat exchanger", Value: yesNo(s.InternalHeatExchanger)},
		{Label: "Subcooler", Value: yesNo(s.Subcooler)},
		{Label: "Head-pressure control", Value: yesNo(s.HeadPressureControl)},
		{Label: "Head-pressure floor", Value: figure(s.HeadPressureFloor/100, 1, "bar absolute")},
		{Label: "Hermetically sealed", Value: yesNo(s.Hermetic)},
		{Label: "Leak detection fitted", Value: yesNo(s.LeakDetection)},
		{Label: "Rules on refrigerants of", Value: s.Jurisdiction},
		{Label: "Design superheat", Value: figure(s.DesignSuperheat, 1, "K")},
		{Label: "Design subcooling", Value: figure(s.DesignSubcooling, 1, "K")},
		{Label: "Altitude", Value: figure(s.Altitude, 0, "m")},
		{Label: "Power meter covers", Value: s.PowerCovers},
	}
	if s.Zone != nil {
		list = append(list, fact{Label: "Zone of its clocks", Value: s.Zone.String()})
	} else {
		list = append(list, fact{Label: "Zone of its clocks"})
	}
	for i := range list {
		if list[i].Value == "" {
			list[i].Value, list[i].Unknown = "unknown", true
		}
	}
	return list
}

// known is a word of the register, empty where it is unknown.
func known(word string) string {
	if word == "unknown" {
		return ""
	}
	return word
}

func yesNo(s table.State) string {
	return [...]string{table.Unknown: "", table.No: "no", table.Yes: "yes"}[s]
}

func figure(v float64, digits int, unit string) string {
	if math.IsNaN(v) {
		return ""
	}
	return say.With(say.Number(v, digits), unit)
}

func charge(c register.Charge) string {
	kg := figure(c.KG, 2, "kg")
	if kg == "" || c.Source == register.ChargeUnknown {
		return kg
	}
	return kg + " (" + c.Source.String() + ")"
}
