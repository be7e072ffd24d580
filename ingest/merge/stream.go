package merge

import (
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A Stream brings the rows of one table of one system into order. As long as they
// come in order of time they go straight on. A file whose rows do not is read once
// more, and its rows wait in sorted runs until the end.
type Stream struct {
	Table  table.Table
	To     func(*frame.Frame) error
	Runs   Shelf // nil while rows are expected in order
	Extent Extent

	begun bool
	last  int64 // time of the last row, of the run under way
}

// Put takes rows that are sorted among themselves.
func (s *Stream) Put(f *frame.Frame) error {
	times := TimesOf(f)
	first, last := times[0], times[len(times)-1]
	behind := !s.begun || first > s.last
	s.begun, s.last = true, last
	if s.Runs == nil {
		if !behind {
			return ErrUnordered
		}
		return s.give(f)
	}
	if !behind {
		if err := s.Runs.End(); err != nil {
			return err
		}
	}
	return s.Runs.Append(f)
}

func (s *Stream) give(f *frame.Frame) error {
	s.Extent.note(TimesOf(f))
	return s.To(f)
}

// End gives on what waits in runs.
func (s *Stream) End(room func(table.Table) (Shelf, error), lost func(int, string, Lost)) error {
	if s.Runs == nil || !s.begun {
		return nil
	}
	if err := s.Runs.End(); err != nil {
		return err
	}
	return Runs(s.Table, s.Runs, room, lost, s.give)
}

// Close lets go of the runs.
func (s *Stream) Close() error {
	if s.Runs == nil {
		return nil
	}
	runs := s.Runs
	s.Runs = nil
	return runs.Close()
}
