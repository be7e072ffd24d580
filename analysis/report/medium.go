package report

import (
	"math"
	"slices"
	"strings"

	"rimelog/analysis/report/chart"
	"rimelog/analysis/say"
	"rimelog/pipeline/register"
)

// The table column outdoor_temp_c holds the outdoor air or, where that was not
// logged, what enters the coil on the weather's side; of machines that work against
// brine or water it is always these. Which of them it is at a system, its latest log
// tells; the order of the channels is that of packages cycle and steady.

// A source is a channel that may fill the column, and what it is called.
type source struct {
	column string
	place  say.Text
}

// sources are the channels that may fill the column, best first.
func (s System) sources() []source {
	switch s.Register.Kind {
	case register.GroundHeatPump:
		return []source{{"source_inlet_temp_c", "evaporator inlet brine"}}
	case register.WaterHeatPump:
		return []source{{"source_inlet_temp_c", "evaporator inlet water"}}
	case register.AirHeatPump:
		return []source{
			{"outdoor_temp_c", ""},
			{"source_inlet_temp_c", "evaporator inlet water"},
			{"evaporator_air_on_temp_c", "evaporator inlet air"},
		}
	}
	return []source{
		{"outdoor_temp_c", ""},
		{"condenser_air_on_temp_c", "condenser inlet air"},
		{"sink_inlet_temp_c", "condenser inlet water"},
	}
}

// medium is whose temperature the column holds; where the latest log has none, the
// first that it may be.
func (s System) medium() chart.Medium {
	all := s.sources()
	for _, c := range all {
		if s.logged(c.column) {
			return chart.Medium{Place: c.place, Say: s.say}
		}
	}
	return chart.Medium{Place: all[0].place, Say: s.say}
}

// logged tells whether the latest log holds anything of a channel.
func (s System) logged(column string) bool {
	return s.Log != nil && slices.ContainsFunc(s.Log.Columns, func(c Column) bool {
		return c.Name == column && slices.ContainsFunc(c.Values, func(v float64) bool { return !math.IsNaN(v) })
	})
}

// prose is text from the tables as sentences of this system's page: where the
// column holds another medium, the tables' outdoor words give way to its name.
func (s System) prose(text string) string {
	text = s.say.Prose(text)
	if m := s.medium(); m.Place != "" {
		outdoors, degrees := chart.Medium{Say: s.say}, s.say.Unit(say.Temperature)+" "
		text = strings.NewReplacer(degrees+outdoors.Words(), degrees+m.Words(), outdoors.Quantity(), m.Quantity(), capital(outdoors.Quantity()), capital(m.Quantity())).Replace(text)
	}
	return say.Sentence(say.Unparted(s.say.Dated(text)))
}

// at writes the medium's temperature at a visit.
func (s System) at(celsius float64) string {
	if math.IsNaN(celsius) {
		return s.say.Text("an unknown %s", s.medium().Quantity())
	}
	return s.medium().At(s.say.In(say.Temperature, celsius), 0)
}
