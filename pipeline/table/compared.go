package table

import "time"

// A PeerCompared is a system's baseline beside that of systems like it.
type PeerCompared struct {
	System    string  `col:"system" doc:"the system"`
	Scope     string  `col:"scope" doc:"the systems it is compared with: of one kind, refrigerant and expansion device"`
	Systems   int64   `col:"systems" doc:"how many they are"`
	Feature   string  `col:"feature" doc:"the feature, by its column in visits"`
	Level     float64 `col:"level_k" unit:"K" doc:"its level at 15 °C outdoors"`
	Peers     float64 `col:"peers_k" unit:"K" doc:"median level of the others"`
	Apart     float64 `col:"deviation_k" unit:"K" doc:"how far it stands from them" u:"deviation_u_k"`
	Deviation float64 `col:"deviation_u_k" unit:"K" doc:"what is usual: the spread of the others with the uncertainties of both"`
	Odd       bool    `col:"odd" doc:"the odd one out: further than three times what is usual, and by what is worth a visit"`
}

// PeersCompared holds each system beside systems like it.
func PeersCompared() Table {
	return of[PeerCompared]("peers_compared", ByFleet, "each system's features beside those of systems like it: the odd one out among the same model")
}

// A Recurrence is a fault that came back after it was put right.
type Recurrence struct {
	System   string    `col:"system" doc:"the system"`
	Kind     string    `col:"kind" doc:"kind of finding"`
	Finding  string    `col:"finding" doc:"the finding that was put right"`
	EndedOn  time.Time `col:"ended_on" doc:"when it was closed or answered"`
	By       string    `col:"ended_by" doc:"by what"`
	Again    string    `col:"again" doc:"the finding that came after it"`
	RaisedOn time.Time `col:"raised_on" doc:"date of the visit that raised it"`
	Days     int64     `col:"days" unit:"d" doc:"days between the two"`
}

// Recurrences holds the faults that came back.
func Recurrences() Table {
	return of[Recurrence]("recurrences", ByFleet, "faults that came back after they were put right")
}

// An InstrumentCompared is what one instrument shows against others at the same systems.
type InstrumentCompared struct {
	Serial   string  `col:"serial" doc:"serial number of the instrument, as in the register"`
	Feature  string  `col:"feature" doc:"the feature, by its column in visits"`
	Systems  int64   `col:"systems" doc:"systems at which others were used as well"`
	Visits   int64   `col:"visits" doc:"visits with it there"`
	Offset   float64 `col:"offset_k" unit:"K" doc:"by how much it shows more than others at like conditions" u:"offset_u_k"`
	OffsetU  float64 `col:"offset_u_k" unit:"K" doc:"standard error of that, from system to system"`
	Doubtful bool    `col:"doubtful" doc:"further off than three times its standard error, by half a kelvin at least: have it calibrated"`
}

// InstrumentsCompared holds what each instrument shows against others.
func InstrumentsCompared() Table {
	return of[InstrumentCompared]("instruments_compared", ByFleet, "what each instrument shows against others at the same systems")
}

// A Coverage is when a system was last seen.
type Coverage struct {
	System     string    `col:"system" doc:"the system"`
	Visits     int64     `col:"visits" doc:"visits"`
	Usable     int64     `col:"usable" doc:"visits that count for trends"`
	LastVisit  time.Time `col:"last_visit" doc:"the latest visit"`
	LastUsable time.Time `col:"last_usable" doc:"the latest that counts for trends"`
	Months     float64   `col:"months_without" doc:"months since then, or since the first visit; null where it was never visited"`
	Unseen     bool      `col:"unseen" doc:"no usable visit for longer than the options allow, or never"`
	Reason     string    `col:"reason" doc:"why the latest visit does not count"`
	Connected  int64     `col:"connections_in_a_year" doc:"visits in the year before with pressure hoses connected"`
	Advice     string    `col:"advice" doc:"what to do at the next visit because of the charge"`
}

// Coverages holds when each system was last seen.
func Coverages() Table {
	return of[Coverage]("coverage", ByFleet, "when each system was last seen, and systems without a usable visit for months")
}
