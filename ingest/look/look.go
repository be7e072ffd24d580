package look

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"

	"rimelog/ingest/answers"
	"rimelog/ingest/dialect"
	"rimelog/ingest/layout"
	"rimelog/ingest/limits"
	"rimelog/ingest/naming"
	"rimelog/ingest/plan"
	"rimelog/ingest/raw"
	"rimelog/ingest/scan"
	"rimelog/thermo/units"
)

// Facts is what a file is, whatever the register says.
type Facts struct {
	Bytes      int64    `json:"bytes"`
	Lines      int64    `json:"lines"`
	Encoding   string   `json:"encoding"`
	Unreadable string   `json:"unreadable,omitempty"`
	Remedy     string   `json:"remedy,omitempty"`
	Delimiter  string   `json:"delimiter,omitempty"`
	Columns    []string `json:"columns,omitempty"` // headers as found
	System     string   `json:"system,omitempty"`  // as the preamble says

	Refrigerant string  `json:"refrigerant,omitempty"` // as the preamble says
	LowKPa      float64 `json:"low_kpa,omitempty"`     // middle of the suction pressure in the sample, from what its unit counts
	HighKPa     float64 `json:"high_kpa,omitempty"`    // the same of the discharge pressure

	Gauge bool `json:"gauge,omitempty"` // a pressure of the sample may be counted from the air's: not every one says that it is absolute
}

// File finds out what a file is: a bounded sample, and the count of its lines.
func File(ctx context.Context, src raw.Source, o limits.Options) (Facts, error) {
	f := Facts{Bytes: src.Size}
	s, err := dialect.Take(src, o)
	var bad *raw.Unreadable
	if errors.As(err, &bad) {
		f.Unreadable, f.Remedy = bad.Problem, bad.Remedy
	} else if err != nil {
		return Facts{}, err
	}
	f.Encoding = s.Charset.Name
	if f.Lines, err = countLines(ctx, src, s.Charset, o); err != nil || bad != nil {
		return f, err
	}
	p, err := plan.New(s, answers.Answers{}, plan.Amendments{}, o)
	if errors.As(err, &bad) {
		f.Unreadable, f.Remedy = bad.Problem, bad.Remedy
		return f, nil
	}
	if err != nil {
		return Facts{}, err
	}
	if p.Bare != nil {
		f.Unreadable, f.Remedy = p.Bare.Problem, p.Bare.Remedy
	}
	f.Delimiter, f.System = dialect.DelimiterNames[p.Layout.Delim], p.Preamble.System
	f.describe(p)
	f.Gauge = mayBeGauge(p)
	for i := range p.Layout.Names {
		f.Columns = append(f.Columns, p.ColumnName(i))
	}
	return f, nil
}

// Column is a header by which a row of the register can name the file.
func (f Facts) Column() string {
	if len(f.Columns) > 1 {
		return f.Columns[1]
	}
	return "#2"
}

func countLines(ctx context.Context, src raw.Source, c raw.Charset, o limits.Options) (int64, error) {
	body, err := c.Open(io.NewSectionReader(src, 0, src.Size))
	if err != nil {
		return 0, err
	}
	if !c.Wide && c.Bom == 0 && src.Ends > 0 {
		return src.Ends, nil
	}
	if !c.Wide {
		var ends raw.EndCounter
		_, err := io.CopyBuffer(&ends, stoppable{ctx, body}, make([]byte, raw.ReadSize))
		return ends.Lines(), err
	}
	r := raw.NewReader(body, o.Line())
	for {
		if r.Number&0xffff == 0 && ctx.Err() != nil {
			return 0, ctx.Err()
		}
		if _, err := r.Next(); errors.Is(err, io.EOF) {
			return r.Number, nil
		} else if err != nil {
			return 0, fmt.Errorf("line %d: %w", r.Number+1, err)
		}
	}
}

// A stoppable reader ends with the context's error.
type stoppable struct {
	ctx context.Context
	io.Reader
}

func (s stoppable) Read(b []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.Reader.Read(b)
}

// refrigerantName finds a refrigerant in the first lines of a file: R404A, R-32.
var refrigerantName = regexp.MustCompile(`\bR-?(\d{2,4}[A-Z]{0,2}(?:\([EZ]\))?)\b`)

// describe notes by what a file can be known again: the refrigerant that its first
// lines name, and the level of its pressures.
func (f *Facts) describe(p *plan.Plan) {
	for _, l := range p.Layout.Preamble[:min(len(p.Layout.Preamble), layout.PreambleLines)] {
		if m := refrigerantName.FindStringSubmatch(l); m != nil {
			f.Refrigerant = "R" + m[1]
			break
		}
	}
	for _, c := range p.Columns {
		switch c.Target.Name {
		case "suction_pressure_kpa":
			f.LowKPa = middle(p, c)
		case "discharge_pressure_kpa":
			f.HighKPa = middle(p, c)
		}
	}
}

// middle is the median of a pressure over the sample, in kPa as far as its unit tells
// and from what its unit counts; 0 where the unit is not known.
func middle(p *plan.Plan, c *plan.Column) float64 {
	if c.Unit.Quantity != naming.QuantityOf(c.Target.Name) {
		return 0
	}
	var values []scan.Decimal
	for _, cell := range p.CellsOf(c.Index) {
		if d, _, _, ok := scan.Number(cell, p.Marks); ok {
			values = append(values, d)
		}
	}
	if len(values) == 0 {
		return 0
	}
	slices.SortFunc(values, func(a, b scan.Decimal) int { return cmp.Compare(a.Float(), b.Float()) })
	v, _ := c.Unit.Exact(values[len(values)/2].Rat()).Float64()
	return math.Round(v)
}

// mayBeGauge tells whether a pressure of the sample may be counted from the air's.
func mayBeGauge(p *plan.Plan) bool {
	for _, c := range p.Columns {
		if c.Unit.Quantity == units.Pressure && c.Unit.Reference != units.Absolute {
			return true
		}
	}
	return p.Long != nil
}
