package register

import (
	"math"
	"time"

	"rimelog/pipeline/table"
)

// A System is one refrigerant circuit: a row of systems.csv.
type System struct {
	ID   string // as the user writes it; unique without regard to case
	Site string // the place, for people
	Name string // the machine, for people
	Kind Kind

	RefrigerantName string // the refrigerant's canonical name; empty where unknown

	Charge                Charge
	Expansion             Expansion
	Receiver              Receiver
	Accumulator           table.State // a suction line accumulator is fitted
	InternalHeatExchanger table.State // liquid line gives heat to the suction line
	Subcooler             table.State // a subcooler after the condenser or receiver
	HeadPressureControl   table.State // head pressure is held up in cold weather
	HeadPressureFloor     float64     // lowest discharge pressure that the control holds, absolute kPa; NaN unknown
	Hermetic              table.State // hermetically sealed and labelled so
	LeakDetection         table.State // a fixed leak detection system is fitted
	DesignSuperheat       float64     // K at the evaporator outlet; NaN unknown
	DesignSubcooling      float64     // K at the condenser outlet; NaN unknown

	Altitude    float64        // m above sea level; NaN unknown
	Zone        *time.Location // of the site's clocks; nil unknown
	Currency    string         // of the site's costs, three capital letters (ISO 4217)
	PowerCovers string         // what the power meter covers, such as "compressor" or "whole unit"

	Line int // of systems.csv
}

// NewSystem returns a system of which only the ID is known.
func NewSystem(id string) System {
	nan := math.NaN()
	return System{
		ID: id, Charge: Charge{KG: nan}, HeadPressureFloor: nan,
		DesignSuperheat: nan, DesignSubcooling: nan, Altitude: nan,
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
