package pass

import (
	"cmp"
	"slices"
	"strings"

	"rimelog/ingest/dialect"
	"rimelog/ingest/plan"
	"rimelog/ingest/scan"
)

// takeLong gives the one value of a line to the channel that the line names.
func (s *Pass) takeLong(utc int64, ended bool) {
	l := s.p.Long
	key := string(scan.Trim(s.row[l.Key].text))
	chosen := s.named[key]
	if chosen == nil {
		unit := ""
		if l.Unit >= 0 {
			unit = string(scan.Trim(s.row[l.Unit].text))
		}
		if len(s.Found.Keys) < s.p.KeyLimit && !plan.HasKey(s.Found.Keys, key) {
			s.Found.Keys = append(slices.Clone(s.Found.Keys), plan.LongKey{Name: strings.Clone(key), Unit: strings.Clone(unit)})
			s.newKeys = true
		}
		s.lines.Data--
		s.quarantine(s.row[l.Key].text, "more channels than the option ingest.column_limit allows")
		return
	}
	v := &s.row[l.Value]
	spoilt, bad := s.spoilt(v, l.Quality)
	for c := chosen; c != nil; c = c.next {
		switch {
		case bad:
			s.refused(c, v, spoilt)
		case l.Unit >= 0 && string(scan.Trim(s.row[l.Unit].text)) != c.KeyUnit && v.kind == dialect.NumberCell:
			s.refused(c, v, "its unit is not that of the channel's first line, "+cmp.Or(c.KeyUnit, "none"))
		case !ended && s.cutOff(v) && l.Value == s.lastField():
			s.refused(c, v, cutReason)
		default:
			s.value(c, v, utc)
		}
	}
	s.lastRow[l.Value] = len(v.text)
}
