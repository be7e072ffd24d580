package analysis

import (
	"context"
	"slices"
	"time"

	"rimelog/analysis/steady"
)

// longestPause is how long a register may have no row and no sample before a row after
// it is taken for a slip of the pen: longer than any interval of leak checks.
const longestPause = 3 * 366 * around

// asOf is the day given, or that of the newest sample or register row. A row that stands
// alone years after the newest sample does not move it.
func (s *Stage) asOf(newest time.Time) time.Time {
	if !s.AsOf.IsZero() {
		return s.AsOf
	}
	sampled := !newest.IsZero()
	for _, t := range s.eventTimes() {
		if sampled && t.Sub(newest) > longestPause {
			break
		}
		if t.After(newest) {
			newest = t
		}
	}
	return newest.UTC().Truncate(around)
}

// eventTimes are the days of the register's dated rows by the clocks of their sites, as
// midnight UTC, in order.
func (s *Stage) eventTimes() (out []time.Time) {
	for _, sys := range s.Register.Systems {
		for _, e := range s.Register.Events(sys.ID) {
			y, m, d := e.Time.Date()
			out = append(out, time.Date(y, m, d, 0, 0, 0, 0, time.UTC))
		}
		for _, a := range s.Register.Answers(sys.ID) {
			y, m, d := a.Time.Date()
			out = append(out, time.Date(y, m, d, 0, 0, 0, 0, time.UTC))
		}
	}
	slices.SortFunc(out, time.Time.Compare)
	return out
}

// newestSample is the end of the newest stay of all systems.
func (s *Stage) newestSample(ctx context.Context) (newest time.Time, err error) {
	for _, p := range s.systems {
		end, err := s.lastEnd(ctx, p)
		if err != nil {
			return newest, err
		}
		if end.After(newest) {
			newest = end
		}
	}
	return newest, nil
}

// lastEnd is the end of a system's newest stay: of the last month that has any.
func (s *Stage) lastEnd(ctx context.Context, p *systemPlan) (last time.Time, err error) {
	for _, m := range slices.Backward(p.windows) {
		f, ok := p.generation.File(m.path)
		if !ok {
			continue
		}
		var stays []steady.Stay
		if err := s.noted(ctx, f, noteStays, &stays); err != nil {
			return last, err
		}
		for _, st := range stays {
			if end := time.UnixMicro(st.End); end.After(last) {
				last = end
			}
		}
		if len(stays) > 0 {
			break
		}
	}
	return last, nil
}
