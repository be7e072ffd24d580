package table

import (
	"slices"
	"sync"
	"time"
)

// An Upload is one file as it came from a logger, how it was read, and where
// each of its lines and values went.
//
//	lines       = data + header + preamble + footer + blank + quarantined + waiting
//	values_read = stored + duplicates + refused + missing
type Upload struct {
	Upload  string `col:"upload" doc:"SHA-256 of the bytes; an archive's member follows after +"`
	Path    string `col:"path" doc:"where it lies below uploads/; where it lay, once it is archived"`
	Status  string `col:"status" doc:"read, waiting (unclaimed), unreadable, archived, superseded, or withdrawn"`
	Systems string `col:"systems" doc:"the systems it belongs to, separated by blanks"`
	Reading string `col:"reading" doc:"the reading that is in force"`
	Reason  string `col:"reason" doc:"why it waits or cannot be read, and what would settle it"`
	Bytes   int64  `col:"bytes" unit:"B" doc:"size"`

	Lines       int64 `col:"lines" doc:"physical lines after unpacking"`
	Data        int64 `col:"data_lines" doc:"lines of data; their values were taken, or refused one by one"`
	Header      int64 `col:"header_lines" doc:"header, unit and repeated header lines"`
	Preamble    int64 `col:"preamble_lines" doc:"lines before the header, comments and sep= lines"`
	Footer      int64 `col:"footer_lines" doc:"lines after the data"`
	Blank       int64 `col:"blank_lines" doc:"empty lines"`
	Quarantined int64 `col:"quarantined_lines" doc:"lines that were not taken"`
	Waiting     int64 `col:"waiting_lines" doc:"all lines of a file that is unclaimed or withdrawn"`

	Values     int64 `col:"values_read" doc:"cells that should hold a value"`
	Stored     int64 `col:"stored" doc:"values in samples and extras"`
	Duplicates int64 `col:"duplicates" doc:"values that another upload or line holds for the same time"`
	Refused    int64 `col:"refused" doc:"values that were not taken, with the reason in refusals"`
	Missing    int64 `col:"missing" doc:"missing markers"`
}

// Uploads holds every file that was ever seen, with both accounting laws.
func Uploads() Table {
	return of[Upload]("uploads", ByFleet, "every file that was seen, and where each of its lines and values went")
}

// A Problem is something left out or in doubt, with the remedy.
type Problem struct {
	Place   string `col:"place" doc:"the file, with line and column where they are known"`
	System  string `col:"system" doc:"the system it concerns, or empty"`
	Problem string `col:"problem" doc:"what is wrong, with the value as found"`
	Remedy  string `col:"remedy" doc:"what to do, with the register line to write where there is one"`
	Weight  string `col:"weight" doc:"left out: something is missing from the results; doubt: it limits them"`

	Rule  string    `col:"rule" doc:"the rule about mistakes of those who log that it comes from, D1 to D33; empty for anything else"`
	Visit time.Time `col:"visit" doc:"start of the visit it concerns, UTC; null where it concerns none, or several"`
}

// Quality holds what was left out or is in doubt.
func Quality() Table {
	return of[Problem]("quality", ByFleet, "what was left out of the results or limits them, with the remedy")
}

// All returns every table, in the order of the flow.
func All() []Table { return slices.Clone(all()) }

// Named returns the table of a name; false where there is none.
func Named(name string) (Table, bool) {
	for _, t := range all() {
		if t.Name == name {
			return t, true
		}
	}
	return Table{}, false
}

// all reads the tags of every row once; nothing changes what it holds.
var all = sync.OnceValue(func() []Table {
	return []Table{
		Samples(), Extras(), Refusals(), Running(), Windows(), Visits(), Trends(), Causes(), Conditions(),
		EnergyWindows(), EnergyHours(), EnergyDays(), Seasons(), Savings(), Losses(), Rankings(),
		Priors(), Baselines(), PeersCompared(), InstrumentsCompared(), Coverages(), Findings(), Recurrences(), StepsSeen(), Uploads(), UploadVerdicts(), Quality(), LogQualities(),
		LeakChecks(), LeakRates(), LeakYears(), Crossings(), ServiceBans(), RecordGaps(), Stock(), Balances(), FleetLosses(),
		ChargesCompared(), RecordBook(), AuditTrail(),
	}
})
