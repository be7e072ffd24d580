package ingest

import (
	"fmt"
	"slices"
)

// refuseOtherClocks refuses the columns that stand behind a second column of time:
// several tables side by side, each with its own clock. Values must not be given
// the time of another table. A second stamp right beside the first, such as the end
// of an interval, or one that repeats the first in every line, parts no tables.
func (p *plan) refuseOtherClocks() {
	first := p.time.columns[0]
	behind, header := false, ""
	for _, c := range p.columns {
		if c.kind == timeColumn {
			continue
		}
		if c.index > first && p.isOtherClock(c.index) {
			behind, header = true, p.columnName(c.index)
		}
		if behind && c.refuse == "" {
			c.refuse = fmt.Sprintf("it stands behind another column of time, %q", header)
		}
	}
	if behind {
		p.notes = append(p.notes, Note{
			Note:   fmt.Sprintf("the file holds several tables side by side: the columns from %q on have a clock of their own and are not taken", header),
			Remedy: "export one table in each file",
		})
	}
}

func (p *plan) isOtherClock(i int) bool {
	l := lookAtColumn(p.layout.grid, i)
	if !l.mostly(l.full) && !l.mostly(l.dates) || l.mostly(l.numbers) || slices.Contains(p.time.columns, i-1) {
		return false
	}
	for _, k := range p.layout.body {
		cells := p.layout.cells[k]
		mine, ok1 := parseStamp(joinCells(cells, p.time.columns))
		other, ok2 := parseStamp(cells[i])
		if ok1 && ok2 && (mine.date != other.date || mine.micros != other.micros || mine.hour != other.hour) {
			return true
		}
	}
	return false
}
