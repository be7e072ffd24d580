package table

import "time"

// A Sample is what was measured at one time on one system, in canonical units.
// A channel that was not logged is null.
type Sample struct {
	Time time.Time `col:"time" doc:"when, UTC"`

	SuctionPressure   Fixed `col:"suction_pressure_kpa" unit:"kPa" doc:"absolute pressure at the suction side of the compressor"`
	DischargePressure Fixed `col:"discharge_pressure_kpa" unit:"kPa" doc:"absolute pressure at the discharge side of the compressor"`
	LiquidPressure    Fixed `col:"liquid_pressure_kpa" unit:"kPa" doc:"absolute pressure in the liquid line before the expansion device"`
	AmbientPressure   Fixed `col:"ambient_pressure_kpa" unit:"kPa" doc:"barometric pressure at the site"`

	SuctionTemp          Fixed `col:"suction_temp_c" unit:"°C" doc:"suction gas at the compressor, or where the suction pressure is taken"`
	DischargeTemp        Fixed `col:"discharge_temp_c" unit:"°C" doc:"discharge gas leaving the compressor"`
	LiquidTemp           Fixed `col:"liquid_temp_c" unit:"°C" doc:"liquid leaving the condenser"`
	ValveInletTemp       Fixed `col:"valve_inlet_temp_c" unit:"°C" doc:"liquid before the expansion device"`
	EvaporatorInletTemp  Fixed `col:"evaporator_inlet_temp_c" unit:"°C" doc:"refrigerant entering the evaporator, after the expansion device"`
	EvaporatorOutletTemp Fixed `col:"evaporator_outlet_temp_c" unit:"°C" doc:"refrigerant leaving the evaporator"`
	EvaporatorCoilTemp   Fixed `col:"evaporator_coil_temp_c" unit:"°C" doc:"surface in the middle of the evaporator"`
	CondenserCoilTemp    Fixed `col:"condenser_coil_temp_c" unit:"°C" doc:"surface in the middle of the condenser"`

	OutdoorTemp          Fixed `col:"outdoor_temp_c" unit:"°C" doc:"outdoor air"`
	CondenserAirOnTemp   Fixed `col:"condenser_air_on_temp_c" unit:"°C" doc:"air entering the condenser"`
	CondenserAirOffTemp  Fixed `col:"condenser_air_off_temp_c" unit:"°C" doc:"air leaving the condenser"`
	EvaporatorAirOnTemp  Fixed `col:"evaporator_air_on_temp_c" unit:"°C" doc:"air entering the evaporator"`
	EvaporatorAirOffTemp Fixed `col:"evaporator_air_off_temp_c" unit:"°C" doc:"air leaving the evaporator"`
	RoomTemp             Fixed `col:"room_temp_c" unit:"°C" doc:"air of the room or the goods space that is cooled or heated"`
	SinkInletTemp        Fixed `col:"sink_inlet_temp_c" unit:"°C" doc:"water or brine entering the condenser"`
	SinkOutletTemp       Fixed `col:"sink_outlet_temp_c" unit:"°C" doc:"water or brine leaving the condenser"`
	SourceInletTemp      Fixed `col:"source_inlet_temp_c" unit:"°C" doc:"water or brine entering the evaporator"`
	SourceOutletTemp     Fixed `col:"source_outlet_temp_c" unit:"°C" doc:"water or brine leaving the evaporator"`
	SinkFlow             Flow  `col:"sink_flow_m3_h" unit:"m³/h" doc:"water or brine through the condenser"`
	SourceFlow           Flow  `col:"source_flow_m3_h" unit:"m³/h" doc:"water or brine through the evaporator"`
	RefrigerantFlow      Flow  `col:"refrigerant_flow_kg_s" unit:"kg/s" doc:"refrigerant mass flow"`
	OutdoorHumidity      Fixed `col:"outdoor_humidity_pct" unit:"%" doc:"relative humidity of the outdoor air"`
	RoomHumidity         Fixed `col:"room_humidity_pct" unit:"%" doc:"relative humidity of the room air"`

	Power           Fixed   `col:"power_kw" unit:"kW" doc:"electric power of what the register says the meter covers"`
	Energy          Counter `col:"energy_kwh" unit:"kWh" doc:"electric energy counter of what the register says the meter covers"`
	Current         Fixed   `col:"current_a" unit:"A" doc:"compressor current"`
	Voltage         Fixed   `col:"voltage_v" unit:"V" doc:"supply voltage"`
	CompressorSpeed Fixed   `col:"compressor_speed_hz" unit:"Hz" doc:"compressor speed"`
	ValveOpening    Fixed   `col:"valve_opening_pct" unit:"%" doc:"opening of the expansion valve"`
	FanSpeed        Fixed   `col:"fan_speed_pct" unit:"%" doc:"speed of the condenser fans"`
	ReceiverLevel   Fixed   `col:"receiver_level_pct" unit:"%" doc:"liquid level in the receiver"`
	Running         State   `col:"running" doc:"whether the compressor runs, where it was logged"`
	Defrost         State   `col:"defrost" doc:"whether a defrost is under way, where it was logged"`
}

// Samples holds what was measured, one row per system and time.
func Samples() Table {
	return of[Sample]("samples", BySystemMonth, "what was measured, one row per system and time")
}

// An Extra is a value of a column that no channel stands for, kept as found.
type Extra struct {
	Time   time.Time `col:"time" doc:"when, UTC"`
	Header string    `col:"header" doc:"the column's header as found, with its unit"`
	Number float64   `col:"number" doc:"the value where it is a number"`
	Text   string    `col:"text" doc:"the value where it is not"`
}

// Extras holds the values of columns that no channel stands for.
func Extras() Table {
	return of[Extra]("extras", BySystemMonth, "values of columns that no channel stands for, as found")
}

// A Refusal is a run of lines or cells that were not taken, and why; or of cells in
// which the logger says why it has no value: over range, open sensor.
type Refusal struct {
	Upload    string `col:"upload" doc:"the upload, by hash"`
	FirstLine int64  `col:"first_line" doc:"first physical line of the run, from 1"`
	LastLine  int64  `col:"last_line" doc:"last physical line of the run"`
	Channel   string `col:"channel" doc:"the channel or header of refused cells; empty where whole lines were quarantined"`
	Reason    string `col:"reason" doc:"why, and what would settle it"`
	Text      string `col:"text" doc:"the first line or cell of the run as found, cut at 200 characters"`
	Cells     int64  `col:"cells" doc:"how many cells were refused; 0 where whole lines were quarantined"`
}

// Refusals holds what was not taken from a system's uploads.
func Refusals() Table {
	return of[Refusal]("refusals", BySystem, "lines and cells that were not taken, by runs, with the reason")
}
