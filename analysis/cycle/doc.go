// Package cycle works out the refrigeration cycle behind what was measured.
//
//  1. Read takes the channels of a frame of samples as columns of float64.
//  2. Circuit.Derive adds what follows for each sample: saturation temperatures,
//     superheat, subcooling, temperature differences, water-side heat.
//  3. Circuit.Compressor adds what follows from the mean of a window: isentropic
//     efficiency, COP and Carnot fraction, by the route of the refrigerant states.
//  4. Circuit.Corrected takes off what calibrations say and what clamps take from the
//     air around; Circuit.Budgets gives the uncertainty of a row of values, absolute and
//     between visits with the same instruments.
//
// Superheat uses the dew temperature, subcooling the bubble temperature; called
// evaporating and condensing temperature here is the dew temperature. A value
// that cannot be worked out is a gap with a reason (Lack), never a number, and a
// gap in one column never touches another. Nothing is extrapolated.
package cycle

import (
	"math"

	"rimelog/pipeline/table"
)

// A Quantity is one column of values: measured, or derived from what was measured.
type Quantity int

// The measured quantities, by their place in the circuit. Media are chosen by
// Circuit.Derive from the channels there are.
const (
	SuctionPressure   Quantity = iota // kPa absolute
	DischargePressure                 // kPa absolute
	LiquidPressure                    // kPa absolute
	SuctionTemp                       // °C
	DischargeTemp                     // °C
	LiquidTemp                        // °C
	OutletTemp                        // °C, refrigerant leaving the evaporator
	OutdoorTemp                       // °C
	RoomTemp                          // °C
	CondenserAirOn                    // °C
	EvaporatorAirOn                   // °C
	EvaporatorAirOff                  // °C
	SinkInlet                         // °C
	SinkOutlet                        // °C
	SourceInlet                       // °C
	SinkFlow                          // m³/h
	Power                             // kW
	Current                           // A
	Speed                             // Hz
	ReceiverLevel                     // %

	measured // how many are measured
)

// The derived quantities of a sample.
const (
	Evaporating        = measured + iota // °C, dew temperature at suction pressure
	Condensing                           // °C, dew temperature at discharge pressure
	Superheat                            // K
	Subcooling                           // K
	DischargeSuperheat                   // K
	CondenserMedium                      // °C, what enters the condenser
	EvaporatorMedium                     // °C, what enters the evaporator
	CondenserTD                          // K, condensing temperature above the medium
	EvaporatorTD                         // K, medium above evaporating temperature
	PressureRatio                        // discharge over suction pressure
	SinkHeat                             // kW

	sampled // how many a sample has
)

// The derived quantities of a mean state.
const (
	IsentropicEfficiency = sampled + iota
	CoolingCOP
	HeatingCOP
	CarnotFraction

	Quantities // how many there are
)

// channels names the samples column of each measured quantity.
var channels = [measured]string{
	SuctionPressure: "suction_pressure_kpa", DischargePressure: "discharge_pressure_kpa", LiquidPressure: "liquid_pressure_kpa",
	SuctionTemp: "suction_temp_c", DischargeTemp: "discharge_temp_c", LiquidTemp: "liquid_temp_c", OutletTemp: "evaporator_outlet_temp_c",
	OutdoorTemp: "outdoor_temp_c", RoomTemp: "room_temp_c", CondenserAirOn: "condenser_air_on_temp_c", EvaporatorAirOn: "evaporator_air_on_temp_c", EvaporatorAirOff: "evaporator_air_off_temp_c",
	SinkInlet: "sink_inlet_temp_c", SinkOutlet: "sink_outlet_temp_c", SourceInlet: "source_inlet_temp_c", SinkFlow: "sink_flow_m3_h",
	Power: "power_kw", Current: "current_a", Speed: "compressor_speed_hz", ReceiverLevel: "receiver_level_pct",
}

var derived = map[Quantity]string{
	Evaporating: "evaporating temperature", Condensing: "condensing temperature", Superheat: "superheat", Subcooling: "subcooling",
	DischargeSuperheat: "discharge superheat", CondenserMedium: "temperature entering the condenser", EvaporatorMedium: "temperature entering the evaporator",
	CondenserTD: "condenser temperature difference", EvaporatorTD: "evaporator temperature difference", PressureRatio: "pressure ratio",
	SinkHeat: "heat given to the water", IsentropicEfficiency: "isentropic efficiency", CoolingCOP: "cooling COP", HeatingCOP: "heating COP",
	CarnotFraction: "Carnot fraction",
}

// Column is the samples column of a measured quantity, empty for others.
func (q Quantity) Column() string {
	if q < measured {
		return channels[q]
	}
	return ""
}

func (q Quantity) String() string {
	if q < measured {
		return channels[q]
	}
	return derived[q]
}

// Columns is a stretch of samples, column by column. A nil column was not
// logged, or cannot be worked out; a gap is NaN.
type Columns struct {
	Time    []int64 // microseconds since 1970, UTC, rising
	Values  [Quantities][]float64
	Running []table.State // nil where it was not logged
	Defrost []table.State // nil where it was not logged
	InAir   []bool        // the hoses hung in the air, as screening found; nil: never

	from, to int                   // rows that count for lacks
	rooms    [Quantities][]float64 // memory for values, from one Read to the next
}

// Rows is the number of samples.
func (c *Columns) Rows() int { return len(c.Time) }

// Has tells whether a quantity has any value.
func (c *Columns) Has(q Quantity) bool { return c.Values[q] != nil }

// At returns the value of a quantity at a row, NaN where there is none.
func (c *Columns) At(q Quantity, row int) float64 {
	if c.Values[q] == nil {
		return math.NaN()
	}
	return c.Values[q][row]
}

// A Row is one value of each quantity, NaN where there is none.
type Row [Quantities]float64

// NewRow returns a row without values.
func NewRow() Row {
	var r Row
	for i := range r {
		r[i] = math.NaN()
	}
	return r
}
