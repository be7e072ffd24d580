package ingest

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"rimelog/ingest/clock"
	"rimelog/ingest/merge"
	"rimelog/pipeline/dataset"
)

// An Understanding is how a file was understood: every decision with its evidence,
// what was left out, and what only the user can settle.
type Understanding struct {
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

	Time    TimeUnderstanding     `json:"time"`
	Columns []ColumnUnderstanding `json:"columns"`

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

// mostCells is how many runs of cells an understanding holds; the table of refusals
// holds all.
const mostCells = 100

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

// TimeUnderstanding is how the file tells the time.
type TimeUnderstanding struct {
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

// mostOffsets is how many runs are kept; a clock that changes more often tells its
// offset in each line, and the upload has it.
const mostOffsets = 200

// noteOffset begins a run. Where the time is an open question there is none.
func (s *pass) noteOffset(utc, line int64) {
	s.offset = s.time.offset
	if s.p.time.question == "" && len(s.offsets) < mostOffsets {
		s.offsets = append(s.offsets, OffsetRun{Line: line, FirstUTC: utcText(utc), OffsetS: s.offset / clock.Second})
	}
}

// ColumnUnderstanding is what a column of the file means.
type ColumnUnderstanding struct {
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

// understanding tells what a pass decided and found.
func (s *pass) understanding(r Reading) Understanding {
	p := s.p
	u := Understanding{
		Encoding: p.charset.name, LineEnds: p.lineEnd, Delimiter: delimiterNames[p.layout.delim], Layout: "wide", Tables: 1,
		DecimalMark: markText(p.marks.Decimal), Lines: s.lines, Values: s.values,
		PreambleLines: s.lines.Preamble, HeaderLines: s.lines.Header, FooterLines: s.lines.Footer, BlankLines: s.lines.Blank, DataRows: s.lines.Data,
		Quarantined: []LineProblem{}, Cells: []CellProblem{}, Columns: []ColumnUnderstanding{}, Notes: append([]Note{}, p.notes...), OpenQuestions: append([]Question{}, p.open...),
		Passes: p.found.passes + 1,
	}
	if p.bare != nil {
		u.Unreadable, u.Remedy = p.bare.problem, p.bare.remedy
	}
	if e := p.seen; e.PointWhole+e.CommaWhole+e.Blank+e.Apostrophe > 0 || p.marks.Decimal == ',' && e.PointOpen > 0 || p.marks.Decimal == '.' && e.CommaOpen > 0 {
		u.ThousandsMark = markText(p.marks.Thousands)
	}
	u.Evidence = []Evidence{
		{"encoding", p.charset.why},
		{"delimiter", fmt.Sprintf("%d lines of the sample have %d cells of known types", len(p.layout.body), p.layout.columns)},
		{"decimal mark", p.marksWhy},
	}
	if p.time.why != "" {
		u.Evidence = append(u.Evidence, Evidence{"time", p.time.why})
	}
	if s.reordered != "" {
		u.Evidence = append(u.Evidence, Evidence{"order of columns", s.reordered})
	}
	for _, run := range s.refuse.runs {
		if run.Channel == "" {
			u.Quarantined = append(u.Quarantined, LineProblem{run.FirstLine, run.LastLine, run.Reason, run.Text})
		} else if len(u.Cells) < mostCells {
			u.Cells = append(u.Cells, CellProblem{run.FirstLine, run.LastLine, run.Channel, run.Reason, run.Text, run.Cells})
		}
	}
	u.Time = s.timeUnderstanding(r)
	if p.long != nil {
		u.Layout = "long"
	}
	for _, c := range p.columns {
		if c.kind == partColumn {
			continue
		}
		u.Columns = append(u.Columns, s.columnUnderstanding(c))
	}
	return u
}

func markText(m byte) string {
	if m == 0 {
		return ""
	}
	return string(rune(m))
}

func (s *pass) timeUnderstanding(r Reading) TimeUnderstanding {
	t := TimeUnderstanding{Kind: timeKinds[s.p.time.kind], Zone: s.p.time.zone.Name, ZoneEvidence: s.p.time.zone.Why}
	t.Offsets = append([]OffsetRun{}, s.offsets...)
	for _, c := range s.p.time.columns {
		t.Columns = append(t.Columns, s.p.columnName(c))
	}
	if s.p.time.kind == stampTime {
		t.Order = s.time.order.String()
		t.OrderReason = s.time.plan.order.Reasons(s.time.order)
		if why := s.p.time.order.Why[s.time.order]; t.OrderReason == "" {
			t.OrderReason = why
		}
		if s.p.found.remedy == orderRemedy {
			t.Order, t.OrderReason = "open", s.p.found.refuse
		}
	}
	first, last := int64(0), int64(0)
	for _, part := range r.Parts {
		if part.LastUTC == 0 {
			continue
		}
		if first == 0 || part.FirstUTC < first {
			first = part.FirstUTC
		}
		last = max(last, part.LastUTC)
		if t.StepS == 0 {
			t.StepS = middleStep(part.steps)
		}
	}
	if last > 0 {
		t.FirstUTC, t.LastUTC = utcText(first), utcText(last)
	}
	return t
}

func utcText(micros int64) string {
	return time.UnixMicro(micros).UTC().Format("2006-01-02T15:04:05.999999Z")
}

// middleStep is the median of steps, in seconds.
func middleStep(steps []int64) float64 {
	if len(steps) == 0 {
		return 0
	}
	steps = slices.Sorted(slices.Values(steps[:min(len(steps), merge.MostSteps)]))
	return float64(steps[len(steps)/2]) / clock.Second
}

func (s *pass) columnUnderstanding(c *column) ColumnUnderstanding {
	u := ColumnUnderstanding{
		Name: c.title.text, System: s.systemID(c.system), Unit: c.unit.Label, Evidence: append([]string{}, c.why...),
		Stored: c.kept - c.twice, Refused: c.rejected, Why: c.refuse, Missing: map[string]int64{},
	}
	maps.Copy(u.Missing, c.reasons)
	if u.Name == "" {
		u.Name = s.p.columnName(c.index)
	}
	switch c.kind {
	case timeColumn:
		u.Channel, u.System = "time", ""
	case channelColumn, stateColumn:
		u.Channel = shortName(c.target.Name)
	case extraColumn:
		u.Channel = "extra"
	case skipColumn:
		u.Channel = "none"
	}
	if c.kind == channelColumn && strings.HasSuffix(c.target.Name, "_kpa") {
		u.Reference = c.unit.Reference.String()
	}
	return u
}
