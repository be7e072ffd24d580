package ingest

import (
	"context"
	"errors"
	"fmt"
	"io"

	"rimelog/pipeline"
)

// StepLook finds out what a file is, whatever the register says.
var stepLook = pipeline.Step{Name: "look", Version: 10}

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

// look finds out what a file is: a bounded sample, and the count of its lines.
func look(ctx context.Context, src Source, o Options) (Facts, error) {
	f := Facts{Bytes: src.Size}
	s, err := takeSample(src, o)
	var bad *unreadable
	if errors.As(err, &bad) {
		f.Unreadable, f.Remedy = bad.problem, bad.remedy
	} else if err != nil {
		return Facts{}, err
	}
	f.Encoding = s.charset.name
	if f.Lines, err = countLines(ctx, src, s.charset, o); err != nil || bad != nil {
		return f, err
	}
	p, err := newPlan(s, Answers{}, amendments{}, o)
	if errors.As(err, &bad) {
		f.Unreadable, f.Remedy = bad.problem, bad.remedy
		return f, nil
	}
	if err != nil {
		return Facts{}, err
	}
	if p.bare != nil {
		f.Unreadable, f.Remedy = p.bare.problem, p.bare.remedy
	}
	f.Delimiter, f.System = delimiterNames[p.layout.delim], p.preamble.system
	f.describe(p)
	f.Gauge = p.mayBeGauge()
	for i := range p.layout.names {
		f.Columns = append(f.Columns, p.columnName(i))
	}
	return f, nil
}

// column is a header by which a row of the register can name the file.
func (f Facts) column() string {
	if len(f.Columns) > 1 {
		return f.Columns[1]
	}
	return "#2"
}

func countLines(ctx context.Context, src Source, c charset, o Options) (int64, error) {
	body, err := c.open(io.NewSectionReader(src, 0, src.Size))
	if err != nil {
		return 0, err
	}
	if !c.wide && c.bom == 0 && src.ends > 0 {
		return src.ends, nil
	}
	if !c.wide {
		var ends endCounter
		_, err := io.CopyBuffer(&ends, stoppable{ctx, body}, make([]byte, readSize))
		return ends.lines(), err
	}
	r := newLineReader(body, o.lineLimit())
	for {
		if r.number&0xffff == 0 && ctx.Err() != nil {
			return 0, ctx.Err()
		}
		if _, err := r.next(); errors.Is(err, io.EOF) {
			return r.number, nil
		} else if err != nil {
			return 0, fmt.Errorf("line %d: %w", r.number+1, err)
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
