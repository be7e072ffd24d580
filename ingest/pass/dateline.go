package pass

import (
	"rimelog/ingest/clock"
	"rimelog/ingest/layout"
	"rimelog/ingest/raw"
	"rimelog/ingest/scan"
	"rimelog/ingest/timeline"
)

// noteDate looks for a date in a line of text. It reports true for a line that is there
// to say the date: it is counted.
func (s *Pass) noteDate(text []byte) bool {
	if k := s.p.Time.Kind; k != timeline.DayTime && k != timeline.ElapsedTime || s.number < s.first {
		return false
	}
	found, ok := clock.FindStamp(string(text))
	says := ok && layout.SaysDate(string(text))
	if !ok || !says && scan.IsDigit(scan.TrimLeft(text)[0]) { // rather a line of data
		return false
	}
	s.dated = timeline.DateLine{Number: s.number, Text: raw.Show(text), Stamp: found, Says: says}
	if s.dated.Says {
		s.lines.Preamble++
	}
	return s.dated.Says
}

// settleDate tells, before a line is told in UTC, of which date it is by the line of text
// above it.
func (s *Pass) settleDate() {
	d := s.dated
	s.dated = timeline.DateLine{}
	if d.Number == 0 {
		return
	}
	days, sure := clock.SoleDay(d.Stamp)
	if s.p.Time.Kind == timeline.ElapsedTime {
		if d.Says {
			s.time.StartAgain(d, days, sure)
		}
		return
	}
	s.time.BeginDay(d, days, sure)
}
