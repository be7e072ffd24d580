package demofleet

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// A Mix says how often and how strongly things happen in a fleet. Every field has
// its limits and its meaning in its tags; Schema prints them.
type Mix struct {
	Kinds    Kinds    `json:"kinds" doc:"how often each kind of system occurs, relative to the others"`
	Fluids   Weights  `json:"refrigerants" doc:"how often each refrigerant occurs, relative to the others of a kind"`
	Devices  Weights  `json:"expansion" doc:"how often each expansion device occurs, relative to the others of a kind"`
	Weather  Weather  `json:"weather" doc:"outdoors"`
	Machines Machines `json:"machines" doc:"how systems of a kind differ"`
	Faults   Faults   `json:"faults" doc:"what goes wrong"`
	Changes  Changes  `json:"changes" doc:"what changes without being a fault"`
	Stays    Stays    `json:"stays" doc:"permanent loggers in a fleet with mixed logging"`
	Loggers  Weights  `json:"loggers" doc:"how often each make of logger comes to a system, relative to the others"`
	Visits   Visits   `json:"visits" doc:"when and how long somebody logs"`
	Meters   Meters   `json:"meters" doc:"what is measured of electricity and heat"`
	Sensors  Sensors  `json:"sensors" doc:"the instruments"`
	Mistakes Mistakes `json:"mistakes" doc:"share of visit logs with each mistake of the people who log"`
	Quirks   Quirks   `json:"quirks" doc:"share of visit logs whose export differs from the logger's usual one"`
	Slips    Slips    `json:"slips" doc:"what is wrong in the register"`
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
	Warmer float64 `json:"warmer_k" lo:"-20" hi:"20" doc:"how much warmer it is all the time, K"`
	Season float64 `json:"season" lo:"0" hi:"3" doc:"swing of the seasons, 1 is usual"`
	Daily  float64 `json:"daily" lo:"0" hi:"3" doc:"swing of the day, 1 is usual"`
	Spells float64 `json:"spells" lo:"0.01" hi:"3" doc:"how strong warm and cold spells are, 1 is usual"`
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
	Superheat      Range   `json:"superheat_k" lo:"-3" hi:"5" doc:"superheat at the design point above that of the kind, as far as the source allows, K"`
	Subcooling     Range   `json:"subcooling_k" lo:"-3" hi:"6" doc:"subcooling at the design point above that of the kind, as far as the sink allows, K"`
	SuctionRise    Range   `json:"suction_rise_k" lo:"0.1" hi:"5" doc:"warming of the gas in the suction line at the design point, K"`
	LiquidDrop     Range   `json:"liquid_drop_k" lo:"0" hi:"3" doc:"cooling of the liquid in its line at the design point, without a receiver, K"`
	AfterReceiver  Range   `json:"liquid_drop_after_receiver_k" lo:"0.2" hi:"4" doc:"the same after a receiver, K"`
	ReceiverFill   Range   `json:"receiver_fill" lo:"0.1" hi:"0.75" doc:"level of a receiver at the design point, share; 0.2 more with flooding"`
	Clearance      Range   `json:"clearance" lo:"0.005" hi:"0.04" doc:"loss of the compressor's volumetric efficiency per unit of pressure ratio"`
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
	Sun            Range   `json:"sun_k" lo:"0" hi:"8" doc:"how much the sun warms the condenser's air at noon on a clear day, K"`
}

// Faults is what goes wrong.
type Faults struct {
	Unnoticed         float64 `json:"unnoticed" lo:"0.02" hi:"0.9" doc:"share of the charge that a slow loss may take before somebody calls"`
	Leak              Trouble `json:"leak" doc:"slow loss of charge; size is the share of the charge lost"`
	SuddenLeak        Trouble `json:"sudden_leak" doc:"loss of charge at once"`
	Overcharge        Trouble `json:"overcharge" doc:"too much charge, added at a visit; size is the share of the charge"`
	CondenserFouling  Trouble `json:"condenser_fouling" doc:"size is the share of the medium's flow lost"`
	EvaporatorFouling Trouble `json:"evaporator_fouling" doc:"size is the share of the medium's flow lost"`
	Icing             Trouble `json:"icing" doc:"rooms below freezing whose defrost fails; size is the share of the air's flow lost"`
	Restriction       Trouble `json:"restriction" doc:"liquid line; size is the share of the flow area lost"`
	Wear              Trouble `json:"compressor_wear" doc:"size is the share of the compressor's flow that leaks back"`
	ForeignGas        Trouble `json:"foreign_gas" doc:"non-condensable gas; size 1 is 1000 kPa in the condenser"`
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
	Error   float64 `json:"error" lo:"0" hi:"5" doc:"how far instruments are off, 1 is what their class says"`
	Contact float64 `json:"contact" lo:"0" hi:"10" doc:"gain of clamped probes toward the air around, 1 is usual"`
	Tails   float64 `json:"tails" lo:"0" hi:"1" doc:"share of clamps that sit badly: five times the gain"`
	Lag     float64 `json:"lag_s" lo:"0" hi:"300" doc:"lag of clamped probes, s"`
	Drift   float64 `json:"drift_per_year" lo:"0" hi:"5" doc:"drift of pressure sensors in a year, as a share of their class"`
	Level   float64 `json:"level_pct" lo:"0" hi:"20" doc:"how far level sensors of receivers are off, % of the receiver"`
	Noise   float64 `json:"noise" lo:"0" hi:"10" doc:"noise from sample to sample, 1 is usual"`
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
}

// DemoMix is the fleet of the demo: plain enough to be understood at a glance.
func DemoMix() Mix {
	m := DefaultMix()
	m.Mistakes, m.Quirks = nil, nil
	m.Slips = Slips{ChargeMissing: 0.09, ChargeWrong: 0.06, ChargeError: Range{0.1, 0.2}, FieldsMissing: 0.09, RefrigerantName: 0.03}
	m.Visits.Hose, m.Visits.OpenHoses, m.Changes.Part, m.Changes.Flow = 0, 0, 0, 0
	m.Machines.Reversible, m.Changes.Retrofit = 0, 0
	m.Meters = Meters{Heat: 0.3, Counter: 0.4, Humidity: 0.3}
	m.Faults.Icing.Share = 0
	m.Faults.SuddenLeak.Share, m.Faults.ForeignGas.Share, m.Faults.Overcharge.Share = 0, 0, 0
	m.Faults.ValveClosed.Share, m.Faults.ValveOpen.Share, m.Faults.Wear.Share = 0, 0, 0
	return m
}

// DefaultMix is a fleet as rough as real ones. Shares are guesses (common
// practice, no source).
func DefaultMix() Mix {
	early := Range{0.1, 0.5}
	return Mix{
		Kinds: Kinds{
			ColdRoom: 5, FreezerRoom: 3, DisplayCabinet: 3, AirConditioner: 6, Chiller: 3, WaterCooledChiller: 2,
			AirHeatPump: 3, GroundHeatPump: 3, Pack: 2,
		},
		Fluids:  everyRefrigerant(),
		Weather: Weather{Season: 1, Daily: 1, Spells: 1},
		Stays:   Stays{0.08, 120},
		Loggers: everyLogger(),
		Machines: Machines{
			Size: 1, Volume: 1, Opening: Range{0.68, 0.85}, ElectronicOpen: Range{0.45, 0.6}, Gradient: Range{3, 4.5},
			Evaporating: Range{-1, 1}, Condensing: Range{-2, 2}, Superheat: Range{-0.5, 1}, Subcooling: Range{-1, 2},
			SuctionRise: Range{1.5, 4}, LiquidDrop: Range{0.2, 0.6}, AfterReceiver: Range{1, 2.5}, ReceiverFill: Range{0.35, 0.55},
			Clearance: Range{0.02, 0.035}, HeatLoss: Range{0.03, 0.08},
			Receiver: 0.3, ReceiverLevel: 0.4, ValvePosition: 0.3, Flooding: 0.3, Reversible: 0.3, Spread: 1, Hunting: Range{0.2, 2}, ElectronicHunt: Range{0.05, 0.4}, HuntingPeriod: Range{80, 90},
			Swing: Range{0.3, 0.9}, Recirculation: Range{0, 2.5}, Doors: Range{0, 0.8}, Defrost: Range{5, 9}, Sun: Range{0, 2},
			SuctionLoss: Range{0.3, 1}, DischargeLoss: Range{0.1, 0.6}, Oil: Range{0.05, 0.15}, Frost: Range{0, 0.12},
		},
		Faults: Faults{
			Unnoticed:         0.35,
			Leak:              Trouble{0.18, early, Range{0.05, 0.25}, Range{}, 0, Range{0.08, 0.2}, 0.4, 0.2, 0.3},
			SuddenLeak:        Trouble{0.02, Range{0.2, 0.9}, Range{}, Range{0.15, 0.5}, 0, Range{}, 0.7, 0, 0.7},
			Overcharge:        Trouble{0.03, Range{0.1, 0.7}, Range{}, Range{0.08, 0.25}, 0, Range{}, 0, 0, 0},
			CondenserFouling:  Trouble{0.1, early, Range{0.15, 0.4}, Range{}, 0.6, Range{0.25, 0.4}, 0.6, 0, 0.1},
			EvaporatorFouling: Trouble{0.05, early, Range{0.15, 0.4}, Range{}, 0.5, Range{0.25, 0.4}, 0.6, 0, 0.1},
			Icing:             Trouble{0.02, Range{0.1, 0.9}, Range{2, 6}, Range{}, 0.6, Range{0.3, 0.5}, 0.8, 0, 0.8},
			Restriction:       Trouble{0.03, early, Range{0.2, 0.4}, Range{}, 0.75, Range{0.6, 0.7}, 0.5, 0, 0.3},
			Wear:              Trouble{0.02, early, Range{0.05, 0.15}, Range{}, 0.4, Range{0.2, 0.3}, 0.5, 0, 0.2},
			ForeignGas:        Trouble{0.02, Range{0, 0.6}, Range{}, Range{0.03, 0.12}, 0, Range{}, 0, 0, 0},
			ValveClosed:       Trouble{0.01, Range{0.2, 0.8}, Range{}, Range{0.35, 0.5}, 0, Range{}, 0.6, 0, 0.6},
			ValveOpen:         Trouble{0.01, Range{0.2, 0.8}, Range{}, Range{0.85, 1}, 0, Range{}, 0.4, 0, 0.3},
		},
		Changes: Changes{
			Setting: 0.08, SettingStep: Range{1, 2}, Part: 0.03, PartSize: Range{0.88, 1.15}, Retrofit: 0.1,
			Flow: 0.05, FlowShare: Range{0.75, 1.15},
		},
		Visits: Visits{
			Weeks: Range{4, 10}, Minutes: Range{25, 60}, Hours: Range{8, 15}, Standing: 0.4, StandFor: Range{2, 5}, OpenHoses: 0.15, OpenFor: Range{1, 4}, OtherKit: 0.25, Sharing: 12,
			Sparse: 0.15, Hose: 0.2, HoseKG: Range{0.01, 0.05}, HoseMost: 0.003,
		},
		Meters:   Meters{Unit: 0.2, Heat: 0.3, Counter: 0.4, CounterSet: 0.2, Humidity: 0.3, Watts: 0.03, OnePhase: 0.03, Backwards: 0.03},
		Sensors:  Sensors{Error: 1, Contact: 1, Tails: 0.03, Lag: 12, Drift: 0.3, Level: 2, Noise: 1},
		Mistakes: defaultMistakes(),
		Quirks:   defaultQuirks(),
		Slips:    Slips{0.1, 0.1, Range{0.05, 0.3}, 0.05, 0.05, 0.1, 0.03, 0.01, 0.1, 0.25, 0.1, 0.03, 0.1, 0.03},
		OddFiles: true,
	}
}

// Validate returns everything out of its limits, by the field's path.
func (m Mix) Validate() error {
	var errs []error
	walk(reflect.ValueOf(m), "", func(path string, f reflect.StructField, v reflect.Value) {
		lo, hi := limits(f)
		for _, x := range numbers(v) {
			if !(x >= lo && x <= hi) {
				errs = append(errs, fmt.Errorf("mix: %s %g: want %g to %g", path, x, lo, hi))
			}
		}
		if r, ok := v.Interface().(Range); ok && r[0] > r[1] {
			errs = append(errs, fmt.Errorf("mix: %s [%g, %g]: want the lower end first", path, r[0], r[1]))
		}
	})
	errs = append(errs, checkShares("mistakes", m.Mistakes, names(mistakes, func(k mistake) string { return k.id }))...)
	errs = append(errs, checkShares("quirks", m.Quirks, names(quirks, func(k quirk) string { return k.id }))...)
	errs = append(errs, m.checkWeights()...)
	if k := reflect.ValueOf(m.Kinds); k.IsZero() {
		errs = append(errs, errors.New("mix: kinds: want at least one above 0"))
	}
	return errors.Join(errs...)
}

// Schema prints every parameter with its default, limits and meaning.
func Schema(w io.Writer) error {
	var b strings.Builder
	walk(reflect.ValueOf(DefaultMix()), "", func(path string, f reflect.StructField, v reflect.Value) {
		lo, hi := limits(f)
		fmt.Fprintf(&b, "%-32s default %-14s %-14s %s\n", path, plainText(v), fmt.Sprintf("%g to %g", lo, hi), f.Tag.Get("doc"))
	})
	for _, name := range slices.Sorted(maps.Keys(DefaultMix().Fluids)) {
		fmt.Fprintf(&b, "%-32s default %-14g %-14s %s\n", "refrigerants."+name, 1.0, weightLimits, "relative to the others of a kind")
	}
	for _, name := range everyDevice() {
		fmt.Fprintf(&b, "%-32s default %-14g %-14s %s\n", "expansion."+name, 1.0, weightLimits, "relative to the others of a kind")
	}
	for _, name := range slices.Sorted(maps.Keys(DefaultMix().Loggers)) {
		fmt.Fprintf(&b, "%-32s default %-14g %-14s %s\n", "loggers."+name, 1.0, weightLimits, "relative to the others")
	}
	for _, k := range mistakes {
		fmt.Fprintf(&b, "%-32s default %-14g %-14s %s\n", "mistakes."+k.id, DefaultMix().Mistakes[k.id], "0 to 1", k.doc)
	}
	for _, k := range quirks {
		fmt.Fprintf(&b, "%-32s default %-14g %-14s %s\n", "quirks."+k.id, DefaultMix().Quirks[k.id], "0 to 1", k.doc)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// checkShares checks shares by name: the names are known and the shares in 0 to 1.
func checkShares(of string, shares map[string]float64, known []string) (errs []error) {
	for _, id := range slices.Sorted(maps.Keys(shares)) {
		if !slices.Contains(known, id) {
			errs = append(errs, fmt.Errorf("mix: %s.%s: want one of those the schema lists", of, id))
		}
		if x := shares[id]; !(x >= 0 && x <= 1) {
			errs = append(errs, fmt.Errorf("mix: %s.%s %g: want 0 to 1", of, id, x))
		}
	}
	return errs
}

func names[T any](list []T, name func(T) string) []string {
	all := make([]string, len(list))
	for i, x := range list {
		all[i] = name(x)
	}
	return all
}

// walk calls visit for every number, range and switch of a mix.
func walk(v reflect.Value, path string, visit func(string, reflect.StructField, reflect.Value)) {
	for i := range v.NumField() {
		f, name := v.Type().Field(i), v.Type().Field(i).Tag.Get("json")
		if path != "" {
			name = path + "." + name
		}
		switch f.Type.Kind() {
		case reflect.Struct:
			walk(v.Field(i), name, visit)
		case reflect.Map: // these have lists of their own
		default:
			visit(name, f, v.Field(i))
		}
	}
}

func limits(f reflect.StructField) (lo, hi float64) {
	if f.Type.Kind() == reflect.Bool {
		return 0, 1
	}
	lo, errLo := strconv.ParseFloat(f.Tag.Get("lo"), 64)
	hi, errHi := strconv.ParseFloat(f.Tag.Get("hi"), 64)
	if errLo != nil || errHi != nil {
		panic("demofleet: field " + f.Name + " needs limits")
	}
	return lo, hi
}

func numbers(v reflect.Value) []float64 {
	switch x := v.Interface().(type) {
	case float64:
		return []float64{x}
	case Range:
		return x[:]
	}
	return nil
}

func plainText(v reflect.Value) string {
	if r, ok := v.Interface().(Range); ok {
		return fmt.Sprintf("[%g, %g]", r[0], r[1])
	}
	return fmt.Sprint(v.Interface())
}
