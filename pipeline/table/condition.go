package table

import "time"

// A Condition is how a system stood at a visit, against limits that hold at any time:
// what needs no past to be told. Minutes are of the settled machine; what was not
// logged, or is in doubt, is null.
type Condition struct {
	Start time.Time `col:"start" doc:"first sample of the visit or of its part, UTC"`
	End   time.Time `col:"end" doc:"last sample, UTC"`

	Observed float64 `col:"observed_min" unit:"min" doc:"minutes of the log"`
	Watched  float64 `col:"watched_min" unit:"min" doc:"minutes of the running machine, without five after each start and fifteen after a defrost"`
	Starts   int64   `col:"starts" doc:"starts of the compressor"`
	Told     bool    `col:"starts_told" doc:"something tells whether the compressor ran"`

	OutdoorTemp     float64 `col:"outdoor_temp_c" unit:"°C" doc:"mean temperature of the outdoor air at the visit, or of the medium entering the condenser"`
	Wet             float64 `col:"liquid_return_min" unit:"min" doc:"minutes in which superheat and discharge superheat were both below their limits"`
	WetLongest      float64 `col:"liquid_return_longest_min" unit:"min" doc:"the longest of them in a row"`
	WetSuperheat    float64 `col:"liquid_return_superheat_k" unit:"K" doc:"mean superheat in them"`
	WetDischarge    float64 `col:"liquid_return_discharge_superheat_k" unit:"K" doc:"mean discharge superheat in them"`
	Superheat       float64 `col:"superheat_k" unit:"K" doc:"mean superheat of the settled machine at the visit" u:"superheat_u_k"`
	SuperheatU      float64 `col:"superheat_u_k" unit:"K" doc:"standard uncertainty of superheat at the visit" source:"JCGM 100:2008, 5.1.2"`
	DischargeU      float64 `col:"discharge_superheat_u_k" unit:"K" doc:"standard uncertainty of discharge superheat at the visit" source:"JCGM 100:2008, 5.1.2"`
	Hot             float64 `col:"hot_gas_min" unit:"min" doc:"minutes in which the discharge gas was above its limit"`
	HotLongest      float64 `col:"hot_gas_longest_min" unit:"min" doc:"the longest of them in a row"`
	HotTemp         float64 `col:"hot_gas_temp_c" unit:"°C" doc:"mean discharge temperature in them"`
	High            float64 `col:"high_ratio_min" unit:"min" doc:"minutes in which the pressure ratio was above its limit"`
	HighLongest     float64 `col:"high_ratio_longest_min" unit:"min" doc:"the longest of them in a row"`
	PressureRatio   float64 `col:"pressure_ratio" unit:"1" doc:"mean pressure ratio in them, both absolute"`
	Flash           float64 `col:"no_subcooling_min" unit:"min" doc:"minutes in which subcooling was below its limit"`
	FlashLongest    float64 `col:"no_subcooling_longest_min" unit:"min" doc:"the longest of them in a row"`
	FlashSubcooling float64 `col:"no_subcooling_k" unit:"K" doc:"mean subcooling in them" u:"subcooling_u_k"`
	SubcoolingU     float64 `col:"subcooling_u_k" unit:"K" doc:"standard uncertainty of subcooling at the visit" source:"JCGM 100:2008, 5.1.2"`
	Stop            float64 `col:"valve_at_stop_min" unit:"min" doc:"minutes in which the expansion valve stood at its stop"`
	StopLongest     float64 `col:"valve_at_stop_longest_min" unit:"min" doc:"the longest of them in a row"`
	ValveOpening    float64 `col:"valve_at_stop_pct" unit:"%" doc:"mean opening in them"`
	Warm            float64 `col:"warm_room_min" unit:"min" doc:"minutes in which the room was above its limit although the machine ran"`
	WarmLongest     float64 `col:"warm_room_longest_min" unit:"min" doc:"the longest of them in a row"`
	RoomTemp        float64 `col:"warm_room_temp_c" unit:"°C" doc:"mean room temperature in them"`
	RoomRate        float64 `col:"warm_room_k_per_hour" unit:"K/h" doc:"how fast the room temperature rose from the first to the last of them"`
}

// Conditions holds how a system stood at each visit.
func Conditions() Table {
	return of[Condition]("conditions", BySystem, "how a system stood at each visit against limits that need no past")
}
