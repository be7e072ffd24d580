package table

import "time"

// A Window is a stretch in which the plant was steady, or oscillating but
// stationary. Values are means over the window; _sd_k columns are the spread of
// the samples; _u_ columns the standard uncertainty of the mean, instruments included.
type Window struct {
	Start   time.Time `col:"start" doc:"first sample, UTC"`
	End     time.Time `col:"end" doc:"last sample, UTC"`
	Grade   string    `col:"grade" doc:"steady; oscillating (spread above the limits, mean stationary); spot (too short for a window, or never stationary: shown only); or single samples (those of a day at rest, too far apart for windows of short runs: they speak for the day in trends)"`
	Samples int64     `col:"samples" doc:"samples in the window"`
	Period  float64   `col:"period_s" unit:"s" doc:"hunting period where the window oscillates"`

	Superheat            float64 `col:"superheat_k" unit:"K" doc:"suction temperature above the dew temperature at suction pressure" u:"superheat_u_k"`
	SuperheatSD          float64 `col:"superheat_sd_k" unit:"K" doc:"spread of superheat in the window"`
	SuperheatU           float64 `col:"superheat_u_k" unit:"K" doc:"standard uncertainty of superheat: instruments, contact, reference and scatter" source:"JCGM 100:2008, 5.1.2"`
	SuperheatHalf        float64 `col:"superheat_u95_k" unit:"K" doc:"half of the interval that holds the true value in 95 of 100 cases, a gross error in forty and a clamp in thirty that sits badly among them; its factor on the standard uncertainty follows the shape of the distribution" source:"JCGM 101:2008, 7.7"`
	SuperheatSpreadU     float64 `col:"superheat_spread_u_k" unit:"K" doc:"standard uncertainty of the mean by the scatter of its samples alone; from window to window it averages out"`
	SuperheatRepeatU     float64 `col:"superheat_repeat_u_k" unit:"K" doc:"standard uncertainty between visits with the same instruments: what they show too much cancels"`
	SuperheatCorrection  float64 `col:"superheat_correction_k" unit:"K" doc:"by how much calibrations and the mean contact of clamps have changed it; null where nothing was corrected"`
	Subcooling           float64 `col:"subcooling_k" unit:"K" doc:"bubble temperature at discharge (or liquid) pressure above the liquid temperature" u:"subcooling_u_k"`
	SubcoolingSD         float64 `col:"subcooling_sd_k" unit:"K" doc:"spread of subcooling in the window"`
	SubcoolingU          float64 `col:"subcooling_u_k" unit:"K" doc:"standard uncertainty of subcooling: instruments, contact, reference and scatter" source:"JCGM 100:2008, 5.1.2"`
	SubcoolingHalf       float64 `col:"subcooling_u95_k" unit:"K" doc:"half of the interval that holds the true value in 95 of 100 cases, a gross error in forty and a clamp in thirty that sits badly among them; its factor on the standard uncertainty follows the shape of the distribution" source:"JCGM 101:2008, 7.7"`
	SubcoolingSpreadU    float64 `col:"subcooling_spread_u_k" unit:"K" doc:"standard uncertainty of the mean by the scatter of its samples alone; from window to window it averages out"`
	SubcoolingRepeatU    float64 `col:"subcooling_repeat_u_k" unit:"K" doc:"standard uncertainty between visits with the same instruments: what they show too much cancels"`
	SubcoolingCorrection float64 `col:"subcooling_correction_k" unit:"K" doc:"by how much calibrations and the mean contact of clamps have changed it; null where nothing was corrected"`
	EvaporatingTemp      float64 `col:"evaporating_temp_c" unit:"°C" doc:"dew temperature at suction pressure"`
	CondensingTemp       float64 `col:"condensing_temp_c" unit:"°C" doc:"dew temperature at discharge pressure"`
	DischargeSuperheat   float64 `col:"discharge_superheat_k" unit:"K" doc:"discharge temperature above the dew temperature at discharge pressure" u:"discharge_superheat_u_k"`
	DischargeU           float64 `col:"discharge_superheat_u_k" unit:"K" doc:"standard uncertainty of discharge superheat" source:"JCGM 100:2008, 5.1.2"`
	EvaporatorTD         float64 `col:"evaporator_td_k" unit:"K" doc:"medium entering the evaporator above the evaporating temperature" u:"evaporator_td_u_k"`
	EvaporatorTDU        float64 `col:"evaporator_td_u_k" unit:"K" doc:"standard uncertainty of evaporator_td_k" source:"JCGM 100:2008, 5.1.2"`
	CondenserTD          float64 `col:"condenser_td_k" unit:"K" doc:"condensing temperature above the medium entering the condenser" u:"condenser_td_u_k"`
	CondenserTDU         float64 `col:"condenser_td_u_k" unit:"K" doc:"standard uncertainty of condenser_td_k" source:"JCGM 100:2008, 5.1.2"`

	SuctionPressure       float64 `col:"suction_pressure_kpa" unit:"kPa" doc:"mean absolute suction pressure"`
	DischargePressure     float64 `col:"discharge_pressure_kpa" unit:"kPa" doc:"mean absolute discharge pressure"`
	LiquidPressure        float64 `col:"liquid_pressure_kpa" unit:"kPa" doc:"mean absolute pressure in the liquid line before the expansion device; subcooling counts from it where it is known"`
	SuctionTemp           float64 `col:"suction_temp_c" unit:"°C" doc:"mean suction gas temperature"`
	DischargeTemp         float64 `col:"discharge_temp_c" unit:"°C" doc:"mean discharge gas temperature"`
	LiquidTemp            float64 `col:"liquid_temp_c" unit:"°C" doc:"mean liquid temperature"`
	PressureRatio         float64 `col:"pressure_ratio" unit:"1" doc:"discharge over suction pressure, both absolute"`
	IsentropicEfficiency  float64 `col:"isentropic_efficiency" unit:"1" doc:"isentropic over actual enthalpy rise of the compressor, from the gas states" u:"isentropic_efficiency_u"`
	IsentropicEfficiencyU float64 `col:"isentropic_efficiency_u" unit:"1" doc:"standard uncertainty of isentropic_efficiency, by the instruments and the spread of their means" source:"JCGM 100:2008, 5.1.2"`
	CoolingCOP            float64 `col:"cooling_cop" unit:"1" doc:"cooling per compressor work" method:"from the refrigerant states; boundary: compressor" u:"cooling_cop_u"`
	CoolingCOPU           float64 `col:"cooling_cop_u" unit:"1" doc:"standard uncertainty of cooling_cop, by the instruments and the spread of their means" source:"JCGM 100:2008, 5.1.2"`
	HeatingCOP            float64 `col:"heating_cop" unit:"1" doc:"heating per compressor work" method:"from the refrigerant states; boundary: compressor" u:"heating_cop_u"`
	HeatingCOPU           float64 `col:"heating_cop_u" unit:"1" doc:"standard uncertainty of heating_cop, by the instruments and the spread of their means" source:"JCGM 100:2008, 5.1.2"`
	CarnotFraction        float64 `col:"carnot_fraction" unit:"1" doc:"cooling COP over the Carnot COP between the saturation temperatures (internal, dew); none below 8 K lift, with a subcooler, or above the critical point"`
	SinkHeat              float64 `col:"sink_heat_kw" unit:"kW" doc:"heat given to the water or brine of the condenser" method:"flow, density and heat capacity of water, temperature rise" source:"CRC Handbook of Chemistry and Physics, from memory"`
	Power                 float64 `col:"power_kw" unit:"kW" doc:"mean electric power of what the meter covers"`
	OutdoorTemp           float64 `col:"outdoor_temp_c" unit:"°C" doc:"mean temperature of the outdoor air, or of the medium entering the condenser; of a heat pump, entering the evaporator"`
	RoomTemp              float64 `col:"room_temp_c" unit:"°C" doc:"mean temperature of the medium entering the evaporator, or of the room; of a heat pump, entering the condenser"`
	ReceiverLevel         float64 `col:"receiver_level_pct" unit:"%" doc:"mean liquid level in the receiver"`

	Swing           float64 `col:"superheat_swing_k" unit:"K" doc:"amplitude of superheat where the valve hunts: √2 times its spread"`
	Duty            float64 `col:"superheat_duty" unit:"1" doc:"share of the time that superheat is above its mean, where the valve hunts"`
	SuperheatLimit  float64 `col:"superheat_limit_k" unit:"K" doc:"spread of superheat beyond which the window counts as oscillating: as configured, or less where the machine was calmer on the day or at the visits before; null of a spot"`
	SubcoolingLimit float64 `col:"subcooling_limit_k" unit:"K" doc:"spread of subcooling beyond which the window counts as oscillating: as configured, or less where the machine was calmer on the day or at the visits before; null of a spot"`

	StartUnknown bool `col:"start_unknown" doc:"the log began on a running machine less than ten minutes before: slopes and halves say that it had settled"`

	Provisional bool   `col:"provisional" doc:"shorter than asked for: shown, never used for trends"`
	RunningBy   string `col:"running_by" doc:"what says that the compressor ran: logged, speed, power, current, pressures, or assumed where nothing does"`
	Instruments string `col:"instruments" doc:"serials of the instruments the register names, separated by blanks; for channels without one a generic class is assumed"`
}

// Windows holds the stretches that may be judged.
func Windows() Table {
	return of[Window]("windows", BySystemMonth, "stretches in which the plant was steady or stationary; a window belongs to the month it starts in")
}

// A Visit is one stay at a system, or a day of a permanent logger, or the part
// of it before or after an intervention.
type Visit struct {
	Start   time.Time `col:"start" doc:"first sample, UTC"`
	End     time.Time `col:"end" doc:"last sample, UTC"`
	Part    string    `col:"part" doc:"as found, as left, or whole where nobody intervened"`
	Use     string    `col:"use" doc:"trend: judged; spot: too short for a window, shown only; none: not used"`
	Reason  string    `col:"reason" doc:"why it is not used for trends; empty where it is"`
	Samples int64     `col:"samples" doc:"samples"`
	Running float64   `col:"running_min" unit:"min" doc:"minutes with the compressor running"`
	Windows int64     `col:"windows" doc:"windows in it"`
	Judged  float64   `col:"judged_min" unit:"min" doc:"minutes in the windows that its values are means of"`
	Logged  float64   `col:"logged_min" unit:"min" doc:"minutes logged: each sample stands for the usual distance of samples"`
	Off     float64   `col:"off_min" unit:"min" doc:"minutes with the compressor standing still"`
	LeftOut float64   `col:"left_out_min" unit:"min" doc:"minutes of running that no window may hold: starting, pump-down, defrost and after it, hoses in the air; see table running"`
	SplitBy string    `col:"split_by" doc:"how the parts of a split visit are known: register (the event has its time) or detected (a standstill or a step in the log); empty for a whole one"`

	Instruments string `col:"instruments" doc:"serials of the instruments, or empty where the register does not name them"`
	Fingerprint string `col:"fingerprint" doc:"by what its instruments are known again: their serials, or else how the logger calls its columns; offsets cancel between visits of one fingerprint"`
	Engineer    string `col:"engineer" doc:"who was there by the events of that day, empty where the register does not say"`

	Superheat            float64 `col:"superheat_k" unit:"K" doc:"mean superheat" u:"superheat_u_k"`
	SuperheatU           float64 `col:"superheat_u_k" unit:"K" doc:"standard uncertainty of superheat: instruments, contact, reference and scatter" source:"JCGM 100:2008, 5.1.2"`
	SuperheatHalf        float64 `col:"superheat_u95_k" unit:"K" doc:"half of the interval that holds the true value in 95 of 100 cases, a gross error in forty and a clamp in thirty that sits badly among them; its factor on the standard uncertainty follows the shape of the distribution" source:"JCGM 101:2008, 7.7"`
	SuperheatRepeatU     float64 `col:"superheat_repeat_u_k" unit:"K" doc:"standard uncertainty between visits with the same instruments: what they show too much cancels"`
	SuperheatCorrection  float64 `col:"superheat_correction_k" unit:"K" doc:"by how much calibrations and the mean contact of clamps have changed it; null where nothing was corrected"`
	Subcooling           float64 `col:"subcooling_k" unit:"K" doc:"mean subcooling" u:"subcooling_u_k"`
	SubcoolingU          float64 `col:"subcooling_u_k" unit:"K" doc:"standard uncertainty of subcooling: instruments, contact, reference and scatter" source:"JCGM 100:2008, 5.1.2"`
	SubcoolingHalf       float64 `col:"subcooling_u95_k" unit:"K" doc:"half of the interval that holds the true value in 95 of 100 cases, a gross error in forty and a clamp in thirty that sits badly among them; its factor on the standard uncertainty follows the shape of the distribution" source:"JCGM 101:2008, 7.7"`
	SubcoolingRepeatU    float64 `col:"subcooling_repeat_u_k" unit:"K" doc:"standard uncertainty between visits with the same instruments: what they show too much cancels"`
	SubcoolingCorrection float64 `col:"subcooling_correction_k" unit:"K" doc:"by how much calibrations and the mean contact of clamps have changed it; null where nothing was corrected"`
	EvaporatingTemp      float64 `col:"evaporating_temp_c" unit:"°C" doc:"mean evaporating (dew) temperature"`
	CondensingTemp       float64 `col:"condensing_temp_c" unit:"°C" doc:"mean condensing (dew) temperature"`
	DischargeSuperheat   float64 `col:"discharge_superheat_k" unit:"K" doc:"mean discharge superheat" u:"discharge_superheat_u_k"`
	DischargeU           float64 `col:"discharge_superheat_u_k" unit:"K" doc:"standard uncertainty of discharge superheat" source:"JCGM 100:2008, 5.1.2"`
	EvaporatorTD         float64 `col:"evaporator_td_k" unit:"K" doc:"mean medium entering the evaporator above evaporating temperature" u:"evaporator_td_u_k"`
	EvaporatorTDU        float64 `col:"evaporator_td_u_k" unit:"K" doc:"standard uncertainty of evaporator_td_k" source:"JCGM 100:2008, 5.1.2"`
	CondenserTD          float64 `col:"condenser_td_k" unit:"K" doc:"mean condensing temperature above the medium entering the condenser" u:"condenser_td_u_k"`
	CondenserTDU         float64 `col:"condenser_td_u_k" unit:"K" doc:"standard uncertainty of condenser_td_k" source:"JCGM 100:2008, 5.1.2"`

	SuctionPressure       float64 `col:"suction_pressure_kpa" unit:"kPa" doc:"mean absolute suction pressure"`
	DischargePressure     float64 `col:"discharge_pressure_kpa" unit:"kPa" doc:"mean absolute discharge pressure"`
	LiquidPressure        float64 `col:"liquid_pressure_kpa" unit:"kPa" doc:"mean absolute pressure in the liquid line before the expansion device; subcooling counts from it where it is known"`
	SuctionTemp           float64 `col:"suction_temp_c" unit:"°C" doc:"mean suction gas temperature"`
	DischargeTemp         float64 `col:"discharge_temp_c" unit:"°C" doc:"mean discharge gas temperature"`
	LiquidTemp            float64 `col:"liquid_temp_c" unit:"°C" doc:"mean liquid temperature"`
	IsentropicEfficiency  float64 `col:"isentropic_efficiency" unit:"1" doc:"mean isentropic efficiency" u:"isentropic_efficiency_u"`
	IsentropicEfficiencyU float64 `col:"isentropic_efficiency_u" unit:"1" doc:"standard uncertainty of isentropic_efficiency, by the instruments and the spread of their means" source:"JCGM 100:2008, 5.1.2"`
	CoolingCOP            float64 `col:"cooling_cop" unit:"1" doc:"mean cooling COP; boundary: compressor" u:"cooling_cop_u"`
	CoolingCOPU           float64 `col:"cooling_cop_u" unit:"1" doc:"standard uncertainty of cooling_cop, by the instruments and the spread of their means" source:"JCGM 100:2008, 5.1.2"`
	HeatingCOP            float64 `col:"heating_cop" unit:"1" doc:"mean heating COP; boundary: compressor" u:"heating_cop_u"`
	HeatingCOPU           float64 `col:"heating_cop_u" unit:"1" doc:"standard uncertainty of heating_cop, by the instruments and the spread of their means" source:"JCGM 100:2008, 5.1.2"`
	CarnotFraction        float64 `col:"carnot_fraction" unit:"1" doc:"mean internal Carnot fraction"`
	SinkHeat              float64 `col:"sink_heat_kw" unit:"kW" doc:"mean heat given to the water or brine of the condenser" source:"CRC Handbook of Chemistry and Physics, from memory"`
	Power                 float64 `col:"power_kw" unit:"kW" doc:"mean electric power of what the meter covers"`
	OutdoorTemp           float64 `col:"outdoor_temp_c" unit:"°C" doc:"mean temperature of the outdoor air, or of the medium entering the condenser; of a heat pump, entering the evaporator"`
	RoomTemp              float64 `col:"room_temp_c" unit:"°C" doc:"mean temperature of the medium entering the evaporator, or of the room; of a heat pump, entering the condenser"`
	ReceiverLevel         float64 `col:"receiver_level_pct" unit:"%" doc:"mean liquid level in the receiver"`
	StandstillExcess      float64 `col:"standstill_excess_k" unit:"K" doc:"before the first start: by how much the high pressure lay above saturation at the temperature of the liquid beside it, below 0 only where the low one lay below its own as well; gas that does not condense raises it, and as long as any liquid is left it does not fall" u:"subcooling_u_k"`

	Mode  string `col:"mode" doc:"cooling or heating, of a machine that can do both; empty where it can do one, or nothing tells"`
	Doubt string `col:"doubt" doc:"rules about mistakes of those who log (D1 to D33) for which something of this visit is hidden, separated by blanks; see table quality"`
}

// Grades of windows that say less than a window does: shown only, or a day's single samples.
const (
	GradeSpot    = "spot"
	GradeSingles = "single samples"
)

// The parts of a stay.
const (
	Whole   = "whole"
	AsFound = "as found"
	AsLeft  = "as left"
)

// How the parts of a split visit are known.
const (
	SplitByRegister = "register"
	SplitDetected   = "detected"
)

// What a visit is used for.
const (
	UseTrend = "trend"
	UseSpot  = "spot"
	UseNone  = "none"
)

// Visits holds the stays at a system, in time order.
func Visits() Table {
	return of[Visit]("visits", BySystem, "stays at a system (a day each for permanent loggers), split at interventions")
}

// A Trend is what was known about one feature of a system on the day of a visit,
// from the visits up to then only. Visits within a week share one decision.
type Trend struct {
	DecidedOn time.Time `col:"decided_on" doc:"the visit after which this was worked out"`
	Feature   string    `col:"feature" doc:"the feature, by its column in visits"`
	Verdict   string    `col:"verdict" doc:"falling, rising, within noise, or not judged"`
	Note      string    `col:"note" doc:"what limits the verdict, or why there is none"`
	Visits    int64     `col:"visits" doc:"visits used"`
	Since     time.Time `col:"since" doc:"first visit used: the first after the last reset"`
	Suspected time.Time `col:"suspected_since" doc:"fitted onset of the change"`

	PerYear  float64 `col:"per_year" unit:"K/a" doc:"slope after the outdoor temperature's part is taken out; where the note names a baseline, the present rate after the onset" method:"Theil-Sen; after an onset generalized least squares" source:"Theil (1950); Sen (1968)"`
	Lo       float64 `col:"per_year_lo" unit:"K/a" doc:"lower end of the slope's interval"`
	Hi       float64 `col:"per_year_hi" unit:"K/a" doc:"upper end of the slope's interval"`
	Change   float64 `col:"change_k" unit:"K" doc:"change over the visits used; where the note names a baseline, against it"`
	ChangeLo float64 `col:"change_lo_k" unit:"K" doc:"lower end of the change's interval"`
	ChangeHi float64 `col:"change_hi_k" unit:"K" doc:"upper end of the change's interval"`

	Level        float64 `col:"level_k" unit:"K" doc:"fitted value at the latest visit, at the reference outdoor temperature"`
	PerOutdoor   float64 `col:"per_outdoor_k" unit:"K/K" doc:"how the feature moves with outdoor temperature"`
	OutdoorRef   float64 `col:"outdoor_ref_c" unit:"°C" doc:"reference outdoor temperature: the median of the visits used"`
	Noise        float64 `col:"noise_k" unit:"K" doc:"spread of the visits about the fit"`
	Significance float64 `col:"p_value" unit:"1" doc:"chance of such a change in noise" method:"Kendall's test of the slope; against a baseline, the best of all onsets with the choice paid for" source:"Mann (1945); Kendall (1975)"`
}

// Trends holds what was known of each feature after each visit.
func Trends() Table {
	return of[Trend]("trends", BySystem, "what was known of each feature after each visit, decided from data up to it only")
}

// A Finding is one thing worth a person's time.
type Finding struct {
	ID        string    `col:"id" doc:"survives re-analysis: system, kind and episode"`
	Rank      int64     `col:"rank" doc:"1 is the most urgent of the open ones"`
	System    string    `col:"system" doc:"the system"`
	Site      string    `col:"site" doc:"the site's name"`
	Kind      string    `col:"kind" doc:"charge loss, condenser fouling, evaporator fouling, ..."`
	State     string    `col:"state" doc:"open, answered, closed by data, or withdrawn"`
	RaisedOn  time.Time `col:"raised_on" doc:"date of the visit that raised it"`
	ChangedOn time.Time `col:"changed_on" doc:"date of the visit that last changed it"`
	ClearedOn time.Time `col:"cleared_on" doc:"date of the visit that closed it"`
	Suspected time.Time `col:"suspected_since" doc:"fitted onset"`

	Feature     string  `col:"feature" doc:"the feature that carries it, by its column in visits"`
	Size        float64 `col:"size_k" unit:"K" doc:"how far the feature moved, as of the latest visit"`
	SizeLo      float64 `col:"size_lo_k" unit:"K" doc:"lower end of the interval"`
	SizeHi      float64 `col:"size_hi_k" unit:"K" doc:"upper end of the interval"`
	PerYear     float64 `col:"per_year" unit:"K/a" doc:"slope as of the latest visit" source:"Theil (1950); Sen (1968)"`
	PerYearLo   float64 `col:"per_year_lo" unit:"K/a" doc:"lower end of the slope's interval"`
	PerYearHi   float64 `col:"per_year_hi" unit:"K/a" doc:"upper end of the slope's interval"`
	RaisedSize  float64 `col:"raised_size_k" unit:"K" doc:"size as it stood when raised"`
	RaisedYear  float64 `col:"raised_per_year" unit:"K/a" doc:"slope as it stood when raised"`
	Visits      int64   `col:"visits" doc:"visits behind it"`
	Evidence    string  `col:"evidence" doc:"which features moved, by how much, over which visits, at which conditions"`
	Alternative string  `col:"alternative" doc:"what else it could be"`
	NextCheck   string  `col:"next_check" doc:"what to check on site"`
	LimitedBy   string  `col:"limited_by" doc:"empty register fields and missing channels that limit it"`

	Probability  float64 `col:"probability" unit:"1" doc:"that what it names is there, by how often findings that are raised on such a cause are right, as it stood when raised"`
	Causes       string  `col:"causes" doc:"causes and their probabilities as of the latest visit, the likeliest first, unclear among them"`
	RaisedCauses string  `col:"raised_causes" doc:"causes and their probabilities as they stood when raised"`
	Lost         float64 `col:"lost_pct" unit:"%" doc:"charge lost as of the latest visit, of the system's charge"`
	LostLo       float64 `col:"lost_pct_lo" unit:"%" doc:"lower end of the 90 % interval"`
	LostHi       float64 `col:"lost_pct_hi" unit:"%" doc:"upper end of the 90 % interval"`
	LossPct      float64 `col:"loss_pct_per_year" unit:"%/a" doc:"charge lost a year, of the system's charge"`
	LossPctLo    float64 `col:"loss_pct_per_year_lo" unit:"%/a" doc:"lower end of the 90 % interval"`
	LossPctHi    float64 `col:"loss_pct_per_year_hi" unit:"%/a" doc:"upper end of the 90 % interval"`
	LossKG       float64 `col:"loss_kg_per_year" unit:"kg/a" doc:"charge lost a year; none where the register has no charge"`
	LossKGLo     float64 `col:"loss_kg_per_year_lo" unit:"kg/a" doc:"lower end of the 90 % interval"`
	LossKGHi     float64 `col:"loss_kg_per_year_hi" unit:"kg/a" doc:"upper end of the 90 % interval"`
	LossCO2e     float64 `col:"loss_co2e_t_per_year" unit:"t/a" doc:"the same in tonnes of CO2 equivalent, by the 100-year potential of AR4; none where the refrigerant has no known one" source:"IPCC AR4 (2007), Table 2.14"`
	LossCO2eLo   float64 `col:"loss_co2e_t_per_year_lo" unit:"t/a" doc:"lower end of the 90 % interval"`
	LossCO2eHi   float64 `col:"loss_co2e_t_per_year_hi" unit:"t/a" doc:"upper end of the 90 % interval"`
	CalibratedBy int64   `col:"calibrated_by" doc:"weighed additions and recoveries that calibrate the estimate; 0: generic"`

	Now        float64   `col:"probability_now" unit:"1" doc:"that it is there as of the latest visit, with what people saw there; none for what is closed"`
	Reason     string    `col:"reason" doc:"why it is answered, closed or withdrawn; empty while it is open"`
	Answer     string    `col:"answer" doc:"what the person who was sent saw: confirmed, other cause or nothing found; empty where nobody answered"`
	AnsweredOn time.Time `col:"answered_on" doc:"day of that, by the site's clock"`
	AnsweredBy string    `col:"answered_by" doc:"who was there"`
	AnswerNote string    `col:"answer_note" doc:"what they noted"`
	Observed   string    `col:"observed" doc:"what the latest visit showed, of a finding about how the machine stands and not how it changed; empty for others"`
	Limit      string    `col:"limit" doc:"what the change leads to, of losses of charge and fouled coils; with : met where it is reached"`
	LimitOn    time.Time `col:"limit_on" doc:"day on which that will be met if it goes on so; null where it is further off than ten years"`
	LimitOnLo  time.Time `col:"limit_on_lo" doc:"the same by the fast ends of the intervals"`
	LimitOnHi  time.Time `col:"limit_on_hi" doc:"the same by the slow ends of the intervals"`
	Settles    string    `col:"settles" doc:"the measurement that would tell its cause from the likeliest other one, unclear among them; empty where the cause is sure enough"`
	Waiting    float64   `col:"waiting_cost" doc:"expected cost of waiting another quarter of a year, by the weights in the options; null without weights"`
	QuietUntil time.Time `col:"quiet_until" doc:"last day on which nobody wants to hear of it"`
}

// Findings holds what is worth a person's time, most urgent first.
func Findings() Table {
	return of[Finding]("findings", ByFleet, "what is worth a person's time, most urgent first, closed ones last")
}
