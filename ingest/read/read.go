package read

import (
	"context"
	"errors"
	"fmt"
	"io"

	"rimelog/ingest/answers"
	"rimelog/ingest/dialect"
	"rimelog/ingest/limits"
	"rimelog/ingest/merge"
	"rimelog/ingest/pass"
	"rimelog/ingest/plan"
	"rimelog/ingest/raw"
	"rimelog/ingest/understood"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

var sampleTable, extrasTable = table.Samples(), table.Extras()

// maxPasses is how often a file is read at most: once for each thing that its
// sample did not show.
const maxPasses = 12

// File reads a file: it looks at a sample, decides, and takes every line in one
// pass. A pass that meets a cell which can only be read another way starts again
// under what it found. The error is about the machine; what is wrong with the file
// is in the reading. All rows are held in memory.
func File(ctx context.Context, src raw.Source, upload string, a answers.Answers, o limits.Options) (pass.Reading, error) {
	var all merge.Memory
	r, err := To(ctx, src, a, o, &all)
	if err != nil {
		return pass.Reading{}, err
	}
	errs := []error{r.Name(upload)}
	for i := range r.Parts {
		p := &r.Parts[i]
		p.Samples, err = all.Rows(i, sampleTable)
		errs = append(errs, err)
		p.Extras, err = all.Rows(i, extrasTable)
		errs = append(errs, err)
	}
	if err := errors.Join(errs...); err != nil {
		return pass.Reading{}, fmt.Errorf("upload %s: %w", upload, err)
	}
	return r, nil
}

// To is Read with the samples and extras given to a sink. It does not know the
// upload: name the reading.
func To(ctx context.Context, src raw.Source, a answers.Answers, o limits.Options, to merge.Sink) (pass.Reading, error) {
	r, err := readTable(ctx, src, a, o, to)
	if err != nil || len(r.Starts) == 0 {
		if w := windowsOf(a, r); err == nil && w != nil {
			to.Restart()
			return readWindows(ctx, src, a, o, w, to)
		}
		if err == nil && len(r.Strips) > 0 {
			to.Restart()
			return readBeside(ctx, src, a, o, r.Strips, to)
		}
		return r, err
	}
	return readStacked(ctx, src, a, o, r, to)
}

// readTable reads a file, or a table within one, whose data have one header.
func readTable(ctx context.Context, src raw.Source, a answers.Answers, o limits.Options, to merge.Sink) (pass.Reading, error) {
	s, err := dialect.Take(src, o)
	var bad *raw.Unreadable
	if errors.As(err, &bad) {
		return refuseFile(src, s, a, bad, o)
	}
	if err != nil {
		return pass.Reading{}, err
	}
	var found plan.Amendments
	if src.Within != nil {
		found.Orders = src.Within.Orders
	}
	for range maxPasses {
		if err := ctx.Err(); err != nil {
			return pass.Reading{}, err
		}
		p, err := plan.New(s, a, found, o)
		if errors.As(err, &bad) {
			return refuseFile(src, s, a, bad, o)
		}
		if err != nil {
			return pass.Reading{}, err
		}
		seen := watch(to)
		one := pass.New(p, src.Size, seen)
		err = one.Run(io.NewSectionReader(src, 0, src.Size), o.Line())
		if err := errors.Join(err, one.Close()); err != nil {
			return pass.Reading{}, err
		}
		if !one.Again {
			r, err := one.Reading()
			r.Understanding.Starts = startsText(seen.starts())
			return r, err
		}
		to.Restart()
		found = one.Found
		found.Passes++
	}
	return refuseFile(src, s, a, &raw.Unreadable{Problem: "its lines contradict each other, whatever is assumed of them", Remedy: "export it again"}, o)
}

// refuseFile counts the lines of a file that cannot be read: all are quarantined,
// with one reason.
func refuseFile(src raw.Source, s dialect.Sample, a answers.Answers, why *raw.Unreadable, o limits.Options) (pass.Reading, error) {
	body, err := s.Charset.Open(io.NewSectionReader(src, 0, src.Size))
	if err != nil {
		return pass.Reading{}, err
	}
	r := raw.NewReader(body, o.Line())
	first := ""
	for {
		l, err := r.Next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return pass.Reading{}, err
		}
		if r.Number == 1 {
			first = raw.Show(l.Text)
		}
	}
	reading := pass.Reading{
		Lines: dataset.Lines{All: r.Number, Quarantined: r.Number},
		Understanding: understood.File{
			Encoding: s.Charset.Name, Unreadable: why.Problem, Remedy: why.Remedy,
			Lines: dataset.Lines{All: r.Number, Quarantined: r.Number},
		},
	}
	var runs []table.Refusal
	if r.Number > 0 {
		runs = append(runs, table.Refusal{FirstLine: 1, LastLine: r.Number, Reason: why.Error(), Text: first})
		reading.Understanding.Quarantined = []understood.LineProblem{{Line: 1, Last: r.Number, Reason: why.Error()}}
	}
	f, err := frame.FromRows(table.Refusals(), runs)
	if err != nil {
		return pass.Reading{}, err
	}
	for _, sys := range a.Systems {
		reading.Parts = append(reading.Parts, pass.PartRows{System: sys.ID, Refusals: f})
		f = frame.Empty(table.Refusals())
	}
	return reading, nil
}
