package demofleet

// A Mix says how often and how strongly things happen in a fleet. Every field has
// its limits and its meaning in its tags; Schema prints them.
type Mix struct {
	Kinds    Kinds    `json:"kinds" doc:"how often each kind of system occurs, relative to the others"`
	Fluids   Weights  `json:"refrigerants" doc:"how often each refrigerant occurs, relative to the others of a kind"`
	Devices  Weights  `json:"expansion" doc:"how often each expansion device occurs, relative to the others of a kind"`
	Weather  Weather  `json:"weather" doc:"outdoors"`
	Machines Machines `json:"machines" doc:"how systems of a kind differ"`
	Controls Controls `json:"controls" doc:"how machines are started, stopped and driven"`
	Faults   Faults   `json:"faults" doc:"what goes wrong"`
	Changes  Changes  `json:"changes" doc:"what changes without being a fault"`
	Stays    Stays    `json:"stays" doc:"permanent loggers in a fleet with mixed logging"`
	Loggers  Weights  `json:"loggers" doc:"how often each make of logger comes to a system, relative to the others"`
	Visits   Visits   `json:"visits" doc:"when and how long somebody logs"`
	Meters   Meters   `json:"meters" doc:"what is measured of electricity and heat"`
	Sensors  Sensors  `json:"sensors" doc:"the instruments"`
	Classes  Weights  `json:"classes" doc:"how often each class of instruments occurs among sets that are not as good as is usual with their logger"`
	Mistakes Mistakes `json:"mistakes" doc:"share of visit logs with each mistake of the people who log"`
	Sizes    Sizes    `json:"mistake_sizes" doc:"how large these mistakes are"`
	Quirks   Quirks   `json:"quirks" doc:"share of visit logs whose export differs from the logger's usual one"`
	Slips    Slips    `json:"slips" doc:"what is wrong in the register"`
	Records  Records  `json:"records" doc:"the firm's papers"`
	OddFiles bool     `json:"odd_files" doc:"whether a few unreadable, unclaimed and ambiguous files lie among the uploads"`
}

// A Range is the ends between which a value is drawn evenly.
type Range [2]float64

// Kinds is how often each kind of system occurs.
type Kinds struct {
	ColdRoom           float64 `json:"cold_room" lo:"0" hi:"1000" doc:"cold rooms"`
	FreezerRoom        float64 `json:"freezer_room" lo:"0" hi:"1000" doc:"freezer rooms"`
	DisplayCabinet     float64 `json:"display_cabinet" lo:"0" hi:"1000" doc:"plug-in display cabinets"`
	AirConditioner     float64 `json:"air_conditioner" lo:"0" hi:"1000" doc:"split air conditioners"`
	Chiller            float64 `json:"chiller" lo:"0" hi:"1000" doc:"air-cooled water chillers"`
	WaterCooledChiller float64 `json:"water_cooled_chiller" lo:"0" hi:"1000" doc:"water-cooled chillers"`
	AirHeatPump        float64 `json:"air_heat_pump" lo:"0" hi:"1000" doc:"air-water heat pumps"`
	Pack               float64 `json:"pack" lo:"0" hi:"1000" doc:"supermarket packs"`
	GroundHeatPump     float64 `json:"ground_heat_pump" lo:"0" hi:"1000" doc:"brine-water heat pumps"`
}

// Weather is how the weather differs from that of the invented climates.
type Weather struct {
	Warmer      float64 `json:"warmer_k" lo:"-20" hi:"20" doc:"how much warmer it is all the time, K"`
	Season      float64 `json:"season" lo:"0" hi:"3" doc:"swing of the seasons, 1 is usual"`
	Daily       float64 `json:"daily" lo:"0" hi:"3" doc:"swing of the day, 1 is usual"`
	Spells      float64 `json:"spells" lo:"0.01" hi:"3" doc:"how strong warm and cold spells are, 1 is usual"`
	Persistence float64 `json:"persistence" lo:"0" hi:"0.99" doc:"how much of a day's spell is left the next day"`
	Load        float64 `json:"load" lo:"0" hi:"3" doc:"heat that rooms and water ask for, 1 is usual"`
}

// of is a climate with this weather.
func (w Weather) of(c climate) climate {
	c.mean += w.Warmer
	c.season *= w.Season
	c.daily *= w.Daily
	c.spells *= w.Spells
	return c
}

// Stays is which systems have a permanent logger, in a fleet with mixed logging.
type Stays struct {
	Share float64 `json:"share" lo:"0" hi:"1" doc:"share of systems, at the end of the record"`
	Days  float64 `json:"days" lo:"1" hi:"7000" doc:"for how many days, at most half of the record"`
}

// Machines is how systems of a kind differ.
type Machines struct {
	Receiver       float64 `json:"receiver" lo:"0" hi:"1" doc:"share of cold and freezer rooms with a liquid receiver"`
	ReceiverLevel  float64 `json:"receiver_level" lo:"0" hi:"1" doc:"share of systems with a receiver that have a level sensor on it, which every log has"`
	ValvePosition  float64 `json:"valve_position" lo:"0" hi:"1" doc:"share of systems with an electronic valve of which every log has its opening"`
	Flooding       float64 `json:"flooding" lo:"0" hi:"1" doc:"share of systems with a receiver that hold head pressure up by flooding the condenser"`
	Reversible     float64 `json:"reversible" lo:"0" hi:"1" doc:"share of air conditioners that also heat"`
	Size           float64 `json:"size" lo:"0.1" hi:"10" doc:"of all systems, 1 is usual"`
	Volume         float64 `json:"volume" lo:"0.3" hi:"3" doc:"inside volumes of coils and lines, and with them the charge, 1 is usual"`
	Evaporating    Range   `json:"evaporating_k" lo:"-3" hi:"2" doc:"evaporating temperature at the design point above that of the kind, K"`
	Condensing     Range   `json:"condensing_k" lo:"-4" hi:"6" doc:"condensing temperature at the design point above that of the kind, K"`
	Setpoint       float64 `json:"setpoint_k" lo:"-2" hi:"2" doc:"setpoints of rooms and water, and with them evaporating, above those of the kind, K"`
	SourceNTU      float64 `json:"source_ntu" lo:"0.7" hi:"1.6" doc:"evaporators' conductance over the heat capacity flow of their medium, 1 is usual"`
	SinkNTU        float64 `json:"sink_ntu" lo:"0.7" hi:"1.6" doc:"the same of condensers, 1 is usual"`
	Superheat      Range   `json:"superheat_k" lo:"-3" hi:"5" doc:"superheat at the design point above that of the kind, as far as the source allows, K"`
	Subcooling     Range   `json:"subcooling_k" lo:"-3" hi:"6" doc:"subcooling at the design point above that of the kind, as far as the sink allows, K"`
	SuctionRise    Range   `json:"suction_rise_k" lo:"0.1" hi:"5" doc:"warming of the gas in the suction line at the design point, K"`
	LiquidDrop     Range   `json:"liquid_drop_k" lo:"0" hi:"3" doc:"cooling of the liquid in its line at the design point, without a receiver, K"`
	AfterReceiver  Range   `json:"liquid_drop_after_receiver_k" lo:"0.2" hi:"4" doc:"the same after a receiver, K"`
	ReceiverSize   float64 `json:"receiver_size" lo:"0.3" hi:"4" doc:"volume of receivers, 1 is usual"`
	ReceiverFill   Range   `json:"receiver_fill" lo:"0.1" hi:"0.75" doc:"level of a receiver at the design point, share; 0.2 more with flooding"`
	Clearance      Range   `json:"clearance" lo:"0.005" hi:"0.04" doc:"loss of the compressor's volumetric efficiency per unit of pressure ratio"`
	Isentropic     float64 `json:"isentropic" lo:"0.6" hi:"1.25" doc:"best isentropic efficiency of compressors, 1 is usual with the kind"`
	Falloff        float64 `json:"falloff" lo:"0" hi:"0.05" doc:"loss of the isentropic efficiency per unit of pressure ratio"`
	HeatLoss       Range   `json:"heat_loss" lo:"0" hi:"0.3" doc:"share of the compressor's input given to the surroundings"`
	Gradient       Range   `json:"gradient_k" lo:"0.5" hi:"8" doc:"superheat of a thermostatic valve from closed to fully open, K"`
	Opening        Range   `json:"opening" lo:"0.3" hi:"1" doc:"of a thermostatic valve at the design point"`
	ElectronicOpen Range   `json:"electronic_opening" lo:"0.2" hi:"1" doc:"of an electronic valve at the design point"`
	Spread         float64 `json:"spread" lo:"0" hi:"2" doc:"how much sizes and efficiencies differ, 1 is usual"`
	Hunting        Range   `json:"hunting_k" lo:"0" hi:"4" doc:"amplitude of superheat with a thermostatic valve, K"`
	ElectronicHunt Range   `json:"electronic_hunting_k" lo:"0" hi:"4" doc:"the same with an electronic valve, K"`
	HuntingPeriod  Range   `json:"hunting_period_s" lo:"20" hi:"600" doc:"period of hunting, s"`
	Swing          Range   `json:"swing_k" lo:"0" hi:"3" doc:"swing of room or water temperature, K"`
	Recirculation  Range   `json:"recirculation_k" lo:"0" hi:"8" doc:"warm air a condenser draws in again, K"`
	Doors          Range   `json:"doors_k" lo:"0" hi:"4" doc:"how much opened doors and people warm a room for some minutes, K"`
	SuctionLoss    Range   `json:"suction_loss_k" lo:"0" hi:"5" doc:"pressure lost in the suction line at full load, K of saturation temperature"`
	DischargeLoss  Range   `json:"discharge_loss_k" lo:"0" hi:"5" doc:"the same in the discharge line, K"`
	Oil            Range   `json:"oil_kg_per_kw" lo:"0" hi:"2" doc:"oil in the compressor, which holds refrigerant, kg for each kW of cooling"`
	Frost          Range   `json:"frost" lo:"0" hi:"0.6" doc:"share of the air that frost has taken before a defrost, in rooms below freezing"`
	Defrost        Range   `json:"defrost_hours" lo:"1" hi:"48" doc:"hours between defrosts of rooms below freezing"`
	DefrostFor     float64 `json:"defrost_min" lo:"2" hi:"50" doc:"length of a defrost, min"`
	CondenserFan   Range   `json:"condenser_fan" lo:"0" hi:"0.1" doc:"power of the condenser's fans over its heat"`
	EvaporatorFan  Range   `json:"evaporator_fan" lo:"0" hi:"0.15" doc:"power of the evaporator's fans over its heat"`
	Sun            Range   `json:"sun_k" lo:"0" hi:"8" doc:"how much the sun warms the condenser's air at noon on a clear day, K"`
}

// Controls is how machines are started, stopped and driven.
type Controls struct {
	Cycle        Range   `json:"cycle_min" lo:"4" hi:"240" doc:"from start to start of a machine under a thermostat at half load, min"`
	Duty         Range   `json:"duty" lo:"0.05" hi:"0.98" doc:"least and largest share of the time that a thermostat lets a compressor run"`
	Settling     float64 `json:"settling" lo:"0.1" hi:"4" doc:"how slowly machines settle after a start or a stop, 1 is usual"`
	Staged       float64 `json:"staged" lo:"0" hi:"1" doc:"share of machines of kinds with a variable compressor, packs among them, that switch stages instead"`
	Fixed        float64 `json:"fixed" lo:"0" hi:"1" doc:"share of the others of these kinds that run at full speed always"`
	LeastSpeed   float64 `json:"least_speed" lo:"0.3" hi:"1" doc:"speed of a variable compressor at no load, share of full speed"`
	MoreSpeed    float64 `json:"more_speed" lo:"0" hi:"0.7" doc:"how much more it runs at full load, share of full speed"`
	CoolingAt    float64 `json:"cooling_speed_c" lo:"-10" hi:"45" doc:"outdoor temperature at which machines that cool run halfway between, °C"`
	HeatingAt    float64 `json:"heating_speed_c" lo:"-20" hi:"25" doc:"the same of machines that heat, °C"`
	SpeedSpan    float64 `json:"speed_span_k" lo:"1" hi:"30" doc:"outdoor temperatures over which speed follows the load, K"`
	StageAt      Range   `json:"stage_c" lo:"-20" hi:"45" doc:"means of a day from which staged compressors run at their second and at full stage, °C"`
	StageShift   float64 `json:"stage_shift_k" lo:"0" hi:"10" doc:"how far these differ from machine to machine, K up or down"`
	Stages       Range   `json:"stages" lo:"0.3" hi:"1" doc:"capacity at the first and the second stage, share of full capacity"`
	HeadPressure float64 `json:"head_pressure" lo:"0" hi:"1" doc:"share of machines whose fans or water valve hold head pressure up"`
	FansBelow    Range   `json:"fans_below_k" lo:"1" hi:"30" doc:"how far below the condensing temperature of the design fans begin to slow down, and reach their least flow, K"`
	FansLeast    float64 `json:"fans_least" lo:"0.05" hi:"0.9" doc:"that least flow, share"`
	WaterBelow   Range   `json:"water_below_k" lo:"1" hi:"20" doc:"the same of a valve in cooling water, K"`
	WaterLeast   float64 `json:"water_least" lo:"0.05" hi:"0.9" doc:"its least flow, share"`
	FloodBelow   float64 `json:"flood_below_k" lo:"4" hi:"25" doc:"how far below the condensing temperature of the design flooding holds it, K"`
	HeatsBelow   float64 `json:"heats_below_c" lo:"-10" hi:"20" doc:"mean of a day below which reversible machines heat, °C"`
}

// Faults is what goes wrong.
type Faults struct {
	Unnoticed         float64 `json:"unnoticed" lo:"0.02" hi:"0.9" doc:"share of the charge that a slow loss may take before somebody calls"`
	Together          float64 `json:"together" lo:"0" hi:"1" doc:"share of systems with a fault that get another one as well, of those that occur"`
	Wait              Range   `json:"wait_days" lo:"0" hi:"120" doc:"days from a call to the visit"`
	Leak              Trouble `json:"leak" doc:"slow loss of charge; size is the share of the charge lost"`
	SuddenLeak        Trouble `json:"sudden_leak" doc:"loss of charge at once"`
	Overcharge        Trouble `json:"overcharge" doc:"too much charge, added at a visit; size is the share of the charge"`
	CondenserFouling  Trouble `json:"condenser_fouling" doc:"size is the share of the medium's flow lost"`
	EvaporatorFouling Trouble `json:"evaporator_fouling" doc:"size is the share of the medium's flow lost"`
	Icing             Trouble `json:"icing" doc:"rooms below freezing whose defrost fails; size is the share of the air's flow lost"`
	Restriction       Trouble `json:"restriction" doc:"liquid line; size is the share of the flow area lost"`
	Wear              Trouble `json:"compressor_wear" doc:"size is the share of the compressor's flow that leaks back"`
	ForeignGas        Trouble `json:"foreign_gas" doc:"non-condensable gas; size 1 is 1000 kPa in the condenser: air of a system that was not evacuated makes up to half of it, nitrogen left from a pressure test more"`
	ValveClosed       Trouble `json:"valve_closed" doc:"valve stuck; size is the share of the stroke"`
	ValveOpen         Trouble `json:"valve_open" doc:"valve stuck; size is the share of the stroke"`
}

// A Trouble is one kind of fault: how many systems get it, how it grows and what
// is done about it.
type Trouble struct {
	Share    float64 `json:"share" lo:"0" hi:"1" doc:"share of systems that get it"`
	Onset    Range   `json:"onset" lo:"0" hi:"1" doc:"when it starts, as a share of the record"`
	PerYear  Range   `json:"per_year" lo:"0" hi:"12" doc:"growth of its size in a year"`
	Sudden   Range   `json:"sudden" lo:"0" hi:"1" doc:"its size at the onset"`
	Most     float64 `json:"most" lo:"0" hi:"1" doc:"size it does not grow beyond; 0 means none"`
	Noticed  Range   `json:"noticed" lo:"0" hi:"1" doc:"size at which somebody sees it"`
	Repaired float64 `json:"repaired" lo:"0" hi:"1" doc:"share that is put right when noticed"`
	ToppedUp float64 `json:"topped_up" lo:"0" hi:"1" doc:"share of leaks that is topped up only when noticed"`
	Called   float64 `json:"called" lo:"0" hi:"1" doc:"share of noticed ones for which somebody is called within days"`
}

// Changes is what changes without being a fault.
type Changes struct {
	Setting     float64 `json:"setting" lo:"0" hi:"1" doc:"share of systems whose thermostat is turned at a visit"`
	SettingStep Range   `json:"setting_step_k" lo:"0" hi:"6" doc:"by how much, up or down, K"`
	Part        float64 `json:"part" lo:"0" hi:"1" doc:"share of systems whose compressor is replaced by one of another size"`
	PartSize    Range   `json:"part_size" lo:"0.5" hi:"1.5" doc:"its size over that of the old one"`
	Retrofit    float64 `json:"retrofit" lo:"0" hi:"1" doc:"share of systems that get another refrigerant at a visit, where one follows theirs"`
	Set         float64 `json:"set" lo:"0" hi:"1" doc:"share of systems to which another set of instruments comes from some day on"`
	Flow        float64 `json:"flow" lo:"0" hi:"1" doc:"share of systems whose room air or chilled water flows otherwise from some day on; nobody writes it down"`
	FlowShare   Range   `json:"flow_share" lo:"0.4" hi:"1.6" doc:"that flow over the one before"`
}

// Visits is when and how long somebody logs.
type Visits struct {
	Weeks     Range   `json:"weeks" lo:"0.2" hi:"60" doc:"weeks between visits"`
	Minutes   Range   `json:"minutes" lo:"2" hi:"600" doc:"length of a log, min"`
	Hours     Range   `json:"hours" lo:"0" hi:"23" doc:"time of day at which a log begins, h by the clock of the place"`
	Standing  float64 `json:"standing" lo:"0" hi:"1" doc:"share of logs that begin at standstill"`
	StandFor  Range   `json:"standing_min" lo:"0.5" hi:"60" doc:"for how long, min"`
	OpenHoses float64 `json:"open_hoses" lo:"0" hi:"1" doc:"share of logs that begin before the hoses are on and end after they are off"`
	OpenFor   Range   `json:"open_hoses_min" lo:"0.1" hi:"30" doc:"for how long they hang in the air at first, min"`
	OtherKit  float64 `json:"other_kit" lo:"0" hi:"1" doc:"share of visits with another set of instruments than the system's usual one"`
	Sharing   float64 `json:"systems_per_set" lo:"1" hi:"1000" doc:"how many systems share one of the firm's sets of instruments"`
	OwnSet    float64 `json:"own_set" lo:"0" hi:"1" doc:"share of systems whose usual set of instruments comes to no other system"`
	NewSet    float64 `json:"new_set" lo:"0" hi:"1" doc:"share of visits with a set of instruments that comes this once"`
	Interval  Range   `json:"interval" lo:"0.1" hi:"20" doc:"sampling interval over that which is usual with the logger"`
	Work      float64 `json:"work_min" lo:"2" hi:"120" doc:"for how long the machine stands when somebody works on it, min"`
	AfterWork float64 `json:"after_work_min" lo:"5" hi:"240" doc:"for how long the log goes on after it, min"`
	Others    float64 `json:"other_channels" lo:"0" hi:"1" doc:"share of the channels that are logged beside the five that matter"`
	SparseOf  float64 `json:"sparse_channels" lo:"0" hi:"1" doc:"the same at sparse visits"`
	Sparse    float64 `json:"sparse" lo:"0" hi:"1" doc:"share of visits at which only the main channels are logged"`
	Hose      float64 `json:"hose" lo:"0" hi:"1" doc:"share of visits at which a hose takes refrigerant with it"`
	HoseKG    Range   `json:"hose_kg" lo:"0" hi:"0.2" doc:"how much, kg; at most hose_most of the charge"`
	HoseMost  float64 `json:"hose_most" lo:"0" hi:"0.05" doc:"largest share of the charge a hose takes"`
}

// Meters is what is measured of electricity and heat. Mistakes are those of loggers
// that stay, over some weeks.
type Meters struct {
	Unit       float64 `json:"unit" lo:"0" hi:"1" doc:"share of systems whose power meter covers the fans as well"`
	Heat       float64 `json:"heat" lo:"0" hi:"1" doc:"share of permanent loggers on machines that heat or cool water with a heat meter"`
	Counter    float64 `json:"counter" lo:"0" hi:"1" doc:"share of permanent loggers that also store an energy counter"`
	CounterSet float64 `json:"counter_set" lo:"0" hi:"1" doc:"share of these counters that are set to zero once"`
	Humidity   float64 `json:"humidity" lo:"0" hi:"1" doc:"share of permanent loggers on air conditioners that log the room's humidity, with the air's flow in the register"`
	Laboratory float64 `json:"laboratory" lo:"0" hi:"1" doc:"share of permanent loggers with sensors as in a laboratory, in pockets"`
	Watts      float64 `json:"watts" lo:"0" hi:"1" doc:"share of permanent loggers that store W under kW (D28)"`
	OnePhase   float64 `json:"one_phase" lo:"0" hi:"1" doc:"share whose power is that of one phase of three (D28)"`
	Backwards  float64 `json:"backwards" lo:"0" hi:"1" doc:"share of energy counters that run backwards"`
}

// Sensors is how good the instruments are.
type Sensors struct {
	Error    float64 `json:"error" lo:"0" hi:"5" doc:"how far instruments are off, 1 is what their class says"`
	Contact  float64 `json:"contact" lo:"0" hi:"10" doc:"gain of clamped probes toward the air around, 1 is usual"`
	Tails    float64 `json:"tails" lo:"0" hi:"1" doc:"share of clamps that sit badly"`
	TailGain float64 `json:"tail_gain" lo:"1" hi:"30" doc:"their gain over that of a clamp that sits well"`
	Ordinary float64 `json:"logger_class" lo:"0" hi:"1" doc:"share of sets of instruments as good as is usual with their logger; others are of any class, by classes"`
	Coarse   float64 `json:"coarse" lo:"0" hi:"1" doc:"share of sets of instruments that show one digit less of pressures and temperatures"`
	Sun      Range   `json:"sun_k" lo:"0" hi:"15" doc:"how much the sun warms an outdoor probe at noon on a clear day, K"`
	Lag      float64 `json:"lag_s" lo:"0" hi:"300" doc:"lag of clamped probes, s"`
	Drift    float64 `json:"drift_per_year" lo:"0" hi:"5" doc:"drift of pressure sensors in a year, as a share of their class"`
	Level    float64 `json:"level_pct" lo:"0" hi:"20" doc:"how far level sensors of receivers are off, % of the receiver"`
	Noise    float64 `json:"noise" lo:"0" hi:"10" doc:"noise from sample to sample, 1 is usual"`
}

// Sizes is how large mistakes are that have a size.
type Sizes struct {
	Loose      Range `json:"D10_gain" lo:"0" hi:"1" doc:"gain of a loose probe toward the air around"`
	LooseLag   Range `json:"D10_lag_s" lo:"1" hi:"1800" doc:"its lag, s"`
	FallenLag  Range `json:"D11_lag_s" lo:"1" hi:"600" doc:"lag of a probe that fell off, s"`
	ErrorCodes Range `json:"D13_min" lo:"0.1" hi:"240" doc:"for how long error codes stand in a channel, min"`
	ClockHours Range `json:"D15_h" lo:"0" hi:"24" doc:"how far a clock is off that is neither at its first day nor has day and month swapped, h"`
	Coarse     Range `json:"D17_s" lo:"2" hi:"1800" doc:"interval of a log that is too coarse, s"`
	Short      Range `json:"D18_min" lo:"1" hi:"30" doc:"length of a log that is too short, min"`
	PullDown   Range `json:"D19_k" lo:"0.5" hi:"20" doc:"how much too warm a room or water is that is pulled down, K"`
	OtherShare Range `json:"D20_share" lo:"0.3" hi:"1" doc:"suction pressure of another circuit over that of the own"`
	OtherRise  Range `json:"D20_rise" lo:"1" hi:"3" doc:"by which factor it rises when that circuit stops"`
	Step       Range `json:"D21_share" lo:"0.35" hi:"0.95" doc:"capacity after a step within the log, share of that before"`
	StepFor    Range `json:"D21_min" lo:"1" hi:"240" doc:"for how long, min"`
	OnCoil     Range `json:"D25_k" lo:"-3" hi:"3" doc:"room probe on the coil above the evaporating temperature, K"`
	SuctionLow Range `json:"D26_k" lo:"0" hi:"40" doc:"how much too low the suction probe reads, K"`
	LiquidSun  Range `json:"D27_k" lo:"0" hi:"30" doc:"how much the sun warms the liquid probe, K"`
	OutdoorSun Range `json:"D29_k" lo:"0" hi:"30" doc:"how much the sun warms the outdoor probe, K"`
	Zero       Range `json:"D30_kpa" lo:"0" hi:"400" doc:"zero that a pressure sensor has lost, kPa"`
}

// Slips is what is wrong in the register.
type Slips struct {
	ChargeMissing   float64 `json:"charge_missing" lo:"0" hi:"1" doc:"share of systems without a design charge"`
	ChargeWrong     float64 `json:"charge_wrong" lo:"0" hi:"1" doc:"share with a wrong one"`
	ChargeError     Range   `json:"charge_error" lo:"0" hi:"0.9" doc:"by how much, up or down"`
	ExpansionWrong  float64 `json:"expansion_wrong" lo:"0" hi:"1" doc:"share with a wrong expansion device"`
	ReceiverWrong   float64 `json:"receiver_wrong" lo:"0" hi:"1" doc:"share that lists a receiver that is not there, or not one that is"`
	FieldsMissing   float64 `json:"fields_missing" lo:"0" hi:"1" doc:"share with empty fields"`
	Refrigerant     float64 `json:"refrigerant" lo:"0" hi:"1" doc:"share with a refrigerant that is taken for another (D1)"`
	RefrigerantName float64 `json:"refrigerant_name" lo:"0" hi:"1" doc:"share with a refrigerant that does not exist"`
	SerialMissing   float64 `json:"serial_missing" lo:"0" hi:"1" doc:"share whose columns name no instrument"`
	EventMissing    float64 `json:"event_missing" lo:"0" hi:"1" doc:"share of top-ups nobody wrote down"`
	EventKG         float64 `json:"event_kg" lo:"0" hi:"1" doc:"share with a wrong amount"`
	EventUnit       float64 `json:"event_unit" lo:"0" hi:"1" doc:"share with the number of pounds or grams under kg"`
	EventDate       float64 `json:"event_date" lo:"0" hi:"1" doc:"share with a date up to two months off"`
	EventSystem     float64 `json:"event_system" lo:"0" hi:"1" doc:"share written to another system"`
	KGError         Range   `json:"event_kg_error" lo:"0.01" hi:"20" doc:"wrong amount over the right one"`
	DateError       float64 `json:"event_date_days" lo:"0" hi:"365" doc:"how far a wrong date is off at most, days"`
}

// Records is how orderly the firm's papers are.
type Records struct {
	Signed    float64 `json:"signed" lo:"0" hi:"1" doc:"share of rows with certificate and person"`
	Reclaimed float64 `json:"reclaimed" lo:"0" hi:"1" doc:"share of additions of reclaimed refrigerant"`
	Unsaid    float64 `json:"unsaid" lo:"0" hi:"1" doc:"share of additions without a word on the refrigerant's quality"`
	Retested  float64 `json:"retested" lo:"0" hi:"1" doc:"share of repairs that somebody tested after"`
	Lapsed    float64 `json:"lapsed" lo:"0" hi:"1" doc:"share of systems that nobody checks for leaks any more after some time"`
	Age       float64 `json:"age_years" lo:"0.1" hi:"30" doc:"how old systems are at most when the logs begin, years"`
}
