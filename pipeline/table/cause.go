package table

import "time"

// A Cause is what was known of one thing that may be wrong with a system on the day
// of a visit, from the visits up to then only. Likely ones are kept, and those that a
// likely one might be mistaken for.
type Cause struct {
	DecidedOn   time.Time `col:"decided_on" doc:"the visit after which this was worked out"`
	Kind        string    `col:"kind" doc:"charge loss, condenser fouling, ..., or unclear"`
	Probability float64   `col:"probability" unit:"1" doc:"that this is what is wrong, against all others and against nothing being wrong" method:"Bayes' rule over faults and onsets"`
	Odds        float64   `col:"log_odds" unit:"1" doc:"natural logarithm of its odds against nothing being wrong"`
	Sure        float64   `col:"log_odds_sure" unit:"1" doc:"the least of the same when any one of the last visits is left out; none where the odds are small"`
	Sudden      bool      `col:"sudden" doc:"it fits better as a change at once than as one at an even rate"`
	Since       time.Time `col:"since" doc:"first visit used: the first, or the first after it was last put right"`
	Suspected   time.Time `col:"suspected_since" doc:"likeliest onset"`
	Visits      int64     `col:"visits" doc:"visits used, of which neighbours within a week count once"`

	Feature   string  `col:"feature" doc:"the feature that tells it, by its column in visits"`
	Size      float64 `col:"size_k" unit:"K" doc:"how far the feature moved since the onset"`
	SizeLo    float64 `col:"size_lo_k" unit:"K" doc:"lower end of the 95 % interval"`
	SizeHi    float64 `col:"size_hi_k" unit:"K" doc:"upper end of the 95 % interval"`
	PerYear   float64 `col:"per_year" unit:"K/a" doc:"how fast it moves; none where it moved at once"`
	PerYearLo float64 `col:"per_year_lo" unit:"K/a" doc:"lower end of the 95 % interval"`
	PerYearHi float64 `col:"per_year_hi" unit:"K/a" doc:"upper end of the 95 % interval"`
	Noise     float64 `col:"noise_k" unit:"K" doc:"spread of the visits that are not wild about the fit"`
	Others    string  `col:"others" doc:"how the other features moved with it"`
	Warmer    float64 `col:"warmer_share" unit:"1" doc:"share of the visits used at which the medium entered the condenser colder than at the latest; none but for dirt on a condenser"`

	Lost         float64 `col:"lost_pct" unit:"%" doc:"charge lost since the onset, of the system's charge"`
	LostLo       float64 `col:"lost_pct_lo" unit:"%" doc:"lower end of the 90 % interval"`
	LostHi       float64 `col:"lost_pct_hi" unit:"%" doc:"upper end of the 90 % interval"`
	LossPct      float64 `col:"loss_pct_per_year" unit:"%/a" doc:"charge lost a year, of the system's charge"`
	LossPctLo    float64 `col:"loss_pct_per_year_lo" unit:"%/a" doc:"lower end of the 90 % interval"`
	LossPctHi    float64 `col:"loss_pct_per_year_hi" unit:"%/a" doc:"upper end of the 90 % interval"`
	CalibratedBy int64   `col:"calibrated_by" doc:"weighed additions and recoveries that calibrate the estimate; 0: generic"`
	Note         string  `col:"note" doc:"what limits the estimate"`
}

// Causes holds what may have been wrong after each visit.
func Causes() Table {
	return of[Cause]("causes", BySystem, "what may have been wrong after each visit, with probabilities, decided from data up to it only")
}
