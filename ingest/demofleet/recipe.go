package demofleet

import (
	"rimelog/ingest/demofleet/plant"
	"rimelog/pipeline/register"
)

// A recipe is how systems of one kind are usually made (common practice, no
// source: evaporating and condensing pairs and temperature differences as the
// trade designs them).
type recipe struct {
	kind         register.Kind
	code, noun   string // for IDs and names
	refrigerants []string
	cooling      [2]float64 // kW
	expansion    []register.Expansion
	receiver     bool      // whether such systems may have one
	always       bool      // whether all of them have one, and never stand still
	warmer       []float64 // of further evaporators: how much warmer their rooms are, K

	setpoint                [2]float64 // of the source: room air, chilled water, brine; °C
	evaporating, condensing float64    // °C
	sink                    float64    // at the design point, °C
	superheat, subcooling   float64    // K
	sourceNTU, sinkNTU      float64
	evaporatorLitre         float64 // inside volume per kW
	isentropic              float64 // best efficiency of the compressor

	source, sinkMedium medium
	variable           bool // the compressor's speed follows the load
	staged             bool // compressors are switched with the load
}

// A medium is what a coil exchanges heat with.
type medium uint8

const (
	roomAir medium = iota
	outdoorAir
	chilledWater // cooled by the evaporator
	heatingWater // heated by the condenser
	coolingWater // takes the condenser's heat away
	brine        // from the ground
)

// recipes are the kinds of system in the fleet, in the order of Kinds.
var recipes = []recipe{
	{
		kind: register.ColdRoom, code: "CR", noun: "cold room",
		refrigerants: []string{"R134a", "R290", "R1234yf", "R22", "R449A"}, cooling: [2]float64{3, 14},
		expansion: []register.Expansion{register.Thermostatic, register.Thermostatic, register.Electronic}, receiver: true,
		setpoint: [2]float64{1, 5}, evaporating: -7, condensing: 43, sink: 33, superheat: 5, subcooling: 5,
		sourceNTU: 1.3, evaporatorLitre: 0.5, sinkNTU: 1.2, isentropic: 0.68, source: roomAir, sinkMedium: outdoorAir,
	},
	{
		kind: register.FreezerRoom, code: "FR", noun: "freezer room",
		refrigerants: []string{"R290", "R404A", "R22"}, cooling: [2]float64{3, 10},
		expansion: []register.Expansion{register.Thermostatic, register.Electronic}, receiver: true,
		setpoint: [2]float64{-22, -18}, evaporating: -28, condensing: 41, sink: 33, superheat: 4.5, subcooling: 4.5,
		sourceNTU: 1.3, evaporatorLitre: 0.5, sinkNTU: 1.2, isentropic: 0.66, source: roomAir, sinkMedium: outdoorAir,
	},
	{
		kind: register.DisplayCabinet, code: "DC", noun: "display cabinet",
		refrigerants: []string{"R290", "R600a", "R134a"}, cooling: [2]float64{0.6, 2.5},
		expansion: []register.Expansion{register.Capillary, register.Thermostatic},
		setpoint:  [2]float64{3, 6}, evaporating: -9, condensing: 44, sink: 32, superheat: 6, subcooling: 5,
		sourceNTU: 1.2, evaporatorLitre: 0.5, sinkNTU: 1.2, isentropic: 0.5, source: roomAir, sinkMedium: outdoorAir,
	},
	{
		kind: register.AirConditioning, code: "AC", noun: "split air conditioner",
		refrigerants: []string{"R32", "R410A", "R22", "R290"}, cooling: [2]float64{3.5, 14},
		expansion: []register.Expansion{register.Thermostatic, register.Electronic, register.Orifice},
		setpoint:  [2]float64{22, 25}, evaporating: 7, condensing: 46, sink: 34, superheat: 6, subcooling: 6,
		sourceNTU: 1.4, evaporatorLitre: 0.28, sinkNTU: 1.3, isentropic: 0.7, source: roomAir, sinkMedium: outdoorAir,
	},
	{
		kind: register.Chiller, code: "CH", noun: "water chiller",
		refrigerants: []string{"R134a", "R1234yf", "R410A", "R717"}, cooling: [2]float64{20, 90},
		expansion: []register.Expansion{register.Electronic, register.Thermostatic},
		setpoint:  [2]float64{11, 13}, evaporating: 3, condensing: 45, sink: 34, superheat: 5.5, subcooling: 6,
		sourceNTU: 1.1, evaporatorLitre: 0.5, sinkNTU: 1.3, isentropic: 0.72, source: chilledWater, sinkMedium: outdoorAir, variable: true,
	},
	{
		kind: register.Chiller, code: "WC", noun: "water-cooled chiller",
		refrigerants: []string{"R134a", "R717"}, cooling: [2]float64{40, 120},
		expansion: []register.Expansion{register.Electronic},
		setpoint:  [2]float64{10, 13}, evaporating: 3, condensing: 35, sink: 26, superheat: 5.5, subcooling: 4,
		sourceNTU: 1.1, evaporatorLitre: 0.5, sinkNTU: 1.2, isentropic: 0.74, source: chilledWater, sinkMedium: coolingWater, staged: true,
	},
	{
		kind: register.AirHeatPump, code: "AH", noun: "air-water heat pump",
		refrigerants: []string{"R290", "R32", "R410A"}, cooling: [2]float64{4, 12},
		expansion: []register.Expansion{register.Electronic},
		setpoint:  [2]float64{7, 7}, evaporating: -2, condensing: 42, sink: 32, superheat: 5, subcooling: 6,
		sourceNTU: 1.2, evaporatorLitre: 0.5, sinkNTU: 1.1, isentropic: 0.7, source: outdoorAir, sinkMedium: heatingWater, variable: true,
	},
	{
		kind: register.GroundHeatPump, code: "GH", noun: "ground heat pump",
		refrigerants: []string{"R134a", "R290", "R410A"}, cooling: [2]float64{5, 25},
		expansion: []register.Expansion{register.Electronic, register.Thermostatic},
		setpoint:  [2]float64{6, 6}, evaporating: -2, condensing: 42, sink: 32, superheat: 5, subcooling: 6,
		sourceNTU: 1.1, evaporatorLitre: 0.5, sinkNTU: 1.1, isentropic: 0.7, source: brine, sinkMedium: heatingWater,
	},
	{
		kind: register.Pack, code: "PK", noun: "supermarket pack",
		refrigerants: []string{"R404A", "R449A", "R134a"}, cooling: [2]float64{25, 90},
		expansion: []register.Expansion{register.Thermostatic, register.Electronic}, receiver: true, always: true,
		warmer:   []float64{1.5, 4},
		setpoint: [2]float64{2, 4}, evaporating: -8, condensing: 41, sink: 32, superheat: 6, subcooling: 4,
		sourceNTU: 1.3, evaporatorLitre: 0.5, sinkNTU: 1.2, isentropic: 0.66, source: roomAir, sinkMedium: outdoorAir, variable: true,
	},
}

// weights is how often each recipe is used.
func (k Kinds) weights() []float64 {
	return []float64{
		k.ColdRoom, k.FreezerRoom, k.DisplayCabinet, k.AirConditioner, k.Chiller, k.WaterCooledChiller, k.AirHeatPump, k.GroundHeatPump,
		k.Pack,
	}
}

// expansionOf is how the plant model calls an expansion device.
func expansionOf(e register.Expansion) plant.Expansion {
	switch e {
	case register.Electronic:
		return plant.Electronic
	case register.Capillary, register.Orifice:
		return plant.Fixed
	}
	return plant.Thermostatic
}
