package report

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"time"

	"rimelog/analysis/digest"
	"rimelog/analysis/say"
	"rimelog/pipeline/table"
)

// The results as a file for other programs, beside the pages, and its JSON Schema.
const (
	resultsFile = "report.json"
	schemaFile  = "report.schema.json"
)

// resultsVersion is the version of the file's form. It is raised when a field goes or
// changes its meaning; a new field leaves it as it is.
const resultsVersion = 1

// results is what the file holds. Names, units and meanings of all fields stand in their
// tags, from which the schema is made; rows of the dataset's tables are as in the tables.
type results struct {
	Version    int               `col:"version" doc:"of this form: raised when a field goes or changes its meaning"`
	AsOf       string            `col:"as_of" doc:"day that the fleet was judged on, YYYY-MM-DD"`
	Generation int               `col:"generation" doc:"of the fleet in the ledger; 0 before the first"`
	Systems    []resultSystem    `col:"systems" doc:"every system, the most urgent first"`
	Findings   []table.Finding   `col:"findings" doc:"as in the table findings"`
	Checks     []table.LeakCheck `col:"checks" doc:"as in the table leak_checks"`
	Rankings   []table.Ranking   `col:"rankings" doc:"as in the table energy_ranking"`
	Uploads    resultUploads     `col:"uploads" doc:"how many uploads count"`
	Quality    []table.Problem   `col:"quality" doc:"as in the table quality"`
	Compared   int               `col:"compared_with" doc:"generation of the fleet that changes are counted from; 0 for none"`
	Changes    []resultChange    `col:"changes" doc:"what changed since then"`
	Steps      []string          `col:"steps" doc:"steps behind the figures, with their versions"`
}

type resultSystem struct {
	ID          string          `col:"system" doc:"ID in the register"`
	Name        string          `col:"name" doc:"the machine, for people; empty unknown"`
	Site        string          `col:"site" doc:"the place, for people; empty unknown"`
	Kind        string          `col:"kind" doc:"what it is for; unknown where the register does not say"`
	Refrigerant string          `col:"refrigerant" doc:"the refrigerant; empty unknown"`
	Standing    string          `col:"standing" doc:"open (has an open finding), unjudged (nothing about it can be judged), or calm (judged, no finding)"`
	Verdict     string          `col:"verdict" doc:"the same in a sentence"`
	Remedy      string          `col:"remedy" doc:"what would let it be judged; empty where it is"`
	Page        string          `col:"page" doc:"its page, below the report's folder"`
	Sheets      string          `col:"sheets" doc:"its visit sheets, below the report's folder"`
	Card        string          `col:"card" doc:"its card for the next visit, below the report's folder"`
	Visits      int             `col:"visits" doc:"visits, a day each of permanent loggers, and parts of such"`
	Judged      int             `col:"visits_judged" doc:"those that speak in trends"`
	Last        time.Time       `col:"last_visit" doc:"start of the newest, UTC"`
	Features    []resultFeature `col:"features" doc:"what was read of it"`
}

type resultFeature struct {
	Feature string        `col:"feature" doc:"by its column in the table visits"`
	Latest  float64       `col:"latest_k" unit:"K" doc:"newest reading"`
	U       float64       `col:"latest_u_k" unit:"K" doc:"standard uncertainty of it"`
	On      time.Time     `col:"latest_on" doc:"visit of it, UTC"`
	Trends  []table.Trend `col:"trend" doc:"what is known of it now: its newest row of the table trends; empty where there is none"`
}

type resultUploads struct {
	Seen   int `col:"seen" doc:"files and members of archives"`
	Used   int `col:"used" doc:"all of their visits speak in trends"`
	InPart int `col:"used_in_part" doc:"some do, or with something hidden"`
	Unused int `col:"not_used" doc:"none does"`
}

type resultChange struct {
	Change  string `col:"change" doc:"new finding, worsened, open again, check due, answered, closed, withdrawn, or upload refused"`
	Finding string `col:"finding" doc:"ID of the finding it tells of; empty for anything else"`
	System  string `col:"system" doc:"the system; empty where nobody claims the upload"`
	What    string `col:"what" doc:"kind of finding, check, or path of the upload"`
	Detail  string `col:"detail" doc:"in words"`
}

// Results returns the results as JSON: English, in the units of the tables.
func (f Fleet) Results() ([]byte, error) {
	f = f.in(say.Locale{})
	r := results{Version: resultsVersion, AsOf: f.AsOf.Format(time.DateOnly), Generation: f.Generation, Findings: f.Findings, Checks: f.Records.LeakChecks,
		Rankings: f.Rankings, Quality: f.Quality, Uploads: f.counted(), Compared: f.Past.N, Changes: f.resultChanges()}
	for _, s := range f.systems() {
		r.Systems = append(r.Systems, s.result())
	}
	for _, s := range f.Made.Steps {
		r.Steps = append(r.Steps, s.Name+"/"+strconv.Itoa(s.Version))
	}
	b, err := json.MarshalIndent(fieldsOf(r), "", " ")
	if err != nil {
		return nil, fmt.Errorf("write %s: %w", resultsFile, err)
	}
	return append(b, '\n'), nil
}

func (s System) result() resultSystem {
	id := s.Register.ID
	r := resultSystem{ID: id, Name: s.Register.Name, Site: s.Register.Site, Kind: s.Register.Kind.String(), Refrigerant: s.Register.RefrigerantName,
		Standing: s.standing().key(), Verdict: s.verdict(), Page: SystemPath(id), Sheets: SheetPath(id), Card: CardPath(id), Visits: len(s.Visits), Judged: s.used(table.UseTrend)}
	if s.standing() == notJudged {
		r.Remedy = s.obstacle().how
	}
	if n := len(s.Visits); n > 0 {
		r.Last = s.Visits[n-1].Start
	}
	latest := s.latest()
	for _, f := range s.seen() {
		visit, value, u := s.lastReading(f)
		x := resultFeature{Feature: f.column, Latest: value, U: u, On: visit.Start}
		if t, ok := latest[f.column]; ok {
			x.Trends = []table.Trend{t}
		}
		r.Features = append(r.Features, x)
	}
	return r
}

func (f Fleet) counted() (c resultUploads) {
	c.Seen = len(f.Uploads)
	for _, u := range f.Verdicts {
		switch u.Verdict {
		case table.UploadUsed:
			c.Used++
		case table.UploadInPart:
			c.InPart++
		default:
			c.Unused++
		}
	}
	return c
}

func (f Fleet) resultChanges() (out []resultChange) {
	if f.Past.N == 0 {
		return nil
	}
	d, _ := digest.Fleet{AsOf: f.AsOf, Findings: f.Findings, Uploads: f.Uploads, Checks: f.Records.LeakChecks}.Since("", f.Past.Told)
	for _, i := range d.Items {
		out = append(out, resultChange{string(i.Change), i.ID, i.System, i.What, i.Detail})
	}
	return out
}

// finite tells whether JSON can write a figure.
func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
