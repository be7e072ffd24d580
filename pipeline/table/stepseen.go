package table

import "time"

// A StepSeen is a weighed addition or recovery of refrigerant beside what the logs show of
// it, or a step that the logs show and no register row explains.
type StepSeen struct {
	System   string    `col:"system" doc:"the system"`
	On       time.Time `col:"on" doc:"when refrigerant was moved; of a step without a row, the first visit after it"`
	KG       float64   `col:"moved_kg" unit:"kg" doc:"kilograms as booked, negative where they came out; null where nobody wrote any"`
	Before   int64     `col:"visits_before" doc:"visits before, compared"`
	After    int64     `col:"visits_after" doc:"visits after, compared"`
	Step     float64   `col:"step_k" unit:"K" doc:"change of subcooling between them, the weather's part taken out" u:"step_u_k"`
	StepU    float64   `col:"step_u_k" unit:"K" doc:"standard uncertainty of the step: scatter of visits, and of instruments where they changed"`
	Expected float64   `col:"expected_k" unit:"K" doc:"what that mass should change, by the generic sensitivity" source:"Li & Braun (2009)"`
	Verdict  string    `col:"verdict" doc:"shows, does not show, cannot be told, or possible unrecorded addition"`
	Note     string    `col:"note" doc:"why it cannot be told, or what to do"`
}

// StepsSeen holds what the logs show of refrigerant that was moved.
func StepsSeen() Table {
	return of[StepSeen]("steps_seen", ByFleet, "what the logs show of refrigerant that was added or recovered, and steps that no register row explains")
}
