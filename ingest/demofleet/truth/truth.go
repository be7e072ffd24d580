// Package truth holds what is known of an invented fleet: what each machine is,
// what was wrong with it and when, and what each file really says. The simulator
// writes it, tests and the score read it; the analysis never does.
package truth

import "time"

// A Fleet is everything that is true of an invented fleet.
type Fleet struct {
	Seed    uint64
	Version int // of the simulator: fleets of other versions differ
	Start   time.Time
	End     time.Time
	Systems []System
	Sensors []Sensor
	Files   []File
	Slips   []Slip
}

// System returns a system by its ID.
func (f Fleet) System(id string) (System, bool) {
	for _, s := range f.Systems {
		if s.ID == id {
			return s, true
		}
	}
	return System{}, false
}

// A System is one refrigerant circuit.
type System struct {
	ID          string
	Site        string
	Kind        string  // register's word
	Refrigerant string  // at first
	Expansion   string  // thermostatic, electronic, fixed
	Receiver    bool    // on the high side
	Reserve     float64 // liquid in it at the design point: the share of the rated charge that can go before it is empty
	LevelSensor bool    // on the receiver, in every log
	RatedCharge float64 // kg, at first
	Cooling     float64 // at the design point, kW
	Covers      string  // what its power meter covers, as the register says it

	MeterErrors []MeterError `json:",omitempty"` // of a permanent logger's power meter

	Episodes []Episode
	Changes  []Change    `json:",omitempty"` // that are no faults
	Visits   []time.Time // starts, UTC
	Retrofit *Retrofit   // nil if there was none
}

// A MeterError is a time in which what is stored of a power meter is wrong.
type MeterError struct {
	What     string
	From, To time.Time
}

// A Change is something that is another from some time on and is no fault.
type Change struct {
	What string // setpoint, compressor, flow
	At   time.Time
}

// The kinds of change.
const (
	Setpoint   = "setpoint"   // of the room or the water
	Compressor = "compressor" // replaced by one of another size
	Flow       = "flow"       // of the room's air or the water
)

// A Retrofit is another refrigerant filled in.
type Retrofit struct {
	From        time.Time
	Refrigerant string
	RatedCharge float64 // kg, from then on
}

// Rated is the charge that is right at a time, kg.
func (s System) Rated(t time.Time) float64 {
	if s.Retrofit != nil && !t.Before(s.Retrofit.From) {
		return s.Retrofit.RatedCharge
	}
	return s.RatedCharge
}

// Charge is the refrigerant in the system at a time, kg.
func (s System) Charge(t time.Time) float64 {
	share := 1.0
	for _, e := range s.Episodes {
		switch e.Fault {
		case Leak:
			share -= e.Size(t)
		case Overcharge:
			share += e.Size(t)
		}
	}
	return s.Rated(t) * max(share, 0.05)
}

// Fault is the size of one kind of fault at a time, all its episodes together.
func (s System) Fault(f Fault, t time.Time) float64 {
	var size float64
	for _, e := range s.Episodes {
		if e.Fault == f {
			size += e.Size(t)
		}
	}
	return size
}

// Fault is a kind of fault.
type Fault string

// The kinds of fault, and what their size is a share of.
const (
	Leak              Fault = "leak"               // of the rated charge, lost
	Overcharge        Fault = "overcharge"         // of the rated charge, too much
	CondenserFouling  Fault = "condenser fouling"  // of the condenser's medium flow, lost; while a machine heats, that coil is its evaporator
	EvaporatorFouling Fault = "evaporator fouling" // of the evaporator's medium flow, lost; while a machine heats, that coil is its condenser
	Restriction       Fault = "restriction"        // of the liquid line's flow area, lost
	Wear              Fault = "compressor wear"    // of the compressor's flow, leaking back
	ForeignGas        Fault = "foreign gas"        // of 1000 kPa, partial pressure in the condenser
	ValveStuck        Fault = "valve stuck"        // of the stroke at which it is stuck
)

// An Episode is one fault from its onset to the day it was put right.
type Episode struct {
	Fault   Fault
	Onset   time.Time
	PerYear float64   // growth of its size, 1/a
	Sudden  float64   // size at once at the onset
	Most    float64   // size it does not go beyond; 0 means no limit
	Ended   time.Time // repaired, cleaned or topped up; zero: it goes on
	// Note is what was done about it: repaired, topped up, cleaned, nothing.
	Note string
}

// Size is how large the fault is at a time.
func (e Episode) Size(t time.Time) float64 {
	if t.Before(e.Onset) || !e.Ended.IsZero() && !t.Before(e.Ended) {
		return 0
	}
	size := e.Sudden + e.PerYear*t.Sub(e.Onset).Hours()/(24*365.25)
	if e.Most > 0 {
		size = min(size, e.Most)
	}
	return size
}

// A File is what an upload really is.
type File struct {
	Path   string // below uploads/
	System string // empty for a file that is no log
	Logger string // the invented dialect it is written in
	Record string `json:",omitempty"` // what files have in common to which one record was exported
	Start  time.Time
	End    time.Time
	Rows   int
	Kit    string // the set of instruments
	Heats  bool   // the machine was heating at the start
	// Trap is what keeps the whole file from being read or judged, or empty.
	Trap     string
	Zone     string   // of its time stamps, as the time zone database calls it; empty where each stamp says it
	Columns  []Column // after those of time, in their order
	Mistakes []Mistake
	Unsound  []string    `json:",omitempty"` // channels that are off though nobody made a mistake: a clamp that sits badly, a pressure beyond its instrument's limit
	Quirks   []string    // how its export differs from the logger's usual one
	Steady   []Stretch   // where the system ran as at rest
	Energy   []EnergyDay `json:",omitempty"` // of a permanent logger's days
	Effects  []Effect    `json:",omitempty"` // of what was wrong, once in a visit and once a day of a permanent log
}

// An Effect is what one fault did at a moment: how the system ran against how it would
// have run without it at the same conditions.
type Effect struct {
	Time       time.Time
	Fault      Fault
	Condenser  float64 // by how much condensing lay farther above the medium entering, K
	Evaporator float64 // by how much evaporating lay farther below the medium entering, K
	Capacity   float64 // share of the useful heat that was lost
}

// An EnergyDay is what a machine truly took and gave on a day, by its operating points
// and the load.
type EnergyDay struct {
	Day        time.Time // midnight UTC
	Heats      bool      // it heated; else it cooled
	Hours      float64   // of the record on this day
	Outdoor    float64   // mean over them, °C
	Ran        float64   // h
	Heat       float64   // useful, kWh
	Compressor float64   // electricity while it ran, kWh
	Fans       float64   // of the fans while it ran, kWh
	Idle       float64   // of the fans while it stood, kWh
	// Without is what the meter would have counted had the latest act not been, kWh, over
	// WithoutHours; both 0 where there was none. An act is all faults that were put right
	// within a week, left as large as they were then, and what was filled in too much with
	// them. Faults that it did not end went on as they did.
	Without      float64 `json:",omitempty"`
	WithoutHours float64 `json:",omitempty"`
}

// Metered is what a meter counted that covers the compressor, or the fans as well.
func (d EnergyDay) Metered(fans bool) float64 {
	if !fans {
		return d.Compressor
	}
	return d.Compressor + d.Fans + d.Idle
}

// A Column is what a column of a file truly holds.
type Column struct {
	Header  string // as it stands in the file
	Channel string // the register's name of what was measured
	Unit    string // the values are in; gauge pressures end in (g), absolute ones in (a)
	Sensor  string // serial number
}

// A Mistake is what somebody who logs did wrong, by its number in the trade's
// list of mistakes (D1 to D33).
type Mistake struct {
	ID       string
	What     string
	Channels []string // by the register's names; empty where the whole file is meant
	From     time.Time
	Harmless bool `json:",omitempty"` // the values still are what was there
	// Unseen is set where nothing that was logged or written down can show it: an error within
	// the limits of the instrument that has it, a clock some hours off beside no other clock.
	Unseen bool `json:",omitempty"`
}

// A Stretch is a time within a file.
type Stretch struct{ From, To time.Time }

// A Slip is what is wrong in the register.
type Slip struct {
	Table, System, Field string
	True, Written        string // as text; written is empty where the cell or row is missing
}

// A Sensor is an instrument with its true error.
type Sensor struct {
	Serial  string
	Kit     string
	Class   string  // fine, fair or simple
	Offset  float64 // what it shows too much, in kPa or K, at the start
	PerYear float64 // how that grows
	Contact float64 // gain of a clamp toward the air around
}

// A Point is how a system ran at a moment, without noise and instruments, as at
// rest at the conditions of that moment.
type Point struct {
	Time time.Time

	Evaporating, Condensing float64 // dew temperatures at the pressures on both sides of the compressor, °C
	Superheat               float64 // at the outlet of the (first) evaporator, K
	Subcooling              float64 // of the liquid before the valve, from the pressure at the compressor, K
	SuctionSuperheat        float64 // at the compressor, K
	Discharge               float64 // °C
	Cooling, Heating, Input float64 // kW
	Charge                  float64 // kg
	Opening                 float64 // of the valve, 1
	Level                   float64 // of the receiver, 1
	Outdoor, Source, Sink   float64 // °C
}
