package demofleet

import (
	"math"

	"rimelog/ingest/demofleet/plant"
)

// Room air where its humidity is logged: the air goes through the coil of an air
// conditioner on the straight line toward air that is saturated at the coil's surface.
const (
	airShare    = 0.75  // of the coil's heat capacity flow that is the air's own: the rest stands for moisture (common practice, no source)
	airHeat     = 1.02  // of moist air, kJ/(kg K)
	airMoisture = 0.009 // kg/kg, for its volume
	coilWarmer  = 1.5   // surface over the evaporating temperature, K (assumed)
	mostCooled  = 0.95  // of the way to the surface
)

// saturated is the water in saturated air at a pressure in kPa, kg/kg. Magnus' formula with the
// constants of Alduchov & Eskridge, J. Appl. Meteor. 35 (1996).
func saturated(celsius, air float64) float64 {
	p := 0.61094 * math.Exp(17.625*celsius/(celsius+243.04))
	return 0.622 * p / (air - p)
}

// enthalpy of moist air, kJ/kg of dry air.
func enthalpy(celsius, water float64) float64 {
	return 1.006*celsius + water*(2501+1.86*celsius)
}

// airVolume is that of the air with a kilogram of dry air, m³.
func airVolume(celsius, air float64) float64 {
	return 0.287 * (celsius + 273.15) * (1 + 1.608*airMoisture) / air
}

// humidityAt is the relative humidity of the room, %: people and windows bring in the
// outdoor air's (common practice, no source).
func (m *machine) humidityAt(outdoor float64) float64 {
	return min(65, max(30, 48+(outdoor-16)))
}

// leaving is the temperature of the air that leaves the room's coil, °C.
func (m *machine) leaving(p plant.Point, heats bool, on, humid float64) float64 {
	if heats {
		return on + p.Heating/(m.air*airHeat)
	}
	air, surface := airPressure(m.site.altitude), p.SuctionDew+coilWarmer
	water := humid / 100 * saturated(on, air)
	if wet := saturated(surface, air); wet < water {
		way := p.Cooling / m.air / (enthalpy(on, water) - enthalpy(surface, wet))
		return on - min(way, mostCooled)*(on-surface)
	}
	return on - p.Cooling/(m.air*airHeat)
}
