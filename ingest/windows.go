package ingest

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"rimelog/ingest/merge"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A window is a stretch of time in which the same rows of the register hold, in
// microseconds since 1970; the zero window is all time.
type window struct{ from, to int64 }

func (w window) set() bool { return w != window{} }

func (w window) holds(utc int64) bool { return utc >= w.from && utc < w.to }

// mostWindows is how many stretches a file is read in at most.
const mostWindows = 64

// windows cuts a file's time where a row of the register begins or ends to hold: none
// where the same rows hold for all of it.
func (a Answers) windows(r Reading) []window {
	first, last := r.extent()
	var cuts []int64
	for _, s := range a.Systems {
		for _, row := range s.Rows {
			for _, t := range []time.Time{row.From, row.To} {
				if at := t.UnixMicro(); !t.IsZero() && at > first && at <= last {
					cuts = append(cuts, at)
				}
			}
		}
	}
	slices.Sort(cuts)
	cuts = slices.Compact(cuts)
	if a.window.set() || len(cuts) == 0 || len(cuts) >= mostWindows {
		return nil
	}
	list := []window{{from: -1 << 62}}
	for _, at := range cuts {
		list[len(list)-1].to = at
		list = append(list, window{from: at})
	}
	list[len(list)-1].to = 1 << 62
	return list
}

// extent is the first and the last time that a reading was given.
func (r Reading) extent() (first, last int64) {
	for _, run := range []string{r.Understanding.Time.FirstUTC, r.Understanding.Time.LastUTC} {
		t, err := time.Parse(time.RFC3339Nano, run)
		if err != nil {
			return 0, 0
		}
		first, last = last, t.UnixMicro()
	}
	return first, last
}

// readWindows reads a file once for each window, and takes in each only the lines of
// its time: a probe that was moved in May is read as what it was before, and as what
// it is since.
func readWindows(ctx context.Context, src Source, a Answers, o Options, windows []window, to merge.Sink) (Reading, error) {
	var passes []Answers
	for _, w := range windows {
		a.window = w
		passes = append(passes, a)
	}
	why := Evidence{"register", fmt.Sprintf("other rows hold from some time on: it was read in %d stretches, each under its own", len(windows))}
	r, _, err := readPasses(ctx, src, passes, o, to, why)
	return r, err
}

// readPasses reads a file once under each of several answers, which take of it what the
// others leave. It gives the reading that is joined, and what it was joined of.
func readPasses(ctx context.Context, src Source, passes []Answers, o Options, to merge.Sink, why Evidence) (r Reading, list []Reading, err error) {
	pile := &merge.Pile{To: to}
	defer func() { err = errors.Join(err, pile.Close()) }()
	for _, a := range passes {
		one, err := readTable(ctx, src, a, o, pile)
		if err != nil {
			return Reading{}, nil, err
		}
		if err := pile.Next(); err != nil {
			return Reading{}, nil, err
		}
		list = append(list, one)
	}
	if r, err = joinPasses(list, pile, why); err != nil {
		return Reading{}, nil, err
	}
	return r, list, pile.Give()
}

// joinPasses makes one reading of several of the same lines, each of which counted all.
func joinPasses(list []Reading, pile *merge.Pile, why Evidence) (Reading, error) {
	r := list[0]
	r.Parts, r.Values = nil, list[0].Values
	for i := range list[1:] {
		one := &list[i+1]
		r.Values = r.Values.Add(one.Values)
		one.Understanding.Quarantined, one.Understanding.Tables = nil, 0
		if err := one.cellsOnly(); err != nil {
			return r, err
		}
	}
	if err := r.joinParts(list, pile); err != nil {
		return r, err
	}
	r.Understanding.Evidence = append(r.Understanding.Evidence[:len(r.Understanding.Evidence)-1], why)
	return r, nil
}

// cellsOnly leaves out the refusals of whole lines, which the first window has.
func (r *Reading) cellsOnly() error {
	for i := range r.Parts {
		rows, err := frame.Rows[table.Refusal](r.Parts[i].Refusals)
		if err != nil {
			return err
		}
		rows = slices.DeleteFunc(rows, func(row table.Refusal) bool { return row.Channel == "" })
		if r.Parts[i].Refusals, err = frame.FromRows(table.Refusals(), rows); err != nil {
			return err
		}
	}
	return nil
}
