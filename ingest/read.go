package ingest

import (
	"context"
	"errors"
	"fmt"
	"io"

	"rimelog/ingest/merge"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A Source is the bytes of an upload.
type Source struct {
	io.ReaderAt
	Size int64

	ends   int64        // its lines, where they were counted by their ends
	bad    *unreadable  // why an archive gave no bytes
	within *surrounding // of a table within a file
}

// A Reading is what a file says, under the register's answers.
type Reading struct {
	Understanding Understanding
	Lines         dataset.Lines
	Values        dataset.Values
	Parts         []PartRows

	charset charset
	decimal byte     // the mark that some number proves
	starts  []int64  // lines at which other tables begin
	strips  []strip  // tables side by side
	above   []string // what stands above the first
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

// maxPasses is how often a file is read at most: once for each thing that its
// sample did not show.
const maxPasses = 12

// Read reads a file: it looks at a sample, decides, and takes every line in one
// pass. A pass that meets a cell which can only be read another way starts again
// under what it found. The error is about the machine; what is wrong with the file
// is in the reading. All rows are held in memory.
func Read(ctx context.Context, src Source, upload string, a Answers, o Options) (Reading, error) {
	var all merge.Memory
	r, err := readTo(ctx, src, a, o, &all)
	if err != nil {
		return Reading{}, err
	}
	errs := []error{r.name(upload)}
	for i := range r.Parts {
		p := &r.Parts[i]
		p.Samples, err = all.Rows(i, sampleTable)
		errs = append(errs, err)
		p.Extras, err = all.Rows(i, extrasTable)
		errs = append(errs, err)
	}
	if err := errors.Join(errs...); err != nil {
		return Reading{}, fmt.Errorf("upload %s: %w", upload, err)
	}
	return r, nil
}

// readTo is Read with the samples and extras given to a sink. It does not know the
// upload: name the reading.
func readTo(ctx context.Context, src Source, a Answers, o Options, to merge.Sink) (Reading, error) {
	r, err := readTable(ctx, src, a, o, to)
	if err != nil || len(r.starts) == 0 {
		if w := a.windows(r); err == nil && w != nil {
			to.Restart()
			return readWindows(ctx, src, a, o, w, to)
		}
		if err == nil && len(r.strips) > 0 {
			to.Restart()
			return readBeside(ctx, src, a, o, r.strips, to)
		}
		return r, err
	}
	return readStacked(ctx, src, a, o, r, to)
}

// readTable reads a file, or a table within one, whose data have one header.
func readTable(ctx context.Context, src Source, a Answers, o Options, to merge.Sink) (Reading, error) {
	s, err := takeSample(src, o)
	var bad *unreadable
	if errors.As(err, &bad) {
		return refuseFile(src, s, a, bad, o)
	}
	if err != nil {
		return Reading{}, err
	}
	var found amendments
	if src.within != nil {
		found.orders = src.within.orders
	}
	for range maxPasses {
		if err := ctx.Err(); err != nil {
			return Reading{}, err
		}
		p, err := newPlan(s, a, found, o)
		if errors.As(err, &bad) {
			return refuseFile(src, s, a, bad, o)
		}
		if err != nil {
			return Reading{}, err
		}
		seen := watch(to)
		pass := newPass(p, src.Size, seen)
		err = pass.run(io.NewSectionReader(src, 0, src.Size), o.lineLimit())
		if err := errors.Join(err, pass.close()); err != nil {
			return Reading{}, err
		}
		if !pass.again {
			r, err := pass.reading()
			r.Understanding.Starts = startsText(seen.starts())
			return r, err
		}
		to.Restart()
		found = pass.found
		found.passes++
	}
	return refuseFile(src, s, a, &unreadable{"its lines contradict each other, whatever is assumed of them", "export it again"}, o)
}

// reading makes the result of the last pass.
func (s *pass) reading() (Reading, error) {
	r := Reading{Lines: s.lines, charset: s.p.charset, decimal: s.p.provenMark(), starts: s.starts, strips: s.p.findStrips(), above: s.p.layout.preamble}
	for i, o := range s.out {
		part := PartRows{System: s.systemID(i)}
		part.span(o.samples.Extent, o.extras.Extent)
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

// name says which upload was read: what was refused of it is told by it.
func (r *Reading) name(upload string) error {
	for i := range r.Parts {
		if err := r.Parts[i].eachRefusal(func(row *table.Refusal) { row.Upload = upload }); err != nil {
			return err
		}
	}
	return nil
}

// eachRefusal changes every refusal.
func (p *PartRows) eachRefusal(change func(*table.Refusal)) error {
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

// span notes what samples and extras say of the time.
func (p *PartRows) span(extents ...merge.Extent) {
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

func (s *pass) systemID(i int) string {
	if i < len(s.p.systems) {
		return s.p.systems[i].ID
	}
	return ""
}

// refuseFile counts the lines of a file that cannot be read: all are quarantined,
// with one reason.
func refuseFile(src Source, s sample, a Answers, why *unreadable, o Options) (Reading, error) {
	body, err := s.charset.open(io.NewSectionReader(src, 0, src.Size))
	if err != nil {
		return Reading{}, err
	}
	r := newLineReader(body, o.lineLimit())
	first := ""
	for {
		l, err := r.next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return Reading{}, err
		}
		if r.number == 1 {
			first = show(l.text)
		}
	}
	reading := Reading{
		Lines: dataset.Lines{All: r.number, Quarantined: r.number},
		Understanding: Understanding{
			Encoding: s.charset.name, Unreadable: why.problem, Remedy: why.remedy,
			Lines: dataset.Lines{All: r.number, Quarantined: r.number},
		},
	}
	var runs []table.Refusal
	if r.number > 0 {
		runs = append(runs, table.Refusal{FirstLine: 1, LastLine: r.number, Reason: why.Error(), Text: first})
		reading.Understanding.Quarantined = []LineProblem{{Line: 1, Last: r.number, Reason: why.Error()}}
	}
	f, err := frame.FromRows(table.Refusals(), runs)
	if err != nil {
		return Reading{}, err
	}
	for _, sys := range a.Systems {
		reading.Parts = append(reading.Parts, PartRows{System: sys.ID, Refusals: f})
		f = frame.Empty(table.Refusals())
	}
	return reading, nil
}
