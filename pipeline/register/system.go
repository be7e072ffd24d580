package register

import (
	"math"
	"regexp"
	"strings"
	"time"

	"rimelog/pipeline/table"
)

// A System is one refrigerant circuit: a row of systems.csv.
type System struct {
	ID   string // as the user writes it; unique without regard to case
	Site string // the place, for people
	Area string // in which the site lies, for people: what one trip can reach; empty unknown
	Name string // the machine, for people
	Kind Kind

	RefrigerantName string // the refrigerant's canonical name; empty where unknown

	Charge                Charge
	ChargeLow, ChargeHigh float64 // kg: bounds of a charge that is not exactly known; NaN unknown
	Expansion             Expansion
	Receiver              Receiver
	Accumulator           table.State // a suction line accumulator is fitted
	InternalHeatExchanger table.State // liquid line gives heat to the suction line
	Subcooler             table.State // a subcooler after the condenser or receiver
	HeadPressureControl   table.State // head pressure is held up in cold weather
	HeadPressureFloor     float64     // lowest discharge pressure that the control holds, absolute kPa; NaN unknown
	Hermetic              table.State // hermetically sealed and labelled so
	LeakDetection         table.State // a fixed leak detection system is fitted
	Residential           table.State // in a residential building
	Jurisdiction          string      // whose rules of law hold there, such as DE or US; empty unknown
	Use                   Use         // by which limits of leak rates differ
	DesignSuperheat       float64     // K at the evaporator outlet; NaN unknown
	DesignSubcooling      float64     // K at the condenser outlet; NaN unknown

	Altitude    float64        // m above sea level; NaN unknown
	Zone        *time.Location // of the site's clocks; nil unknown
	Currency    string         // of the site's costs, three capital letters (ISO 4217)
	PowerCovers string         // what the power meter covers, such as "compressor" or "whole unit"; Boundary reads it

	EvaporatorAir float64 // air through the evaporator, m³/h as it enters; NaN unknown
	CondenserAir  float64 // air through the condenser, m³/h as it enters; NaN unknown

	Line int // of systems.csv
}

// NewSystem returns a system of which only the ID is known.
func NewSystem(id string) System {
	nan := math.NaN()
	return System{
		ID: id, Charge: Charge{KG: nan}, ChargeLow: nan, ChargeHigh: nan, HeadPressureFloor: nan,
		DesignSuperheat: nan, DesignSubcooling: nan, Altitude: nan, EvaporatorAir: nan, CondenserAir: nan,
	}
}

// A Charge is the refrigerant charge a system was designed for.
type Charge struct {
	KG     float64 // NaN unknown
	Source ChargeSource
}

// ChargeSource is how the design charge is known.
type ChargeSource uint8

// The sources of a design charge.
const (
	ChargeUnknown   ChargeSource = iota // nobody said
	ChargeKnown                         // nameplate, or weighed
	ChargeEstimated                     // from volumes or a rule of thumb
)

// Kind is what a system is for.
type Kind uint8

// The kinds of system.
const (
	KindUnknown Kind = iota
	AirConditioning
	Chiller
	ColdRoom
	FreezerRoom
	DisplayCabinet
	AirHeatPump    // takes heat from outdoor air
	GroundHeatPump // takes heat from brine
	WaterHeatPump  // takes heat from ground or waste water
	Pack           // several compressors on one suction line
	OtherKind
)

// Heats tells whether the system's purpose is heat.
func (k Kind) Heats() bool {
	return k == AirHeatPump || k == GroundHeatPump || k == WaterHeatPump
}

// Use is what a system serves, as rules on leak rates part them (40 CFR 82.152
// and 84.102).
type Use uint8

// The uses.
const (
	UseUnknown Use = iota
	CommercialRefrigeration
	IndustrialProcess
	ComfortCooling
	TransportRefrigeration
	OtherUse
)

// Expansion is the device that feeds the evaporator.
type Expansion uint8

// The expansion devices.
const (
	ExpansionUnknown Expansion = iota
	Thermostatic
	Electronic
	Capillary
	Orifice
	Flooded // float or pump feed: superheat says nothing about charge
)

// Receiver is where a vessel holds liquid refrigerant. With a receiver on the
// high side, lost charge does not show in subcooling until the vessel is empty.
type Receiver uint8

// The receivers.
const (
	ReceiverUnknown Receiver = iota
	NoReceiver
	HighSideReceiver
	LowSideReceiver
)

// systemForm is systems.csv.
func systemForm() form[System] {
	return form[System]{
		name:   "systems.csv",
		doc:    "one line for each refrigerant circuit",
		fresh:  func(line int) System { s := NewSystem(""); s.Line = line; return s },
		line:   func(s *System) int { return s.Line },
		system: func(s *System) string { return s.ID },
		columns: []column[System]{
			textColumn("system", "ID of the circuit: a letter, then letters, digits and . _ -", func(s *System) *string { return &s.ID }),
			textColumn("site", "the place, for people", func(s *System) *string { return &s.Site }),
			textColumn("name", "the machine, for people", func(s *System) *string { return &s.Name }),
			wordColumn("kind", "what the system is for", kindWords, func(s *System) *Kind { return &s.Kind }),
			refrigerantColumn("by its number, such as R134a", ", so what follows from pressures is not shown, and slow change is judged by a refrigerant that the visits fit", func(s *System) *string { return &s.RefrigerantName }),
			massColumn("design_charge_kg", "refrigerant charge in kg", func(s *System) *float64 { return &s.Charge.KG }),
			wordColumn("charge_source", "how the design charge is known", chargeWords, func(s *System) *ChargeSource { return &s.Charge.Source }),
			massColumn("charge_low_kg", "the least that the charge may be, where it is not exactly known", func(s *System) *float64 { return &s.ChargeLow }),
			massColumn("charge_high_kg", "the most that the charge may be", func(s *System) *float64 { return &s.ChargeHigh }),
			wordColumn("expansion", "what feeds the evaporator", expansionWords, func(s *System) *Expansion { return &s.Expansion }),
			wordColumn("receiver", "where a vessel holds liquid refrigerant", receiverWords, func(s *System) *Receiver { return &s.Receiver }),
			stateColumn("accumulator", "a suction line accumulator is fitted", func(s *System) *table.State { return &s.Accumulator }),
			stateColumn("internal_heat_exchanger", "the liquid line gives heat to the suction line", func(s *System) *table.State { return &s.InternalHeatExchanger }),
			stateColumn("subcooler", "a subcooler follows the condenser or receiver", func(s *System) *table.State { return &s.Subcooler }),
			stateColumn("head_pressure_control", "head pressure is held up in cold weather", func(s *System) *table.State { return &s.HeadPressureControl }),
			numberColumn("head_pressure_floor_kpa", "kPa", "lowest head pressure that the control holds, absolute kPa", 50, 15000, func(s *System) *float64 { return &s.HeadPressureFloor }),
			stateColumn("hermetic", "hermetically sealed, and labelled so", func(s *System) *table.State { return &s.Hermetic }),
			stateColumn("leak_detection", "a fixed leak detection system is fitted", func(s *System) *table.State { return &s.LeakDetection }),
			stateColumn("residential", "it stands in a residential building", func(s *System) *table.State { return &s.Residential }),
			{
				name: "jurisdiction", doc: "whose rules on refrigerants hold there: a country's two letters such as DE or US (ISO 3166), or EU",
				read:  func(s *System, c cell) *fault { return readJurisdiction(&s.Jurisdiction, c.text) },
				write: func(s *System) string { return s.Jurisdiction },
			},
			wordColumn("use", "what it serves, as rules on leak rates part them", useWords, func(s *System) *Use { return &s.Use }),
			numberColumn("design_superheat_k", "K", "superheat at the evaporator outlet that the valve is set for, K", 0, 60, func(s *System) *float64 { return &s.DesignSuperheat }),
			numberColumn("design_subcooling_k", "K", "subcooling at the condenser outlet at full charge, K", 0, 60, func(s *System) *float64 { return &s.DesignSubcooling }),
			numberColumn("altitude_m", "m", "height above sea level, m", -450, 6000, func(s *System) *float64 { return &s.Altitude }),
			{
				name: "zone", doc: "time zone of the site's clocks, such as Europe/Berlin",
				read: func(s *System, c cell) *fault {
					var f *fault
					s.Zone, f = readZone(c.text)
					return f
				},
				write: func(s *System) string {
					if s.Zone == nil {
						return ""
					}
					return s.Zone.String()
				},
			},
			{
				name: "currency", doc: "of the site's costs: three capital letters (ISO 4217)",
				read:  func(s *System, c cell) *fault { return readCurrency(&s.Currency, c.text) },
				write: func(s *System) string { return s.Currency },
			},
			textColumn("power_covers", "what the power meter covers: compressor, unit with fans, with pumps and controls, or with supplementary heat", func(s *System) *string { return &s.PowerCovers }),
			numberColumn("evaporator_air_m3_h", "m³/h", "air through the evaporator, measured or from its sheet, m³/h", 1, 1e7, func(s *System) *float64 { return &s.EvaporatorAir }),
			numberColumn("condenser_air_m3_h", "m³/h", "air through the condenser, measured or from its sheet, m³/h", 1, 1e7, func(s *System) *float64 { return &s.CondenserAir }),
			textColumn("area", "the town, district or route that the site belongs to, as people plan their trips: the visit list names checks due in the same area", func(s *System) *string { return &s.Area }),
		},
	}
}

var currencyCode = regexp.MustCompile(`^[A-Z]{3}$`)

func readCurrency(to *string, text string) *fault {
	code := strings.ToUpper(text)
	if !currencyCode.MatchString(code) {
		return &fault{"not a currency code", "write three letters, such as EUR or USD"}
	}
	*to = code
	return nil
}

var jurisdictionCode = regexp.MustCompile(`^[A-Z]{2}(-[A-Z0-9]{1,3})?$`)

func readJurisdiction(to *string, text string) *fault {
	code := strings.ToUpper(text)
	if !jurisdictionCode.MatchString(code) {
		return &fault{"not a code of a country", "write two letters, such as DE, GB or US, or EU"}
	}
	*to = code
	return nil
}
