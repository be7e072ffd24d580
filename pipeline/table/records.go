package table

import "time"

// The tables of the bookkeeping of refrigerant. Days are calendar days by the clocks
// of the site, written as midnight UTC. What rests on a rule of law names the rule,
// and whether its text was seen; it is guidance, and the law prevails.

// A LeakCheck is something due at a system: a check, a test, a report, or a direct
// check that the logs recommend.
type LeakCheck struct {
	System       string    `col:"system" doc:"the system"`
	Site         string    `col:"site" doc:"the site's name"`
	What         string    `col:"what" doc:"leak check, re-check after repair, direct leak check, detection system, ..."`
	State        string    `col:"state" doc:"overdue, due soon, planned, recommended (by the logs), never done, not known, or answered"`
	DueOn        time.Time `col:"due_on" doc:"the last day on which it is in time; null where none can be worked out"`
	OpensOn      time.Time `col:"opens_on" doc:"the first day on which it counts, where there is one; of a recommendation, since when"`
	LastOn       time.Time `col:"last_on" doc:"when it was done last"`
	Every        int64     `col:"every_months" doc:"months between two of them; 0 where it does not recur"`
	Why          string    `col:"why" doc:"what makes it due"`
	Doubt        string    `col:"doubt" doc:"what limits it: empty register fields, a charge known as a range"`
	Told         string    `col:"told" doc:"who was told of it and when; empty where no row says so"`
	Finding      string    `col:"finding" doc:"the finding that recommends it, by ID"`
	Jurisdiction string    `col:"jurisdiction" doc:"whose rule it is"`
	Rule         string    `col:"rule" doc:"the rule set and the passage"`
	Standing     string    `col:"standing" doc:"seen, or from memory, check before use"`
}

// LeakChecks holds what is due, the most pressing first.
func LeakChecks() Table {
	return of[LeakCheck]("leak_checks", ByFleet, "leak checks and what else is due at systems, the most pressing first")
}

// A LeakRate is the rate of loss that one addition of refrigerant stands for.
type LeakRate struct {
	System       string    `col:"system" doc:"the system"`
	On           time.Time `col:"day" doc:"day of the addition; additions of one day count as one"`
	Added        float64   `col:"added_kg" unit:"kg" doc:"refrigerant added that day"`
	Charge       float64   `col:"charge_kg" unit:"kg" doc:"full charge; the middle of a range"`
	Days         int64     `col:"days" unit:"d" doc:"days since refrigerant was last put in, at most 365; 365 for the first addition on record"`
	Annualizing  float64   `col:"annualizing_pct" unit:"%" doc:"leak rate by the annualizing method" method:"added / charge / (days / 365)" source:"40 CFR 82.152 and 84.102, by secondary texts"`
	AnnualizedLo float64   `col:"annualizing_lo_pct" unit:"%" doc:"with the largest charge of the range"`
	AnnualizedHi float64   `col:"annualizing_hi_pct" unit:"%" doc:"with the smallest charge of the range"`
	Window       int64     `col:"window_days" unit:"d" doc:"days of the rolling window: 365, or fewer since a follow-up test showed all leaks repaired"`
	Rolling      float64   `col:"rolling_pct" unit:"%" doc:"leak rate by the rolling average method" method:"added in the window / charge" source:"40 CFR 82.152 and 84.102, by secondary texts"`
	RollingLo    float64   `col:"rolling_lo_pct" unit:"%" doc:"with the largest charge of the range"`
	RollingHi    float64   `col:"rolling_hi_pct" unit:"%" doc:"with the smallest charge of the range"`
	Limit        float64   `col:"limit_pct" unit:"%" doc:"limit of the rules for its use; null where no rule has one"`
	Note         string    `col:"note" doc:"what it rests on"`
}

// LeakRates holds the leak rate at each addition of refrigerant.
func LeakRates() Table {
	return of[LeakRate]("leak_rates", ByFleet, "leak rate at each addition of refrigerant, by both methods of 40 CFR 82.152 and 84.102")
}

// A LeakYear is what one system lost in one calendar year by its records.
type LeakYear struct {
	System      string  `col:"system" doc:"the system"`
	Year        int64   `col:"year" doc:"calendar year"`
	Added       float64 `col:"added_kg" unit:"kg" doc:"refrigerant added, without first charges and what made up for a season"`
	Recovered   float64 `col:"recovered_kg" unit:"kg" doc:"refrigerant recovered in service"`
	Replaced    float64 `col:"replaced_kg" unit:"kg" doc:"added less recovered: what was lost and put back"`
	ReplacedPct float64 `col:"replaced_pct" unit:"%" doc:"of the charge"`
	CO2e        float64 `col:"replaced_co2e_t" unit:"t" doc:"tonnes of CO2 equivalent of what was replaced, by the rule set of each day"`
	Annualizing float64 `col:"annualizing_pct" unit:"%" doc:"highest leak rate of the year by the annualizing method"`
	Rolling     float64 `col:"rolling_pct" unit:"%" doc:"highest leak rate of the year by the rolling average method"`
	LossLimit   float64 `col:"loss_limit_pct" unit:"%" doc:"specific loss a year that the rules allow; null where no rule has one"`
	Chronic     bool    `col:"chronic" doc:"added at least the share of the full charge that makes a chronic leaker (125 %)"`
}

// LeakYears holds what each system lost in each year.
func LeakYears() Table {
	return of[LeakYear]("leak_years", ByFleet, "what each system lost in each calendar year by its records")
}

// A Crossing is a day on which a system passed a limit.
type Crossing struct {
	System       string    `col:"system" doc:"the system"`
	On           time.Time `col:"day" doc:"the day"`
	What         string    `col:"what" doc:"leak rate, specific loss, or chronic leaker"`
	Value        float64   `col:"value_pct" unit:"%" doc:"what it came to"`
	Limit        float64   `col:"limit_pct" unit:"%" doc:"the limit"`
	Certain      bool      `col:"certain" doc:"passed whatever the charge is within its range"`
	Note         string    `col:"note" doc:"in words"`
	Jurisdiction string    `col:"jurisdiction" doc:"whose rule it is"`
	Rule         string    `col:"rule" doc:"the rule set and the passage"`
	Standing     string    `col:"standing" doc:"seen, or from memory, check before use"`
}

// Crossings holds the days on which systems passed a limit.
func Crossings() Table {
	return of[Crossing]("crossings", ByFleet, "days on which systems passed a limit of leak rate or loss")
}

// A ServiceBan is a refrigerant in use that service may not, or soon may not, use.
type ServiceBan struct {
	System       string    `col:"system" doc:"the system"`
	Refrigerant  string    `col:"refrigerant" doc:"its refrigerant"`
	GWP          float64   `col:"gwp" unit:"1" doc:"global warming potential over 100 years by the rule set"`
	From         time.Time `col:"from" doc:"first day of the ban"`
	InForce      bool      `col:"in_force" doc:"on the day of the report"`
	Banned       string    `col:"banned" doc:"what may not be done"`
	Allowed      string    `col:"allowed" doc:"what remains allowed"`
	Doubt        string    `col:"doubt" doc:"what the register would have to say to be sure"`
	Jurisdiction string    `col:"jurisdiction" doc:"whose rule it is"`
	Rule         string    `col:"rule" doc:"the rule set and the passage"`
	Standing     string    `col:"standing" doc:"seen, or from memory, check before use"`
}

// ServiceBans holds the refrigerants in use that are banned from service, or will be.
func ServiceBans() Table {
	return of[ServiceBan]("service_bans", ByFleet, "refrigerants in use that are banned from service, or will be")
}

// A RecordGap is something a record lacks, or that cannot be so.
type RecordGap struct {
	System  string    `col:"system" doc:"the system, whose record is incomplete"`
	On      time.Time `col:"day" doc:"day of the row, where it has one"`
	Place   string    `col:"place" doc:"file and line of the register"`
	Problem string    `col:"problem" doc:"what is missing or cannot be so, with the value as found"`
	Remedy  string    `col:"remedy" doc:"what to write"`
	Weight  string    `col:"weight" doc:"missing, or doubtful"`
	Rule    string    `col:"rule" doc:"the rule that asks for it; empty where plain sense does"`
}

// RecordGaps holds what records lack.
func RecordGaps() Table {
	return of[RecordGap]("record_gaps", ByFleet, "what records lack, or what in them cannot be so, with what to write")
}

// A Movement is what went in and out of systems of one refrigerant in one year.
type Movement struct {
	Year        int64   `col:"year" doc:"calendar year"`
	Refrigerant string  `col:"refrigerant" doc:"the refrigerant; empty where no row names it"`
	First       float64 `col:"first_charge_kg" unit:"kg" doc:"filled in at installation or retrofit"`
	New         float64 `col:"added_new_kg" unit:"kg" doc:"new refrigerant added in service"`
	Recycled    float64 `col:"added_recycled_kg" unit:"kg" doc:"recycled refrigerant added in service"`
	Reclaimed   float64 `col:"added_reclaimed_kg" unit:"kg" doc:"reclaimed refrigerant added in service"`
	Unsaid      float64 `col:"added_unsaid_kg" unit:"kg" doc:"added in service without a word on its quality"`
	Recovered   float64 `col:"recovered_kg" unit:"kg" doc:"recovered"`
	Net         float64 `col:"net_kg" unit:"kg" doc:"all that went in less what was recovered"`
	CO2e        float64 `col:"net_co2e_t" unit:"t" doc:"the same in tonnes of CO2 equivalent, by the rule set of each day"`
	Unweighed   int64   `col:"unweighed" doc:"rows without kilograms, which are not in the sums"`
}

// Stock holds the movement of refrigerant by year.
func Stock() Table {
	return of[Movement]("stock", ByFleet, "refrigerant that went in and out of systems, by year and refrigerant")
}

// A Balance is the refrigerant of one system by its records.
type Balance struct {
	System       string    `col:"system" doc:"the system"`
	Refrigerant  string    `col:"refrigerant" doc:"its refrigerant"`
	Charge       float64   `col:"charge_kg" unit:"kg" doc:"full charge; the middle of a range"`
	ChargeLo     float64   `col:"charge_lo_kg" unit:"kg" doc:"the least it may be"`
	ChargeHi     float64   `col:"charge_hi_kg" unit:"kg" doc:"the most it may be"`
	ChargeBy     string    `col:"charge_by" doc:"how the charge is known"`
	Since        time.Time `col:"since" doc:"first row of the record"`
	First        float64   `col:"first_charge_kg" unit:"kg" doc:"filled in at installation or retrofit"`
	Added        float64   `col:"added_kg" unit:"kg" doc:"added in service"`
	Recovered    float64   `col:"recovered_kg" unit:"kg" doc:"recovered"`
	Replaced     float64   `col:"replaced_kg" unit:"kg" doc:"lost and put back: added for leaks and in service, less recovered in service"`
	GWP          float64   `col:"gwp" unit:"1" doc:"global warming potential over 100 years by the rule set in force"`
	CO2e         float64   `col:"charge_co2e_t" unit:"t" doc:"the charge in tonnes of CO2 equivalent"`
	Tested       string    `col:"tested" doc:"what the rules test for leak checks, part by part"`
	Jurisdiction string    `col:"jurisdiction" doc:"whose rules hold there"`
	Rules        string    `col:"rules" doc:"the rule sets in force"`
	Complete     bool      `col:"complete" doc:"the record has no gap"`
}

// Balances holds the refrigerant of each system.
func Balances() Table {
	return of[Balance]("balance", ByFleet, "the refrigerant of each system by its records: charge, added, recovered, replaced")
}

// A FleetLoss is what the whole fleet lost in one year.
type FleetLoss struct {
	Year     int64   `col:"year" doc:"calendar year"`
	Systems  int64   `col:"systems" doc:"systems in service with a known charge"`
	Unknown  int64   `col:"systems_without_charge" doc:"systems in service whose charge nobody knows, which are left out"`
	Charge   float64 `col:"charge_kg" unit:"kg" doc:"their charge"`
	Replaced float64 `col:"replaced_kg" unit:"kg" doc:"lost and put back"`
	Pct      float64 `col:"replaced_pct" unit:"%" doc:"of the charge"`
	CO2e     float64 `col:"replaced_co2e_t" unit:"t" doc:"the same in tonnes of CO2 equivalent, by the rule set of each day"`
	Partial  bool    `col:"partial" doc:"the year is not over"`
}

// FleetLosses holds the loss of the fleet by year.
func FleetLosses() Table {
	return of[FleetLoss]("fleet_loss", ByFleet, "loss of refrigerant of the whole fleet by year, in % of the charge and t CO2 equivalent")
}

// A ChargeCompared holds booked kilograms against the loss that the logs show.
type ChargeCompared struct {
	System   string    `col:"system" doc:"the system"`
	From     time.Time `col:"from" doc:"first day compared"`
	To       time.Time `col:"to" doc:"last day compared: that of the last addition"`
	Booked   float64   `col:"booked_kg" unit:"kg" doc:"added less recovered in service"`
	BookedLo float64   `col:"booked_lo_kg" unit:"kg" doc:"lower end by what scales may err"`
	BookedHi float64   `col:"booked_hi_kg" unit:"kg" doc:"upper end by what scales may err"`
	Logs     float64   `col:"logs_kg" unit:"kg" doc:"loss that the findings from logs give for the same days"`
	LogsLo   float64   `col:"logs_lo_kg" unit:"kg" doc:"lower end of its interval"`
	LogsHi   float64   `col:"logs_hi_kg" unit:"kg" doc:"upper end of its interval"`
	Verdict  string    `col:"verdict" doc:"agrees, more added than the logs explain, less added than the logs explain, or not comparable"`
	Note     string    `col:"note" doc:"in words, with what to check"`
	Findings string    `col:"findings" doc:"the findings used, by ID, separated by blanks"`
}

// ChargesCompared holds booked kilograms against the loss that the logs show.
func ChargesCompared() Table {
	return of[ChargeCompared]("charge_compared", ByFleet, "booked kilograms beside the loss that the logs show")
}

// A RecordRow is one line of the record book, corrected ones too.
type RecordRow struct {
	System              string    `col:"system" doc:"the system"`
	Site                string    `col:"site" doc:"the site's name"`
	On                  time.Time `col:"day" doc:"day of the event"`
	Clock               string    `col:"clock" doc:"time of day by the site's clocks, where it is known"`
	Event               string    `col:"event" doc:"what happened"`
	KG                  float64   `col:"moved_kg" unit:"kg" doc:"refrigerant that went in; negative where it came out"`
	Refrigerant         string    `col:"refrigerant" doc:"which"`
	CO2e                float64   `col:"co2e_t" unit:"t" doc:"the same in tonnes of CO2 equivalent"`
	GWPSet              string    `col:"gwp_set" doc:"the set of global warming potentials of that day's rules"`
	Quality             string    `col:"quality" doc:"new, recycled or reclaimed"`
	Reason              string    `col:"reason" doc:"why it was added"`
	Outcome             string    `col:"outcome" doc:"of a check, test or repair"`
	Result              string    `col:"result" doc:"the same in words"`
	Company             string    `col:"company" doc:"who did it"`
	Certificate         string    `col:"certificate" doc:"number of the company's certificate"`
	Person              string    `col:"person" doc:"who did it"`
	PersonCertificate   string    `col:"person_certificate" doc:"number of the person's certificate"`
	Facility            string    `col:"facility" doc:"plant that recycled or reclaimed it"`
	FacilityCertificate string    `col:"facility_certificate" doc:"number of that plant's certificate"`
	Note                string    `col:"note" doc:"anything else"`
	Record              string    `col:"record" doc:"the row's own number"`
	State               string    `col:"state" doc:"stands, corrected by a later line, cancels another, or later than the day of the report"`
	Balance             float64   `col:"balance_kg" unit:"kg" doc:"all that went in less what was recovered, up to this row"`
	Place               string    `col:"place" doc:"file and line of the register"`
	SHA256              string    `col:"sha256" doc:"of the row's canonical text"`
}

// RecordBook holds every line of the record, in time order for each system.
func RecordBook() Table {
	return of[RecordRow]("record_book", ByFleet, "every line of the record, corrected ones too, in time order for each system")
}

// An AuditRow is one thing that a figure of the records was made from.
type AuditRow struct {
	Table  string `col:"table" doc:"table of the figure"`
	System string `col:"system" doc:"the system"`
	Figure string `col:"figure" doc:"which of its rows: what, day or year"`
	Source string `col:"source" doc:"file and line of the register, upload, rule set, or finding"`
	SHA256 string `col:"sha256" doc:"of the row's canonical text, the upload's or the rule set's bytes"`
}

// AuditTrail holds what each figure of the records was made from.
func AuditTrail() Table {
	return of[AuditRow]("record_audit", ByFleet, "the register rows, uploads, rule sets and findings behind each figure of the records, by hash")
}
