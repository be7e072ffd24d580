package table

import "time"

// An EnergyWindow is the performance in one window, by each route the channels
// allow. Useful heat is the cold of a machine that cools, the warmth of one that
// heats. Figures of different boundaries are different quantities.
type EnergyWindow struct {
	Start    time.Time `col:"start" doc:"first sample of the window, UTC"`
	End      time.Time `col:"end" doc:"last sample of the window, UTC"`
	Mode     string    `col:"mode" doc:"cooling or heating: what the machine was for"`
	Outdoor  float64   `col:"outdoor_temp_c" unit:"°C" doc:"mean temperature of the outdoor air, or of what enters on that side"`
	Lift     float64   `col:"lift_k" unit:"K" doc:"condensing above evaporating (dew) temperature"`
	Power    float64   `col:"power_kw" unit:"kW" doc:"mean electric power of what the meter covers"`
	Covers   string    `col:"power_covers" doc:"the boundary of the power meter, from the register; unknown where it does not say"`
	Route    string    `col:"route" doc:"how the heat of cop was found: the most direct route there is"`
	Boundary string    `col:"boundary" doc:"what cop counts as electricity: compressor, unit with fans, with pumps and controls, with supplementary heat, or unknown"`
	COP      float64   `col:"cop" unit:"1" doc:"useful heat over electricity" u:"cop_u"`
	COPU     float64   `col:"cop_u" unit:"1" doc:"standard uncertainty of cop by instruments and what was assumed: the same on every day with the same instruments"`
	Capacity float64   `col:"capacity_kw" unit:"kW" doc:"useful heat; none where the meter covers more than the route's compressor"`
	Specific float64   `col:"kw_per_kw" unit:"1" doc:"specific consumption: electricity over useful heat"`
	Internal float64   `col:"carnot_internal" unit:"1" doc:"cop over Carnot's between evaporating and condensing (dew) temperatures; none below 8 K lift"`
	External float64   `col:"carnot_external" unit:"1" doc:"cop over Carnot's between the media; none below 8 K lift; never mixed with the internal one"`

	ByMeter    float64 `col:"cop_by_heat_meter" unit:"1" doc:"COP by flow and temperature rise of the water that is used"`
	ByFlow     float64 `col:"cop_by_refrigerant_flow" unit:"1" doc:"COP by refrigerant flow and enthalpies"`
	ByStates   float64 `col:"cop_by_states" unit:"1" doc:"COP by enthalpies alone; boundary: compressor; shell loss 5.5 ± 2.5 % assumed"`
	ByAir      float64 `col:"cop_by_air" unit:"1" doc:"COP by the air's flow from the register, its temperatures and its moisture"`
	ByRejected float64 `col:"cop_by_rejected_heat" unit:"1" doc:"COP by the heat meter of the other side and the compressor's work"`

	Ratio    float64 `col:"routes_ratio" unit:"1" doc:"COP by one route over that by another of the same boundary, of the two that are furthest apart for their doubt; none where there is one route"`
	RatioU   float64 `col:"routes_ratio_u" unit:"1" doc:"standard uncertainty of that ratio, as a share of it"`
	Compared string  `col:"routes_compared" doc:"the two routes"`

	Discharge   float64 `col:"discharge_temp_c" unit:"°C" doc:"discharge gas as it would settle, less what calibration and contact are known to add: what cop_by_states rests on"`
	Index       float64 `col:"power_index" unit:"kW/kPa" doc:"power over suction pressure and the work of an ideal compression: tells a changed power meter"`
	Flag        string  `col:"flag" doc:"the rule the window breaks: a data error, never averaged in; empty where it is sound"`
	Evidence    string  `col:"evidence" doc:"what shows the data error"`
	Instruments string  `col:"instruments" doc:"serials of the instruments the register names"`
}

// EnergyWindows holds the performance window by window.
func EnergyWindows() Table {
	return of[EnergyWindow]("energy_windows", BySystemMonth, "power, capacity and COP of each window by each route, with its boundary")
}

// An EnergyHour is what went by in an hour.
type EnergyHour struct {
	Start    time.Time `col:"start" doc:"beginning of the hour, UTC"`
	Covered  float64   `col:"covered_h" unit:"h" doc:"time with electricity known"`
	KWh      float64   `col:"electricity_kwh" unit:"kWh" doc:"electricity in that time; nothing is made up over gaps"`
	Counter  bool      `col:"from_counter" doc:"from an energy counter; else power over time"`
	Observed float64   `col:"observed_h" unit:"h" doc:"time in which it is known whether the compressor ran"`
	Running  float64   `col:"running_h" unit:"h" doc:"time it ran"`
	Heat     float64   `col:"heat_kwh" unit:"kWh" doc:"metered useful heat while electricity was known too"`
	HeatFor  float64   `col:"heat_electricity_kwh" unit:"kWh" doc:"electricity of those same moments"`
	HeatTime float64   `col:"heat_h" unit:"h" doc:"how long both were known"`
	Outdoor  float64   `col:"outdoor_temp_c" unit:"°C" doc:"mean outdoor temperature"`
	Room     float64   `col:"room_temp_c" unit:"°C" doc:"mean temperature of the room, or of what enters the evaporator"`
}

// EnergyHours holds electricity, running time and metered heat by the hour.
func EnergyHours() Table {
	return of[EnergyHour]("energy_hours", BySystemMonth, "electricity, running time and metered heat by the hour; gaps stay gaps")
}

// An EnergyDay is a day by the site's calendar.
type EnergyDay struct {
	Day      time.Time `col:"day" doc:"midnight at the site, UTC"`
	Mode     string    `col:"mode" doc:"cooling or heating, as it mostly ran"`
	KWh      float64   `col:"electricity_kwh" unit:"kWh" doc:"electricity in the time covered; none where the meter was in error"`
	Covered  float64   `col:"covered_h" unit:"h" doc:"time with electricity known"`
	Complete bool      `col:"complete" doc:"electricity is known for all but half an hour of the day: such days make models and savings"`
	KWhBy    string    `col:"electricity_by" doc:"counter, power, or empty"`
	Running  float64   `col:"running_h" unit:"h" doc:"time the compressor ran"`
	Duty     float64   `col:"duty_pct" unit:"%" doc:"share of the observed time that it ran"`
	Outdoor  float64   `col:"outdoor_temp_c" unit:"°C" doc:"mean outdoor temperature"`
	Room     float64   `col:"room_temp_c" unit:"°C" doc:"mean temperature of the room, or of what enters the evaporator"`
	Power    float64   `col:"power_kw" unit:"kW" doc:"mean power in windows"`
	Capacity float64   `col:"capacity_kw" unit:"kW" doc:"mean useful heat in windows"`
	Route    string    `col:"route" doc:"how the heat of cop was found"`
	Boundary string    `col:"boundary" doc:"what cop counts as electricity"`
	COP      float64   `col:"cop" unit:"1" doc:"useful heat over electricity: metered over the day, or that of the windows" u:"cop_u"`
	COPU     float64   `col:"cop_u" unit:"1" doc:"standard uncertainty by instruments and what was assumed"`
	Specific float64   `col:"kw_per_kw" unit:"1" doc:"specific consumption: electricity over useful heat"`
	Internal float64   `col:"carnot_internal" unit:"1" doc:"mean internal Carnot fraction"`
	External float64   `col:"carnot_external" unit:"1" doc:"mean external Carnot fraction"`
	Heat     float64   `col:"heat_kwh" unit:"kWh" doc:"useful heat of the time covered: metered, or electricity times cop where the two have one boundary"`
	Windows  int64     `col:"windows" doc:"windows behind cop"`
	Flagged  int64     `col:"flagged_windows" doc:"windows left out as data errors"`
	Flag     string    `col:"flag" doc:"the first rule that was broken on the day, or empty"`
	Ratio    float64   `col:"routes_ratio" unit:"1" doc:"COP by one route over that by another of the same boundary: median of the windows; none where there is one route"`
	RatioU   float64   `col:"routes_ratio_u" unit:"1" doc:"standard uncertainty of that ratio, as a share of it, by instruments and what was assumed"`
	Compared string    `col:"routes_compared" doc:"the two routes"`
}

// EnergyDays holds the days of a system.
func EnergyDays() Table {
	return of[EnergyDay]("energy_days", BySystem, "electricity, useful heat, COP and duty day by day, with route and boundary")
}

// A Season is half a year of a system, one of its bins, or a seasonal figure made of
// its bins.
type Season struct {
	Season   string    `col:"season" doc:"the half-year, such as 2024/25 Oct-Mar"`
	From     time.Time `col:"from" doc:"its first day"`
	To       time.Time `col:"to" doc:"the day after its last"`
	What     string    `col:"what" doc:"season; bin; or a seasonal figure by EN 14825's weights: field, not rated"`
	Mode     string    `col:"mode" doc:"cooling or heating"`
	Route    string    `col:"route" doc:"how the heat was found"`
	Boundary string    `col:"boundary" doc:"what counts as electricity"`
	Axis     string    `col:"axis" doc:"what bins are made of: outdoor temperature, °C, or lift, K"`
	Lo       float64   `col:"bin_from" unit:"°C or K" doc:"lower end of the bin"`
	Hi       float64   `col:"bin_to" unit:"°C or K" doc:"upper end of the bin, not in it"`
	Windows  int64     `col:"windows" doc:"windows"`
	Days     int64     `col:"days" doc:"days with windows"`
	Hours    float64   `col:"hours_h" unit:"h" doc:"time in windows"`
	COP      float64   `col:"cop" unit:"1" doc:"useful heat over electricity; of a bin, at its middle" u:"cop_se"`
	COPLo    float64   `col:"cop_lo" unit:"1" doc:"lower end of the 90 % interval, instruments included"`
	COPHi    float64   `col:"cop_hi" unit:"1" doc:"upper end of the 90 % interval, instruments included"`
	SE       float64   `col:"cop_se" unit:"1" doc:"standard error by scatter from day to day alone"`
	U        float64   `col:"cop_u" unit:"1" doc:"standard uncertainty by instruments and what was assumed: cancels between seasons with the same instruments"`
	Power    float64   `col:"power_kw" unit:"kW" doc:"mean power in windows" u:"power_se_kw"`
	PowerSE  float64   `col:"power_se_kw" unit:"kW" doc:"standard error of the mean power"`
	KWh      float64   `col:"electricity_kwh" unit:"kWh" doc:"electricity of the season's complete days"`
	KWhDays  int64     `col:"electricity_days" doc:"complete days behind it"`
	Degrees  float64   `col:"degree_days" unit:"K·d" doc:"degree days of these: below 15 °C for heating, above it for cooling"`
	Normal   float64   `col:"electricity_normal_kwh" unit:"kWh" doc:"the same electricity in the weather of the season it is compared with" method:"the part that a 3P model says follows the weather is scaled by degree days a day; the rest stays"`
	Against  string    `col:"against" doc:"the season it is compared with: the same half-year before"`
	Change   float64   `col:"change_pct" unit:"%" doc:"change of COP against it in common bins; above 0 is better"`
	ChangeLo float64   `col:"change_lo_pct" unit:"%" doc:"lower end of the 90 % interval"`
	ChangeHi float64   `col:"change_hi_pct" unit:"%" doc:"upper end of the 90 % interval"`
	Verdict  string    `col:"verdict" doc:"better, worse, within noise, or not compared"`
	Common   int64     `col:"common_bins" doc:"bins that both seasons share"`
	Sensors  string    `col:"instruments" doc:"serials of the instruments"`
	Note     string    `col:"note" doc:"what limits the figure, or why there is none"`
}

// Seasons holds the seasons of a system.
func Seasons() Table {
	return of[Season]("seasons", BySystem, "COP and power by half-year and by bins of outdoor temperature, and what changed in common bins")
}

// A Saving is what an event avoided, or why nothing can be said.
type Saving struct {
	Event   string    `col:"event" doc:"what was done"`
	On      time.Time `col:"on" doc:"when"`
	Stated  bool      `col:"stated" doc:"the model qualifies and the saving is beyond noise"`
	Why     string    `col:"why" doc:"why it is not stated; empty where it is"`
	Model   string    `col:"model" doc:"form of the model of daily electricity over outdoor temperature that tells the days before best"`
	Point   float64   `col:"change_point_c" unit:"°C" doc:"its change point, the lower of two"`
	Point2  float64   `col:"change_point_hi_c" unit:"°C" doc:"the upper of two"`
	CV      float64   `col:"cv_rmse_pct" unit:"%" doc:"CV(RMSE) with n-p" source:"ASHRAE Guideline 14-2014, 5.2.11, from memory"`
	NMBE    float64   `col:"nmbe_pct" unit:"%" doc:"NMBE with n-p; positive where the model is too low" source:"ASHRAE Guideline 14-2014, 5.2.11, from memory"`
	Path    string    `col:"path" doc:"the limits it was held to"`
	Rho     float64   `col:"autocorrelation" unit:"1" doc:"of what the lines of the effect leave over, from day to day"`
	Before  int64     `col:"days_before" doc:"complete days the model is made from"`
	After   int64     `col:"days_after" doc:"complete days after with weather as before"`
	Outside int64     `col:"days_outside" doc:"days after, left out for weather seldom seen before"`
	Stood   int64     `col:"days_stood" doc:"days before and after, left out because the machine stood on them or beside them, though it mostly runs in such weather"`
	Coldest float64   `col:"coldest_c" unit:"°C" doc:"outdoor temperature below which days after were left out"`
	Warmest float64   `col:"warmest_c" unit:"°C" doc:"outdoor temperature above which days after were left out"`
	Until   time.Time `col:"until" doc:"the day after the last day that counts"`
	Actual  float64   `col:"actual_kwh" unit:"kWh" doc:"electricity of the days after"`
	Expect  float64   `col:"expected_kwh" unit:"kWh" doc:"electricity of the same days, had nothing been done" method:"actual and the effect of the event: days before and after are told together by lines over outdoor temperature that may bend, those before by one more, times how far what the event ended had come; what changed besides, from some day on, is told apart and counts before and after" source:"penalized splines with spreads by restricted likelihood: Ruppert, Wand and Carroll, Semiparametric Regression (2003), from memory"`
	Avoided float64   `col:"avoided_kwh" unit:"kWh" doc:"expected less actual" u:"avoided_u_kwh"`
	U       float64   `col:"avoided_u_kwh" unit:"kWh" doc:"standard uncertainty of what was avoided, autocorrelation included"`
	Lo68    float64   `col:"avoided_lo68_kwh" unit:"kWh" doc:"lower end of the 68 % interval"`
	Hi68    float64   `col:"avoided_hi68_kwh" unit:"kWh" doc:"upper end of the 68 % interval"`
	Lo90    float64   `col:"avoided_lo90_kwh" unit:"kWh" doc:"lower end of the 90 % interval"`
	Hi90    float64   `col:"avoided_hi90_kwh" unit:"kWh" doc:"upper end of the 90 % interval"`
	Lo95    float64   `col:"avoided_lo95_kwh" unit:"kWh" doc:"lower end of the 95 % interval"`
	Hi95    float64   `col:"avoided_hi95_kwh" unit:"kWh" doc:"upper end of the 95 % interval"`
	Price   float64   `col:"price_per_kwh" unit:"money/kWh" doc:"mean price of those days, from tariffs.csv"`
	Money   float64   `col:"avoided_money" unit:"money" doc:"what was avoided, at that price"`
	MoneyLo float64   `col:"avoided_lo90_money" unit:"money" doc:"lower end of its 90 % interval"`
	MoneyHi float64   `col:"avoided_hi90_money" unit:"money" doc:"upper end of its 90 % interval"`
	Unit    string    `col:"currency" doc:"of the money"`
	CO2e    float64   `col:"avoided_co2e_t" unit:"t" doc:"what was avoided, at the emission factor of those days"`
	CO2eLo  float64   `col:"avoided_lo90_co2e_t" unit:"t" doc:"lower end of its 90 % interval"`
	CO2eHi  float64   `col:"avoided_hi90_co2e_t" unit:"t" doc:"upper end of its 90 % interval"`
}

// Savings holds what events avoided.
func Savings() Table {
	return of[Saving]("savings", BySystem, "electricity avoided by events in the weather of the days after, with intervals, or why nothing can be said")
}

// A Loss is one part of a system's electricity over its latest year.
type Loss struct {
	Part     string    `col:"part" doc:"least work between the media, evaporator difference, condenser difference, head-pressure floor, throttling and hot gas, superheat, subcooling, suction line, compressor"`
	From     time.Time `col:"from" doc:"first day of the windows behind it"`
	To       time.Time `col:"to" doc:"last day of the windows behind it"`
	K        float64   `col:"size_k" unit:"K" doc:"the temperature difference behind it"`
	Share    float64   `col:"share_pct" unit:"%" doc:"share of the compressor's electricity; below 0 where it saves" method:"each part is what its step adds to the least work, in the order of the rows"`
	KWh      float64   `col:"electricity_kwh_per_year" unit:"kWh/a" doc:"electricity of the part, a year"`
	Cost     float64   `col:"cost_per_year" unit:"money/a" doc:"cost of the part, a year, at the latest price of tariffs.csv"`
	Currency string    `col:"currency" doc:"of the costs"`
	Best     float64   `col:"own_best_k" unit:"K" doc:"the system's own best at the same outdoor temperature: what a quarter of the days of like weather do better than, by means of two weeks; mean over the latest year's days"`
	Gain     float64   `col:"gain_pct" unit:"%" doc:"electricity saved by restoring the system's own best"`
	GainKWh  float64   `col:"gain_kwh_per_year" unit:"kWh/a" doc:"the same, a year"`
	GainCost float64   `col:"gain_cost_per_year" unit:"money/a" doc:"the same in money"`
	Windows  int64     `col:"windows" doc:"windows behind it"`
	Note     string    `col:"note" doc:"what limits it"`
}

// Losses holds where a system's electricity goes.
func Losses() Table {
	return of[Loss]("losses", BySystem, "where the electricity goes: the split from the least work to the real one, with cost and what restoring the own best would gain")
}

// A Ranking is where a system stands among those of its kind.
type Ranking struct {
	Group    string  `col:"group" doc:"what its members share: kind, refrigerant, mode, route and boundary"`
	System   string  `col:"system" doc:"the system"`
	Rank     int64   `col:"rank" doc:"1 is the best; 0 where it is not ranked"`
	Sets     string  `col:"sets" doc:"letters; systems of a group that share one cannot be told apart"`
	Percent  float64 `col:"against_middle_pct" unit:"%" doc:"COP against the middle of the group at equal outdoor temperatures"`
	Lo       float64 `col:"against_middle_lo_pct" unit:"%" doc:"lower end of the 90 % interval, instruments included"`
	Hi       float64 `col:"against_middle_hi_pct" unit:"%" doc:"upper end of the 90 % interval"`
	COP      float64 `col:"cop" unit:"1" doc:"mean of its seasons, in its own weather: not for comparison"`
	KWh      float64 `col:"electricity_kwh_per_year" unit:"kWh/a" doc:"electricity a year"`
	Gain     float64 `col:"gain_pct" unit:"%" doc:"electricity saved by reaching the group's middle; none for those above it"`
	GainKWh  float64 `col:"gain_kwh_per_year" unit:"kWh/a" doc:"the same, a year"`
	GainCost float64 `col:"gain_cost_per_year" unit:"money/a" doc:"the same in money"`
	Currency string  `col:"currency" doc:"of the money"`
	Bins     int64   `col:"bins" doc:"bins it shares with others"`
	Why      string  `col:"why" doc:"why it is not ranked, or empty"`
}

// Rankings holds the comparison of systems of one kind.
func Rankings() Table {
	return of[Ranking]("energy_ranking", ByFleet, "systems of one kind, refrigerant, mode, route and boundary, compared at equal outdoor temperatures")
}
