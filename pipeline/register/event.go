package register

import (
	"math"
	"time"
)

// An Event is something that was done to a system or seen at it: a row of
// events.csv. Its fields are those that records of fluorinated gases need:
// Regulation (EU) 2024/573, Article 7(1)(a) to (g).
type Event struct {
	System      string
	Time        time.Time // in the system's zone (UTC where that is unknown); midnight where only the date is known
	HasTime     bool      // the time of day is known
	Kind        EventKind
	KG          float64 // refrigerant into the system, negative where it came out; NaN unknown
	Refrigerant string  // canonical name; empty unknown
	Quality     Quality
	Reason      Reason
	Outcome     Outcome

	Company             string
	Certificate         string // of the company, or of the person where there is no other
	Person              string
	PersonCertificate   string
	Facility            string // name and address of the plant that recycled or reclaimed what went in
	FacilityCertificate string
	Result              string // of a check, test or repair in words; of a decommissioning, what became of the refrigerant
	Note                string

	Record   string // the row's own number, where the user gives one
	Corrects string // the row this one takes the place of, as written

	Line        int // of events.csv
	CorrectedBy int // line of the row that took this one's place; 0 where it stands
}

// EventKind is what happened.
type EventKind uint8

// The kinds of event.
const (
	EventUnknown EventKind = iota
	Install
	Retrofit // another refrigerant was filled in
	ChargeAdded
	Recovered
	DirectLeakCheck   // by detector, bubbles, tracer or pressure
	IndirectLeakCheck // from pressures, temperatures, level, consumption
	LeakFound
	Repaired
	VerificationTest // that a repair holds
	CoilCleaned
	PartChanged
	SetpointChanged
	InstrumentCalibration
	DetectionSystemCheck // that a fixed leak detection system works
	OperatorInformed     // somebody was told of a finding
	Decommissioned
	Cancelled // the row it corrects should not be there
)

// Intervenes tells whether the machine works otherwise after the event than
// before, so that the samples of a visit before it are "as found" and those after
// it "as left". Looking, testing and calibrating instruments change no machine.
func (k EventKind) Intervenes() bool {
	switch k {
	case Install, Retrofit, ChargeAdded, Recovered, Repaired, CoilCleaned, PartChanged, SetpointChanged, Decommissioned:
		return true
	}
	return false
}

// Resets tells whether a baseline from before the event is void, so that trends
// start anew. Today these are exactly the interventions: each of them may move
// superheat, subcooling or the temperature differences of the coils for good.
// A calibrated instrument shifts readings, not the machine: visits carry the
// instruments' serials for that.
func (k EventKind) Resets() bool { return k.Intervenes() }

// Sign is +1 where the event's kilograms went into the system, -1 where they came
// out, and 0 where the event moves no refrigerant.
func (k EventKind) Sign() int {
	switch k {
	case Install, Retrofit, ChargeAdded:
		return 1
	case Recovered:
		return -1
	}
	return 0
}

// Quality is where added refrigerant came from.
type Quality uint8

// The qualities of refrigerant (Regulation (EU) 2024/573, Article 3: recycled is
// cleaned on the spot, reclaimed is brought back to the quality of new).
const (
	QualityUnknown Quality = iota
	NewRefrigerant
	Recycled
	Reclaimed
)

// Reason is why refrigerant was added.
type Reason uint8

// The reasons for adding refrigerant. Leak rates leave out what made up for a
// season, or filled a circuit after installation or retrofit (40 CFR 82.157(b)).
const (
	ReasonUnknown Reason = iota
	ForLeak
	ForService
	ForSeason
	ForCommissioning
)

// Outcome is what a check, test or repair came to.
type Outcome uint8

// The outcomes.
const (
	OutcomeUnknown Outcome = iota
	Passed                 // no leak found; the repair holds
	Failed
)

// eventForm is events.csv.
func eventForm() form[Event] {
	return form[Event]{
		name:   "events.csv",
		doc:    "one line for each thing that was done to a system or found at it",
		fresh:  func(line int) Event { return Event{KG: math.NaN(), Line: line} },
		line:   func(e *Event) int { return e.Line },
		system: func(e *Event) string { return e.System },
		columns: []column[Event]{
			textColumn("system", "ID of the circuit, as in systems.csv", func(e *Event) *string { return &e.System }),
			dateColumn("date", "year-month-day, and hour:minute where it is known, by the site's clock",
				func(e *Event, t time.Time, hasTime bool) { e.Time, e.HasTime = t, hasTime },
				func(e *Event) string { return moments(e.Time, e.HasTime) }),
			wordColumn("event", "what happened", eventWords, func(e *Event) *EventKind { return &e.Kind }),
			massColumn("kg", "refrigerant that went in or came out, kg; never negative: the event says which way", func(e *Event) *float64 { return &e.KG }),
			refrigerantColumn("which refrigerant went in or came out", "", func(e *Event) *string { return &e.Refrigerant }),
			wordColumn("quality", "of the refrigerant that went in", qualityWords, func(e *Event) *Quality { return &e.Quality }),
			wordColumn("reason", "why refrigerant was added", reasonWords, func(e *Event) *Reason { return &e.Reason }),
			wordColumn("outcome", "of a check, test or repair: passed where no leak was found or the repair holds", outcomeWords, func(e *Event) *Outcome { return &e.Outcome }),
			textColumn("company", "who did it", func(e *Event) *string { return &e.Company }),
			textColumn("certificate", "number of the company's certificate", func(e *Event) *string { return &e.Certificate }),
			textColumn("person", "who did it", func(e *Event) *string { return &e.Person }),
			textColumn("person_certificate", "number of the person's certificate", func(e *Event) *string { return &e.PersonCertificate }),
			textColumn("facility", "name and address of the plant that recycled or reclaimed what went in", func(e *Event) *string { return &e.Facility }),
			textColumn("facility_certificate", "number of that plant's certificate", func(e *Event) *string { return &e.FacilityCertificate }),
			textColumn("result", "of a check, test or repair in words; of a decommissioning, what became of the refrigerant", func(e *Event) *string { return &e.Result }),
			textColumn("note", "anything else", func(e *Event) *string { return &e.Note }),
			textColumn("record", "the line's own number, if you number your records", func(e *Event) *string { return &e.Record }),
			textColumn("corrects", "the line that this one takes the place of: its record number, or its day, and its event where a day has several; lines are never edited", func(e *Event) *string { return &e.Corrects }),
		},
	}
}
