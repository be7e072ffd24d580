package ingest

import (
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A stream brings the rows of one table of one system into order. As long as they
// come in order of time they go straight on. A file whose rows do not is read once
// more, and its rows wait in sorted runs until the end.
type stream struct {
	table  table.Table
	to     func(*frame.Frame) error
	runs   shelf // nil while rows are expected in order
	extent extent

	begun bool
	last  int64 // time of the last row, of the run under way
}

// put takes rows that are sorted among themselves.
func (s *stream) put(f *frame.Frame) error {
	times := timesOf(f)
	first, last := times[0], times[len(times)-1]
	behind := !s.begun || first > s.last
	s.begun, s.last = true, last
	if s.runs == nil {
		if !behind {
			return errUnordered
		}
		return s.give(f)
	}
	if !behind {
		if err := s.runs.End(); err != nil {
			return err
		}
	}
	return s.runs.Append(f)
}

func (s *stream) give(f *frame.Frame) error {
	s.extent.note(timesOf(f))
	return s.to(f)
}

// end gives on what waits in runs.
func (s *stream) end(room func(table.Table) (shelf, error), lost func(int, string, lost)) error {
	if s.runs == nil || !s.begun {
		return nil
	}
	if err := s.runs.End(); err != nil {
		return err
	}
	return mergeRuns(s.table, s.runs, room, lost, s.give)
}

func (s *stream) close() error {
	if s.runs == nil {
		return nil
	}
	runs := s.runs
	s.runs = nil
	return runs.Close()
}

// An extent is what rows in order of time say of the file's time.
type extent struct {
	rows        int64
	first, last int64
	steps       []int64 // the first ones between different times
}

// mostSteps is how many steps between samples are looked at.
const mostSteps = 1000

func (e *extent) note(times []int64) {
	if e.rows == 0 && len(times) > 0 {
		e.first, e.last = times[0], times[0]
	}
	e.rows += int64(len(times))
	for _, t := range times {
		if len(e.steps) == mostSteps {
			break
		}
		if t > e.last {
			e.steps = append(e.steps, t-e.last)
		}
		e.last = t
	}
	if len(times) > 0 {
		e.last = times[len(times)-1]
	}
}
