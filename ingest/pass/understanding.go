package pass

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"rimelog/ingest/clock"
	"rimelog/ingest/dialect"
	"rimelog/ingest/merge"
	"rimelog/ingest/naming"
	"rimelog/ingest/plan"
	"rimelog/ingest/timeline"
	"rimelog/ingest/understood"
)

// mostOffsets is how many runs are kept; a clock that changes more often tells its
// offset in each line, and the upload has it.
const mostOffsets = 200

// noteOffset begins a run. Where the time is an open question there is none.
func (s *Pass) noteOffset(utc, line int64) {
	s.offset = s.time.Offset
	if s.p.Time.Question == "" && len(s.offsets) < mostOffsets {
		s.offsets = append(s.offsets, understood.OffsetRun{Line: line, FirstUTC: understood.UTC(utc), OffsetS: s.offset / clock.Second})
	}
}

// understanding tells what a pass decided and found.
func (s *Pass) understanding(r Reading) understood.File {
	p := s.p
	u := understood.File{
		Encoding: p.Charset.Name, LineEnds: p.LineEnd, Delimiter: dialect.DelimiterNames[p.Layout.Delim], Layout: "wide", Tables: 1,
		DecimalMark: markText(p.Marks.Decimal), Lines: s.lines, Values: s.values,
		PreambleLines: s.lines.Preamble, HeaderLines: s.lines.Header, FooterLines: s.lines.Footer, BlankLines: s.lines.Blank, DataRows: s.lines.Data,
		Quarantined: []understood.LineProblem{}, Cells: []understood.CellProblem{}, Columns: []understood.Column{}, Notes: append([]understood.Note{}, p.Notes...), OpenQuestions: append([]understood.Question{}, p.Open...),
		Passes: p.Found.Passes + 1,
	}
	if p.Bare != nil {
		u.Unreadable, u.Remedy = p.Bare.Problem, p.Bare.Remedy
	}
	if e := p.Seen; e.PointWhole+e.CommaWhole+e.Blank+e.Apostrophe > 0 || p.Marks.Decimal == ',' && e.PointOpen > 0 || p.Marks.Decimal == '.' && e.CommaOpen > 0 {
		u.ThousandsMark = markText(p.Marks.Thousands)
	}
	u.Evidence = []understood.Evidence{
		{Decision: "encoding", Evidence: p.Charset.Why},
		{Decision: "delimiter", Evidence: fmt.Sprintf("%d lines of the sample have %d cells of known types", len(p.Layout.Body), p.Layout.Columns)},
		{Decision: "decimal mark", Evidence: p.MarksWhy},
	}
	if p.Time.Why != "" {
		u.Evidence = append(u.Evidence, understood.Evidence{Decision: "time", Evidence: p.Time.Why})
	}
	if s.reordered != "" {
		u.Evidence = append(u.Evidence, understood.Evidence{Decision: "order of columns", Evidence: s.reordered})
	}
	for _, run := range s.refuse.runs {
		if run.Channel == "" {
			u.Quarantined = append(u.Quarantined, understood.LineProblem{Line: run.FirstLine, Last: run.LastLine, Reason: run.Reason, Text: run.Text})
		} else if len(u.Cells) < understood.MostCells {
			u.Cells = append(u.Cells, understood.CellProblem{Line: run.FirstLine, Last: run.LastLine, Column: run.Channel, Reason: run.Reason, Text: run.Text, Cells: run.Cells})
		}
	}
	u.Time = s.timeUnderstanding(r)
	if p.Long != nil {
		u.Layout = "long"
	}
	for _, c := range s.columns {
		if c.Kind == plan.PartColumn {
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

func (s *Pass) timeUnderstanding(r Reading) understood.Time {
	t := understood.Time{Kind: timeline.Kinds[s.p.Time.Kind], Zone: s.p.Time.Zone.Name, ZoneEvidence: s.p.Time.Zone.Why}
	t.Offsets = append([]understood.OffsetRun{}, s.offsets...)
	for _, c := range s.p.Time.Columns {
		t.Columns = append(t.Columns, s.p.ColumnName(c))
	}
	if s.p.Time.Kind == timeline.StampTime {
		t.Order = s.time.Order.String()
		t.OrderReason = s.time.Plan.Order.Reasons(s.time.Order)
		if why := s.p.Time.Order.Why[s.time.Order]; t.OrderReason == "" {
			t.OrderReason = why
		}
		if s.p.Found.Remedy == orderRemedy {
			t.Order, t.OrderReason = "open", s.p.Found.Refuse
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
		t.FirstUTC, t.LastUTC = understood.UTC(first), understood.UTC(last)
	}
	return t
}

// middleStep is the median of steps, in seconds.
func middleStep(steps []int64) float64 {
	if len(steps) == 0 {
		return 0
	}
	steps = slices.Sorted(slices.Values(steps[:min(len(steps), merge.MostSteps)]))
	return float64(steps[len(steps)/2]) / clock.Second
}

func (s *Pass) columnUnderstanding(c *column) understood.Column {
	u := understood.Column{
		Name: c.Title.Text, System: s.systemID(c.System), Unit: c.Unit.Label, Evidence: append([]string{}, c.Why...),
		Stored: c.kept - c.twice, Refused: c.rejected, Why: c.Refuse, Missing: map[string]int64{},
	}
	maps.Copy(u.Missing, c.reasons)
	if u.Name == "" {
		u.Name = s.p.ColumnName(c.Index)
	}
	switch c.Kind {
	case plan.TimeColumn:
		u.Channel, u.System = "time", ""
	case plan.ChannelColumn, plan.StateColumn:
		u.Channel = naming.ShortName(c.Target.Name)
	case plan.ExtraColumn:
		u.Channel = "extra"
	case plan.SkipColumn:
		u.Channel = "none"
	}
	if c.Kind == plan.ChannelColumn && strings.HasSuffix(c.Target.Name, "_kpa") {
		u.Reference = c.Unit.Reference.String()
	}
	return u
}
