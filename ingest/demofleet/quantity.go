package demofleet

import (
	"time"

	"rimelog/ingest/demofleet/plant"
	"rimelog/ingest/demofleet/truth"
)

// A quantity is what a channel of a logger measures.
type quantity uint8

const (
	suctionPressure quantity = iota
	dischargePressure
	suctionTemp
	dischargeTemp
	liquidTemp
	outdoorTemp
	sourceIn  // medium entering the evaporator
	sourceOut // medium leaving it
	source2In // media entering a pack's further evaporators
	source3In
	sinkIn
	sinkOut
	power
	speed
	level       // of the receiver
	opening     // of the first valve
	heatFlow    // of the water that is heated or cooled for use
	energyCount // of the power meter
	humidity    // of the room
	quantities
)

// everyQuantity are all of them.
var everyQuantity = func() (list []quantity) {
	for q := range quantities {
		list = append(list, q)
	}
	return list
}()

// A reading is the value of every quantity: kPa absolute, °C, kW, Hz, %, m³/h, kWh.
type reading [quantities]float64

// channel is the register's name for a quantity at a system.
func (m *machine) channel(q quantity) string {
	switch q {
	case suctionPressure:
		return "suction_pressure"
	case dischargePressure:
		return "discharge_pressure"
	case suctionTemp:
		return "suction_temp"
	case dischargeTemp:
		return "discharge_temp"
	case liquidTemp:
		return "liquid_temp"
	case outdoorTemp:
		return "outdoor_temp"
	case sourceIn, source2In, source3In:
		return ofMedium(m.source, "evaporator_air_on_temp", "source_inlet_temp")
	case sourceOut:
		return ofMedium(m.source, "evaporator_air_off_temp", "source_outlet_temp")
	case sinkIn:
		return ofMedium(m.sinkMedium, "condenser_air_on_temp", "sink_inlet_temp")
	case sinkOut:
		return ofMedium(m.sinkMedium, "condenser_air_off_temp", "sink_outlet_temp")
	case power:
		return "power"
	case speed:
		return "compressor_speed"
	case heatFlow:
		return ofMedium(m.sinkMedium, "source_flow", "sink_flow")
	case energyCount:
		return "energy"
	case humidity:
		return "room_humidity"
	case opening:
		return "valve_opening"
	}
	return "receiver_level"
}

func ofMedium(m medium, air, water string) string {
	if m == roomAir || m == outdoorAir {
		return air
	}
	return water
}

// fullSpeed is the speed of a compressor at full speed, Hz.
const fullSpeed = 60

// read is what ideal instruments would show at an operating point.
func (m *machine) read(p plant.Point, c plant.Conditions, t time.Time, outdoor float64) reading {
	x := reading{
		suctionPressure: p.SuctionPressure, dischargePressure: p.DischargePressure,
		suctionTemp: p.Suction, dischargeTemp: p.Discharge, liquidTemp: p.Liquid,
		outdoorTemp: outdoor, sourceIn: c.Source, sourceOut: p.SourceOut, sinkIn: c.Sink, sinkOut: p.SinkOut,
		power: m.metered(p, true), speed: m.speed(t, outdoor) * fullSpeed, level: 100 * p.Level, opening: 100 * p.Opening,
		heatFlow: m.waterFlow(t, p, c), humidity: m.humidityAt(outdoor),
	}
	for i, by := range m.warmer {
		x[source2In+quantity(i)] = c.Source + by
	}
	if m.heats(t) { // the room's probes stay in the room
		x[sourceIn], x[sourceOut], x[sinkIn], x[sinkOut] = x[sinkIn], x[sinkOut], x[sourceIn], x[sourceOut]
	}
	if m.air > 0 {
		x[sourceOut] = m.leaving(p, m.heats(t), x[sourceIn], x[humidity])
	}
	return x
}

// truly is the operating point for the record of truth.
func (m *machine) truly(p plant.Point, c plant.Conditions, now time.Time, outdoor float64) truth.Point {
	f := m.fluid(now)
	return truth.Point{
		Time: now.UTC(), Evaporating: p.SuctionDew, Condensing: p.DischargeDew,
		Superheat: p.Superheat, Subcooling: f.Bubble(p.DischargeDew) - p.Liquid, SuctionSuperheat: p.Suction - p.SuctionDew,
		Discharge: p.Discharge, Cooling: p.Cooling, Heating: p.Heating, Input: p.Input, Charge: c.Charge,
		Opening: p.Opening, Level: p.Level, Outdoor: outdoor, Source: c.Source, Sink: c.Sink,
	}
}

// rest is what they would show at standstill: each side at the temperature of
// what is around it, and no flow. Valves shut with the compressor, so that the receiver
// keeps the level it had.
func (m *machine) rest(held float64, c plant.Conditions, t time.Time, outdoor float64) reading {
	cold := min(c.Source, c.Surround)
	hot := max(min(c.Sink, c.Surround), cold)
	f := m.fluid(t)
	x := reading{
		suctionPressure: f.Pressure(cold), dischargePressure: f.Pressure(hot) + m.gasAtRest(c.Faults.Gas, hot, t),
		suctionTemp: (cold + c.Surround) / 2, dischargeTemp: c.Surround, liquidTemp: hot,
		outdoorTemp: outdoor, sourceIn: c.Source, sourceOut: c.Source, sinkIn: c.Sink, sinkOut: c.Sink,
		level: 100 * held, power: m.metered(plant.Point{}, false), humidity: m.humidityAt(outdoor),
		heatFlow: m.waterFlow(t, plant.Point{FanFlow: 1, SinkOut: c.Sink, SourceOut: c.Source}, c), // the pump runs on
	}
	for i, by := range m.warmer {
		x[source2In+quantity(i)] = c.Source + by
	}
	return x
}

// gasAtRest is the pressure that foreign gas adds on the high side at standstill, kPa: by
// Dalton's law what it has by itself in the condenser, at that temperature (ideal gas, as
// much room as while running). Valves shut, so that it stays there.
func (m *machine) gasAtRest(running, hot float64, t time.Time) float64 {
	return running * (hot + zeroCelsius) / (m.modeAt(t).point.Condensing + zeroCelsius)
}

const zeroCelsius = 273.15

// index is which of several like places of a circuit a quantity is measured at.
func (q quantity) index() int {
	if q == source2In || q == source3In {
		return int(q-source2In) + 2
	}
	return 1
}
