package report

import (
	"math"

	"rimelog/analysis/say"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A quantity is something else that was worked out for a visit, besides the
// features that are compared over time.
type quantity struct {
	label  say.Text
	value  func(table.Visit) float64
	digits int
	of     say.Quantity
	u      func(table.Visit) float64 // its standard uncertainty; nil where none is kept
	tells  func(register.Kind) bool  // of which systems it tells a reader something; nil: of all
}

// quantities are what a reader asks of a visit, in the order of the circuit. Each
// label says by which route and for which boundary the figure holds.
func quantities() []quantity {
	return []quantity{
		{"Evaporating, dew", func(v table.Visit) float64 { return v.EvaporatingTemp }, 1, say.Temperature, nil, nil},
		{"Condensing, dew", func(v table.Visit) float64 { return v.CondensingTemp }, 1, say.Temperature, nil, nil},
		{"Pressure ratio, absolute", func(v table.Visit) float64 { return v.DischargePressure / v.SuctionPressure }, 2, say.Pure, nil, nil},
		{"Isentropic efficiency, from the gas states", func(v table.Visit) float64 { return v.IsentropicEfficiency }, 2, say.Pure,
			func(v table.Visit) float64 { return v.IsentropicEfficiencyU }, nil},
		{"Cooling COP, compressor, from the states", func(v table.Visit) float64 { return v.CoolingCOP }, 2, say.Pure, func(v table.Visit) float64 { return v.CoolingCOPU }, nil},
		{"Heating COP, compressor, from the states", func(v table.Visit) float64 { return v.HeatingCOP }, 2, say.Pure, func(v table.Visit) float64 { return v.HeatingCOPU }, mayHeat},
		{"Carnot fraction, internal, dew", func(v table.Visit) float64 { return v.CarnotFraction }, 2, say.Pure, nil, nil},
		{"Heat to the condenser's water, from its flow", func(v table.Visit) float64 { return v.SinkHeat }, 1, say.Heat, nil, nil},
		{"Electric power, as metered", func(v table.Visit) float64 { return v.Power }, 2, say.Electric, nil, nil},
	}
}

// mayHeat tells whether somebody may ask such systems for their heat. What cools goods alone gives its heat
// away.
func mayHeat(k register.Kind) bool {
	return k != register.ColdRoom && k != register.FreezerRoom && k != register.DisplayCabinet
}

// workedOut is what else was worked out for the latest visit, where it could be,
// and the visit's day.
func (s System) workedOut() (facts []fact, of string) {
	if len(s.Visits) == 0 {
		return nil, ""
	}
	visit := s.Visits[len(s.Visits)-1]
	for _, q := range quantities() {
		v := q.value(visit)
		if math.IsNaN(v) || q.tells != nil && !q.tells(s.Register.Kind) {
			continue
		}
		text := s.say.Figure(q.of, v, q.digits)
		if q.u != nil && q.u(visit) > 0 {
			text = s.say.PlusMinus(v, q.u(visit), q.digits, "")
		}
		facts = append(facts, fact{Label: s.say.Text(q.label), Value: text})
	}
	return facts, s.say.Day(visit.Start, s.Zone())
}
