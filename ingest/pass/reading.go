package pass

import (
	"rimelog/ingest/dialect"
	"rimelog/ingest/merge"
	"rimelog/ingest/raw"
	"rimelog/ingest/understood"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A Reading is what a file says, under the register's answers.
type Reading struct {
	Understanding understood.File
	Lines         dataset.Lines
	Values        dataset.Values
	Parts         []PartRows

	Charset raw.Charset
	Decimal byte            // the mark that some number proves
	Starts  []int64         // lines at which other tables begin
	Strips  []dialect.Strip // tables side by side
	Above   []string        // what stands above the first
}

// PartRows is what a file says of one system. A frame may be empty.
type PartRows struct {
	System            string
	Samples           *frame.Frame
	Extras            *frame.Frame
	Refusals          *frame.Frame
	FirstUTC, LastUTC int64 // microseconds since 1970; 0 where there are no samples

	steps []int64 // between the first rows, in microseconds
}

// Reading makes the result of the last pass.
func (s *Pass) Reading() (Reading, error) {
	r := Reading{Lines: s.lines, Charset: s.p.Charset, Decimal: s.p.ProvenMark(), Starts: s.starts, Strips: s.p.FindStrips(), Above: s.p.Layout.Preamble}
	for i, o := range s.out {
		part := PartRows{System: s.systemID(i)}
		part.Span(o.samples.Extent, o.extras.Extent)
		var err error
		if part.Refusals, err = frame.FromRows(table.Refusals(), s.refuse.of(i)); err != nil {
			return Reading{}, err
		}
		r.Parts = append(r.Parts, part)
	}
	s.account()
	s.noteDoubles()
	r.Values = s.values
	r.Understanding = s.understanding(r)
	return r, nil
}

// Name says which upload was read: what was refused of it is told by it.
func (r *Reading) Name(upload string) error {
	for i := range r.Parts {
		if err := r.Parts[i].EachRefusal(func(row *table.Refusal) { row.Upload = upload }); err != nil {
			return err
		}
	}
	return nil
}

// EachRefusal changes every refusal.
func (p *PartRows) EachRefusal(change func(*table.Refusal)) error {
	rows, err := frame.Rows[table.Refusal](p.Refusals)
	if err != nil {
		return err
	}
	for i := range rows {
		change(&rows[i])
	}
	p.Refusals, err = frame.FromRows(table.Refusals(), rows)
	return err
}

// Span notes what samples and extras say of the time.
func (p *PartRows) Span(extents ...merge.Extent) {
	for _, e := range extents {
		if e.Rows == 0 {
			continue
		}
		if p.LastUTC == 0 || e.First < p.FirstUTC {
			p.FirstUTC = e.First
		}
		p.LastUTC = max(p.LastUTC, e.Last)
		p.steps = append(p.steps, e.Steps...)
	}
}

func (s *Pass) systemID(i int) string {
	if i < len(s.p.Systems) {
		return s.p.Systems[i].ID
	}
	return ""
}
