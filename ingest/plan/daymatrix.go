package plan

import (
	"slices"
	"strconv"
	"strings"

	"rimelog/ingest/clock"
	"rimelog/ingest/scan"
	"rimelog/ingest/timeline"
)

// Portals of meters print a line for each day and a column for each hour or quarter of
// an hour of it: the names of the columns are times.

// fewestTimes is how many columns named by times make such a table at least.
const fewestTimes = 20

// dayMatrix tells whether the lines say a date only and most columns are named by a time
// of day, or by the number of the hour or quarter.
func (p *Plan) dayMatrix() bool {
	if p.Time.Kind != timeline.StampTime || len(p.Time.Columns) != 1 || p.looks.At(p.Layout.Grid, p.Time.Columns[0]).Full > 0 {
		return false
	}
	times, numbers := 0, 0
	for i, name := range p.Layout.Names {
		if slices.Contains(p.Time.Columns, i) {
			continue
		}
		if s, ok := clock.ParseStamp([]byte(name)); ok && s.HasTime && !s.HasDate {
			times++
		}
		stem, digits := stemOf(name)
		if n, err := strconv.Atoi(digits); err == nil && (n == numbers || n == numbers+1) && (stem == "" || timeline.HourWords[scan.Fold(stem)]) {
			numbers = n
		}
	}
	return times >= fewestTimes || numbers >= fewestTimes && numbers <= len(p.Layout.Names)
}

// stemOf cuts a name before the digits that it ends with.
func stemOf(name string) (stem, digits string) {
	i := len(name)
	for i > 0 && scan.IsDigit(name[i-1]) {
		i--
	}
	return strings.TrimSpace(name[:i]), name[i:]
}
