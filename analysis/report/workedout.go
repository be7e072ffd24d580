package report

import (
	"math"

	"rimelog/analysis/report/say"
	"rimelog/pipeline/table"
)

// A quantity is something else that was worked out for a visit, besides the
// features that are compared over time.
type quantity struct {
	label  string
	value  func(table.Visit) float64
	digits int
	unit   string
}

// quantities are what a reader asks of a visit, in the order of the circuit. Each
// label says by which route and for which boundary the figure holds.
func quantities() []quantity {
	return []quantity{
		{"Evaporating, dew", func(v table.Visit) float64 { return v.EvaporatingTemp }, 1, "°C"},
		{"Condensing, dew", func(v table.Visit) float64 { return v.CondensingTemp }, 1, "°C"},
		{"Pressure ratio, absolute", func(v table.Visit) float64 { return v.DischargePressure / v.SuctionPressure }, 2, ""},
		{"Isentropic efficiency, from the gas states", func(v table.Visit) float64 { return v.IsentropicEfficiency }, 2, ""},
		{"Cooling COP, compressor, from the states", func(v table.Visit) float64 { return v.CoolingCOP }, 2, ""},
		{"Heating COP, compressor, from the states", func(v table.Visit) float64 { return v.HeatingCOP }, 2, ""},
		{"Carnot fraction, internal, dew", func(v table.Visit) float64 { return v.CarnotFraction }, 2, ""},
		{"Heat to the condenser's water, from its flow", func(v table.Visit) float64 { return v.SinkHeat }, 1, "kW"},
		{"Electric power, as metered", func(v table.Visit) float64 { return v.Power }, 2, "kW"},
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
			facts = append(facts, fact{Label: q.label, Value: say.With(say.Number(v, q.digits), q.unit)})
		}
	}
	return facts, say.Day(visit.Start, s.Zone())
}
