package pass

import (
	"rimelog/ingest/dialect"
	"rimelog/ingest/plan"
	"rimelog/ingest/scan"
)

// outside tells whether a line of data holds nothing of the table under way, one of
// several side by side.
func (s *Pass) outside() bool {
	for i := s.p.Strip.From; i < s.p.Strip.To; i++ {
		if len(scan.Trim(s.row[i].text)) > 0 {
			return false
		}
	}
	return s.p.Strip.Set()
}

// refuseLine refuses every value of the table under way in a line whose time cannot be
// told: the tables beside it are read all the same.
func (s *Pass) refuseLine(reason string) {
	for k := range s.fields {
		for c := s.fields[k].column; c != nil; c = c.next {
			if v := &s.row[k]; c.Kind != plan.TimeColumn && c.Kind != plan.SkipColumn && v.kind != dialect.EmptyCell {
				s.refused(c, v, reason)
			}
		}
	}
}
