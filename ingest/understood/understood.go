package understood

import (
	"strings"
	"time"

	"rimelog/pipeline/dataset"
	"rimelog/thermo/units"
)

// A File is how a file was understood: every decision with its evidence,
// what was left out, and what only the user can settle.
type File struct {
	Unreadable string `json:"unreadable,omitempty"` // why the file is no table
	Remedy     string `json:"remedy,omitempty"`

	Encoding      string `json:"encoding"`
	LineEnds      string `json:"line_ends"`
	Delimiter     string `json:"delimiter"`
	DecimalMark   string `json:"decimal_mark"`
	ThousandsMark string `json:"thousands_mark"`
	Layout        string `json:"layout"` // wide: a column for each channel; long: a line for each value
	Tables        int    `json:"tables"` // that stand below each other

	Lines         dataset.Lines  `json:"lines"`
	Values        dataset.Values `json:"values"`
	PreambleLines int64          `json:"preamble_lines"`
	HeaderLines   int64          `json:"header_lines"`
	FooterLines   int64          `json:"footer_lines"`
	BlankLines    int64          `json:"blank_lines"`
	DataRows      int64          `json:"data_rows"`
	Quarantined   []LineProblem  `json:"quarantined"`
	Cells         []CellProblem  `json:"cells_without_value"` // the first ones, by runs

	Time    Time     `json:"time"`
	Columns []Column `json:"columns"`

	Starts []string `json:"compressor_starts,omitempty"` // of a visit's file, UTC

	Evidence      []Evidence `json:"evidence"` // of the decisions on the file as a whole
	Notes         []Note     `json:"notes"`    // what limits the reading
	OpenQuestions []Question `json:"open_questions"`
	Passes        int        `json:"passes"` // how often the file was read
}

// A LineProblem is a run of lines that were not taken.
type LineProblem struct {
	Line   int64  `json:"line"` // the first
	Last   int64  `json:"last"`
	Reason string `json:"reason"`
	Text   string `json:"text,omitempty"` // the first line as found
}

// A CellProblem is a run of cells of one column that gave no value: refused, or marked
// by the logger as over range, open and the like.
type CellProblem struct {
	Line   int64  `json:"line"` // the first
	Last   int64  `json:"last"`
	Column string `json:"column"`
	Reason string `json:"reason"`
	Text   string `json:"text"` // the first cell as found
	Cells  int64  `json:"cells"`
}

// MostCells is how many runs of cells an understanding holds; the table of refusals
// holds all.
const MostCells = 100

// A Note is a doubt that does not keep values from being taken, or a limit.
type Note struct {
	Note   string `json:"note"`
	Remedy string `json:"remedy"`
	Place  string `json:"place,omitempty"` // where the remedy goes, if not into the file
}

// Evidence is what a decision rests on.
type Evidence struct {
	Decision string `json:"decision"`
	Evidence string `json:"evidence"`
}

// Time is how the file tells the time.
type Time struct {
	Columns      []string `json:"columns"`
	Kind         string   `json:"kind"`
	Order        string   `json:"order"` // day first, month first, year first, or open
	OrderReason  string   `json:"order_evidence"`
	Zone         string   `json:"zone"`
	ZoneEvidence string   `json:"zone_evidence"`
	FirstUTC     string   `json:"first_utc"`
	LastUTC      string   `json:"last_utc"`
	StepS        float64  `json:"step_s"` // the middle one of the steps between samples

	Offsets []OffsetRun `json:"utc_offsets"` // with them, every line's local time follows from UTC
}

// An OffsetRun is a run of lines over which the logger's clock was ahead of UTC by one
// offset: the local time of each is its UTC and the offset.
type OffsetRun struct {
	Line     int64  `json:"line"` // the first
	FirstUTC string `json:"first_utc"`
	OffsetS  int64  `json:"offset_s"`
}

// Column is what a column of the file means.
type Column struct {
	Name      string           `json:"name"`
	System    string           `json:"system,omitempty"`
	Channel   string           `json:"channel"` // a column of samples without its unit, or extra, time or none
	Unit      string           `json:"unit"`
	Reference string           `json:"pressure_reference"` // gauge, absolute, unknown; empty for no pressure
	Evidence  []string         `json:"evidence"`
	Stored    int64            `json:"stored"`
	Refused   int64            `json:"refused"`
	Why       string           `json:"refused_because,omitempty"`
	Missing   map[string]int64 `json:"missing"` // by meaning of the marker
}

// UTC writes a time, of microseconds since 1970.
func UTC(micros int64) string {
	return time.UnixMicro(micros).UTC().Format("2006-01-02T15:04:05.999999Z")
}

// What the reason begins with for not taking a value that cannot be.
const (
	BelowVacuum = "below vacuum"                                    // a pressure
	TooHot      = "hotter than any part of a refrigeration machine" // a temperature
	TooHigh     = "higher than any pressure of a refrigeration machine"
	TooStrong   = "beyond the power of any refrigeration machine"
)

// RemarkIn is the first cell of a column that was not taken, if all that are known of it
// are words without a digit: somebody's remark, no number written in another way.
func (u File) RemarkIn(column string) (word string, ok bool) {
	for _, c := range u.Cells {
		switch {
		case c.Column != column:
		case strings.ContainsAny(c.Text, "0123456789"):
			return "", false
		case !ok:
			word, ok = c.Text, true
		}
	}
	return word, ok
}

// AllFor gives the first cell of a column that was not taken, if for one reason none was.
func (u File) AllFor(column, reason string) (cell CellProblem, all bool) {
	for _, c := range u.Cells {
		switch {
		case c.Column != column:
		case !strings.HasPrefix(c.Reason, reason):
			return c, false
		case !all:
			cell, all = c, true
		}
	}
	return cell, all
}

// A Question is what nobody but the user can settle, with the line of
// register/channels.csv that does.
type Question struct {
	Question     string `json:"question"`
	RegisterLine string `json:"register_line"`
	Waits        bool   `json:"values_wait"` // until then values are not taken; otherwise they are in doubt
}

// ReadsGauge tells whether a pressure was counted from the air's.
func (u File) ReadsGauge() bool {
	for _, c := range u.Columns {
		if c.Reference == units.Gauge.String() {
			return true
		}
	}
	return false
}

// Extent is the first and the last time of a file, in microseconds since 1970.
func (u File) Extent() (first, last int64) {
	for _, run := range []string{u.Time.FirstUTC, u.Time.LastUTC} {
		t, err := time.Parse(time.RFC3339Nano, run)
		if err != nil {
			return 0, 0
		}
		first, last = last, t.UnixMicro()
	}
	return first, last
}
