package ingest

import (
	"fmt"
	"slices"

	"rimelog/ingest/clock"
	"rimelog/ingest/scan"
	"rimelog/pipeline/register"
)

// deviceWords head a column that tells from which device a line comes, folded.
var deviceWords = scan.WordSet("device id serial sensor logger station machine gerat geraet seriennummer appareil capteur dispositivo sonda apparaat enhet maskin")

// refuseSeveralDevices refuses a file whose lines come from several devices in turn:
// their values must not be taken for one system's. A register row for that column
// says that it means nothing.
func (p *plan) refuseSeveralDevices() {
	for _, c := range p.columns {
		if c.kind != extraColumn || c.fromRows || p.time.question != "" || p.bare != nil || !slices.ContainsFunc(c.title.words, func(w string) bool { return deviceWords[w] }) {
			continue
		}
		seen := map[string]bool{}
		for _, cell := range p.cellsOf(c.index) {
			if len(cell) > 0 {
				seen[string(cell)] = true
			}
		}
		if len(seen) < 2 || 4*len(seen) > len(p.layout.body) { // one device, or a running number
			continue
		}
		p.time.question = fmt.Sprintf("its lines come from %d devices, by column %q: split the file, or say that the column means nothing", len(seen), c.header)
		p.time.remedy = register.ChannelLine(register.Channel{System: p.systemID(), Column: p.columnName(c.index), Channel: register.Extra})
		p.ask(p.time.question, p.time.remedy)
	}
}

// refuseOtherClocks refuses the columns that stand behind a second column of time:
// several tables side by side, each with its own clock. Values must not be given
// the time of another table. A second stamp right beside the first, such as the end
// of an interval, or one that repeats the first in every line, parts no tables.
func (p *plan) refuseOtherClocks() {
	if p.bare != nil {
		return
	}
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

// noteIntervalEnd says of a second time in the same cell, or right behind, that the first
// is the line's; one in a column of its own is kept as it stands.
func (p *plan) noteIntervalEnd() {
	if p.bare != nil || p.time.kind != stampTime {
		return
	}
	if p.time.intervals {
		p.time.why += "; its cells hold the end of an interval too: the beginning counts"
	}
	i := slices.Max(p.time.columns) + 1
	if i >= p.layout.columns || !p.isSecondTime(i) {
		return
	}
	for _, c := range p.columns {
		if c.index == i && c.kind == extraColumn {
			p.time.why += fmt.Sprintf("; the column %q beside it holds another time, such as the end of an interval: the first counts", p.columnName(i))
			c.why = append(c.why, "a second time beside that of the line, such as the end of an interval; the first counts")
			return
		}
	}
}

// isSecondTime tells whether a column holds times, or dates, that differ from the
// line's.
func (p *plan) isSecondTime(i int) bool {
	l := p.layout.grid.look(i)
	times := l.mostly(l.full) || l.mostly(l.dates) || l.mostly(l.times)
	return times && !l.mostly(l.numbers)
}

func (p *plan) isOtherClock(i int) bool {
	l := p.layout.grid.look(i)
	if !l.mostly(l.full) && !l.mostly(l.dates) || l.mostly(l.numbers) || slices.Contains(p.time.columns, i-1) {
		return false
	}
	for _, k := range p.layout.body {
		cells := p.layout.cells[k]
		mine, ok1 := clock.ParseStamp(joinCells(cells, p.time.columns))
		other, ok2 := clock.ParseStamp(cells[i])
		if ok1 && ok2 && (mine.Date != other.Date || mine.Micros != other.Micros || mine.Hour != other.Hour) {
			return true
		}
	}
	return false
}
