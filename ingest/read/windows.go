package read

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"rimelog/ingest/answers"
	"rimelog/ingest/limits"
	"rimelog/ingest/merge"
	"rimelog/ingest/pass"
	"rimelog/ingest/raw"
	"rimelog/ingest/understood"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// mostWindows is how many stretches a file is read in at most.
const mostWindows = 64

// windowsOf cuts a file's time where a row of the register begins or ends to hold: none
// where the same rows hold for all of it.
func windowsOf(a answers.Answers, r pass.Reading) []answers.Window {
	first, last := r.Understanding.Extent()
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
	if a.Window.Set() || len(cuts) == 0 || len(cuts) >= mostWindows {
		return nil
	}
	list := []answers.Window{{From: -1 << 62}}
	for _, at := range cuts {
		list[len(list)-1].To = at
		list = append(list, answers.Window{From: at})
	}
	list[len(list)-1].To = 1 << 62
	return list
}

// readWindows reads a file once for each window, and takes in each only the lines of
// its time: a probe that was moved in May is read as what it was before, and as what
// it is since.
func readWindows(ctx context.Context, src raw.Source, a answers.Answers, o limits.Options, windows []answers.Window, to merge.Sink) (pass.Reading, error) {
	var passes []answers.Answers
	for _, w := range windows {
		a.Window = w
		passes = append(passes, a)
	}
	why := understood.Evidence{Decision: "register", Evidence: fmt.Sprintf("other rows hold from some time on: it was read in %d stretches, each under its own", len(windows))}
	r, _, err := readPasses(ctx, src, passes, o, to, why)
	return r, err
}

// readPasses reads a file once under each of several answers, which take of it what the
// others leave. It gives the reading that is joined, and what it was joined of.
func readPasses(ctx context.Context, src raw.Source, passes []answers.Answers, o limits.Options, to merge.Sink, why understood.Evidence) (r pass.Reading, list []pass.Reading, err error) {
	pile := &merge.Pile{To: to}
	defer func() { err = errors.Join(err, pile.Close()) }()
	for _, a := range passes {
		one, err := readTable(ctx, src, a, o, pile)
		if err != nil {
			return pass.Reading{}, nil, err
		}
		if err := pile.Next(); err != nil {
			return pass.Reading{}, nil, err
		}
		list = append(list, one)
	}
	if r, err = joinPasses(list, pile, why); err != nil {
		return pass.Reading{}, nil, err
	}
	return r, list, pile.Give()
}

// joinPasses makes one reading of several of the same lines, each of which counted all.
func joinPasses(list []pass.Reading, pile *merge.Pile, why understood.Evidence) (pass.Reading, error) {
	r := list[0]
	r.Parts, r.Values = nil, list[0].Values
	for i := range list[1:] {
		one := &list[i+1]
		r.Values = r.Values.Add(one.Values)
		one.Understanding.Quarantined, one.Understanding.Tables = nil, 0
		if err := cellsOnly(one); err != nil {
			return r, err
		}
	}
	if err := joinReadings(&r, list, pile); err != nil {
		return r, err
	}
	r.Understanding.Evidence = append(r.Understanding.Evidence[:len(r.Understanding.Evidence)-1], why)
	return r, nil
}

// cellsOnly leaves out the refusals of whole lines, which the first window has.
func cellsOnly(r *pass.Reading) error {
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
