package report

import (
	"cmp"
	"slices"
	"time"

	"rimelog/analysis/drift"
	"rimelog/analysis/records"
	"rimelog/analysis/say"
	"rimelog/pipeline"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A Fleet is what the fleet page is drawn from.
type Fleet struct {
	Generation int // in the ledger
	AsOf       time.Time
	Systems    []System // without their logs; any order
	Findings   []table.Finding
	Uploads    []table.Upload
	Quality    []table.Problem
	Verdicts   []table.UploadVerdict
	LogQuality []table.LogQuality
	Across     Across
	Records    records.Books // what pages show of them
	Rankings   []table.Ranking
	RuleSets   []Input // that the records rest on, by the hash of their files
	Past       Past    // what is compared with
	Made       Made
	say        say.Locale // of the page under way
}

// A System is what the page of one system is drawn from.
type System struct {
	Register register.System
	Events   []register.Event
	Visits   []table.Visit
	Restated []table.Restated // the visits that trends rest on otherwise than Visits shows them
	Trends   []table.Trend
	Findings []table.Finding // of this system
	Seasons  []table.Season
	Savings  []table.Saving
	Losses   []table.Loss // where the electricity goes
	Refusals []table.Refusal
	Partly   []table.Upload  // its uploads of which something was not taken
	Quality  []table.Problem // what of it is left out or in doubt
	// Baselines are what each feature should be, from its own visits and systems like it.
	Baselines []table.Baseline
	Windows   []table.Window // of the latest visit
	Phases    []table.Phase  // what the machine did, of the same months
	Log       *Log           // the latest visit's samples; nil where there are none
	Before    string         // ID of the system before it, in their order; empty for the first
	After     string         // ID of the one after it; empty for the last

	say    say.Locale             // of the page under way
	now    map[string]table.Trend // see latest
	judged []table.Visit          // see asJudged
}

// A Log is the samples of one visit in columns of the samples table.
type Log struct {
	Times   []time.Time
	Columns []Column
}

// A Column is one channel of a log.
type Column struct {
	Name   string // as in the samples table: suction_temp_c
	Values []float64
}

// Made says what a page was made from.
type Made struct {
	AsOf   time.Time
	Steps  []pipeline.Step            // the steps behind its figures, in the order of the flow
	Inputs []Input                    // the files its figures come from
	Tables map[pipeline.Step][]string // the tables that each step made, where a page shows them
}

// An Input is a file that a page was made from.
type Input struct{ Name, SHA256 string }

// Zone is the zone of the system's clocks; UTC where the register names none.
func (s System) Zone() *time.Location {
	if s.Register.Zone == nil {
		return time.UTC
	}
	return s.Register.Zone
}

// Title is the system's name for people: its ID where the register has none.
func (s System) Title() string { return say.Unparted(cmp.Or(s.Register.Name, s.Register.ID)) }

// in is the system as a locale's page tells of it: gauges show what they show at its altitude.
func (s System) in(l say.Locale) System {
	s = s.ready()
	s.say = l.WithAltitude(s.Register.Altitude)
	return s
}

// in is the fleet as a locale's pages tell of it.
func (f Fleet) in(l say.Locale) Fleet {
	f.say = l
	f.Systems = slices.Clone(f.Systems)
	for i := range f.Systems {
		f.Systems[i] = f.Systems[i].in(l)
	}
	return f
}

// open are the open findings, most urgent first.
func (s System) open() []table.Finding {
	return s.findings(func(f table.Finding) bool { return f.State == drift.Open })
}

// past are the findings that are not open, latest change first.
func (s System) past() []table.Finding {
	out := s.findings(func(f table.Finding) bool { return f.State != drift.Open })
	slices.SortStableFunc(out, func(a, b table.Finding) int { return b.ChangedOn.Compare(a.ChangedOn) })
	return out
}

func (s System) findings(keep func(table.Finding) bool) (out []table.Finding) {
	for _, f := range s.Findings {
		if keep(f) {
			out = append(out, f)
		}
	}
	slices.SortStableFunc(out, func(a, b table.Finding) int { return cmp.Compare(a.Rank, b.Rank) })
	return out
}

// latest is what is known of each feature now: its last row of the trends.
func (s System) latest() map[string]table.Trend {
	if s.now == nil {
		return latestOf(s.Trends, func(time.Time) bool { return true })
	}
	return s.now
}

// ready is the system with what its pages ask for time and again looked up once.
func (s System) ready() System {
	s.now, s.judged = s.latest(), s.asJudged()
	return s
}

// latestOf is the last row of each feature, of decisions on days that count.
func latestOf(trends []table.Trend, counts func(on time.Time) bool) map[string]table.Trend {
	last := map[string]*table.Trend{}
	for i := range trends {
		t := &trends[i]
		if old := last[t.Feature]; counts(t.DecidedOn) && (old == nil || !t.DecidedOn.Before(old.DecidedOn)) {
			last[t.Feature] = t
		}
	}
	out := map[string]table.Trend{}
	for feature, t := range last {
		out[feature] = *t
	}
	return out
}
