package report

import (
	"math"

	"rimelog/analysis/say"
	"rimelog/pipeline/table"
)

// A quantity is something else that was worked out for a visit, besides the
// features that are compared over time.
type quantity struct {
	label  say.Text
	value  func(table.Visit) float64
	digits int
	of     say.Quantity
}

// quantities are what a reader asks of a visit, in the order of the circuit. Each
// label says by which route and for which boundary the figure holds.
func quantities() []quantity {
	return []quantity{
		{"Evaporating, dew", func(v table.Visit) float64 { return v.EvaporatingTemp }, 1, say.Temperature},
		{"Condensing, dew", func(v table.Visit) float64 { return v.CondensingTemp }, 1, say.Temperature},
		{"Pressure ratio, absolute", func(v table.Visit) float64 { return v.DischargePressure / v.SuctionPressure }, 2, say.Pure},
		{"Isentropic efficiency, from the gas states", func(v table.Visit) float64 { return v.IsentropicEfficiency }, 2, say.Pure},
		{"Cooling COP, compressor, from the states", func(v table.Visit) float64 { return v.CoolingCOP }, 2, say.Pure},
		{"Heating COP, compressor, from the states", func(v table.Visit) float64 { return v.HeatingCOP }, 2, say.Pure},
		{"Carnot fraction, internal, dew", func(v table.Visit) float64 { return v.CarnotFraction }, 2, say.Pure},
		{"Heat to the condenser's water, from its flow", func(v table.Visit) float64 { return v.SinkHeat }, 1, say.Heat},
		{"Electric power, as metered", func(v table.Visit) float64 { return v.Power }, 2, say.Electric},
	}
}

// workedOut is what else was worked out for the latest visit, where it could be,
// and the visit's day.
func (s System) workedOut() (facts []fact, of string) {
	if len(s.Visits) == 0 {
		return nil, ""
	}
	visit := s.Visits[len(s.Visits)-1]
	for _, q := range quantities() {
		if v := q.value(visit); !math.IsNaN(v) {
			facts = append(facts, fact{Label: s.say.Text(q.label), Value: s.say.Figure(q.of, v, q.digits)})
		}
	}
	return facts, s.say.Day(visit.Start, s.Zone())
}
