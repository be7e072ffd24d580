package table

// An UploadVerdict is what one upload gave to one system.
type UploadVerdict struct {
	Upload  string `col:"upload" doc:"SHA-256 of the bytes; an archive's member follows after +"`
	Path    string `col:"path" doc:"where it lies below uploads/"`
	System  string `col:"system" doc:"the system; empty where nobody knows whose it is"`
	Verdict string `col:"verdict" doc:"used: all its visits speak in trends, with nothing hidden; used in part; or not used"`
	Reasons string `col:"reasons" doc:"why it is not used, or not all of it; empty where it is"`
	Rules   string `col:"rules" doc:"rules about mistakes of those who log (D1 to D33) that speak of it, separated by blanks; table quality has each with its evidence and remedy"`

	Visits int64 `col:"visits" doc:"visits (days of a permanent logger), and parts of such, that it holds"`
	Used   int64 `col:"visits_used" doc:"those that speak in trends"`
	Shown  int64 `col:"visits_shown" doc:"those that are shown only"`

	Logged    float64 `col:"logged_min" unit:"min" doc:"minutes logged"`
	OffPct    float64 `col:"off_pct" unit:"%" doc:"share of them with the compressor standing still"`
	LeftPct   float64 `col:"left_out_pct" unit:"%" doc:"share that no window may hold: starting, pump-down, defrost and after it, hoses in the air"`
	MovingPct float64 `col:"unsteady_pct" unit:"%" doc:"share in which the machine ran and no window lies: it was not steady, or the stretch was too short"`
	JudgedPct float64 `col:"judged_pct" unit:"%" doc:"share in windows that trends are made from"`
	ShownPct  float64 `col:"shown_pct" unit:"%" doc:"share in windows that are shown only"`
	StoredPct float64 `col:"stored_pct" unit:"%" doc:"share of its values that are stored and no missing markers"`

	Fingerprint string `col:"fingerprint" doc:"by what its instruments are known again: serials, or else how the logger calls its columns"`
	Engineer    string `col:"engineer" doc:"who was there by the events of those days, empty where the register does not say"`
}

// The verdicts on an upload.
const (
	UploadUsed   = "used"
	UploadInPart = "used in part"
	UploadUnused = "not used"
)

// UploadVerdicts holds what became of each upload in the analysis.
func UploadVerdicts() Table {
	return of[UploadVerdict]("upload_verdicts", ByFleet, "whether the analysis used each upload, all of it, a part or nothing, with shares of its time and reasons")
}

// A LogQuality is how good the logs of one set of instruments, or of one person, are.
type LogQuality struct {
	By   string `col:"by" doc:"all; instrument set (one fingerprint); instrument (one serial); or engineer"`
	Name string `col:"name" doc:"the fingerprint, the serial, or the name; empty for all"`

	Visits int64 `col:"visits" doc:"visits behind the shares; days of permanent loggers count for instruments only"`
	Used   int64 `col:"visits_used" doc:"visits that speak in trends with nothing hidden"`
	InPart int64 `col:"visits_in_part" doc:"visits that speak in trends with something hidden, or in one of their parts"`
	Unused int64 `col:"visits_unused" doc:"visits that do not speak in trends"`

	UsedPct   float64 `col:"used_pct" unit:"%" doc:"share of visits that are used, all or in part"`
	UsedLo    float64 `col:"used_lo_pct" unit:"%" doc:"lower end of its 95 % interval" source:"Wilson (1927)"`
	UsedHi    float64 `col:"used_hi_pct" unit:"%" doc:"upper end of its 95 % interval" source:"Wilson (1927)"`
	JudgedPct float64 `col:"judged_pct" unit:"%" doc:"share of the minutes of running that are in windows trends are made from"`

	Mistaken   int64   `col:"visits_with_mistakes" doc:"visits of which some rule says that somebody logged wrong"`
	MistakePct float64 `col:"mistakes_pct" unit:"%" doc:"share of visits with a mistake"`
	MistakeLo  float64 `col:"mistakes_lo_pct" unit:"%" doc:"lower end of its 95 % interval" source:"Wilson (1927)"`
	MistakeHi  float64 `col:"mistakes_hi_pct" unit:"%" doc:"upper end of its 95 % interval" source:"Wilson (1927)"`
	Commonest  string  `col:"commonest" doc:"the commonest mistakes, each with its number of visits: what to train, or which probe to look at"`
	Compared   string  `col:"compared" doc:"fewer or more mistakes than the others, within noise of them, or too few visits (below 10) to compare; never a rank"`
}

// LogQualities holds how good logs are, for training.
func LogQualities() Table {
	return of[LogQuality]("log_quality", ByFleet, "how good logs are by instrument set, instrument and engineer: shares with counts and intervals, for training; below 10 visits nobody is compared")
}
