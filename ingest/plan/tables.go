package plan

import (
	"fmt"
	"slices"

	"rimelog/ingest/clock"
	"rimelog/ingest/scan"
	"rimelog/ingest/timeline"
	"rimelog/ingest/understood"
	"rimelog/pipeline/register"
)

// deviceWords head a column that tells from which device a line comes, folded.
var deviceWords = scan.WordSet("device id serial sensor logger station machine gerat geraet seriennummer appareil capteur dispositivo sonda apparaat enhet maskin")

// refuseSeveralDevices refuses a file whose lines come from several devices in turn:
// their values must not be taken for one system's. A register row for that column
// says that it means nothing.
func (p *Plan) refuseSeveralDevices() {
	for _, c := range p.Columns {
		if c.Kind != ExtraColumn || c.fromRows || p.Time.Question != "" || p.Bare != nil || !slices.ContainsFunc(c.Title.Words, func(w string) bool { return deviceWords[w] }) {
			continue
		}
		seen := map[string]bool{}
		for _, cell := range p.CellsOf(c.Index) {
			if len(cell) > 0 {
				seen[string(cell)] = true
			}
		}
		if len(seen) < 2 || 4*len(seen) > len(p.Layout.Body) { // one device, or a running number
			continue
		}
		p.Time.Question = fmt.Sprintf("its lines come from %d devices, by column %q: split the file, or say that the column means nothing", len(seen), c.Header)
		p.Time.Remedy = register.ChannelLine(register.Channel{System: p.systemID(), Column: p.ColumnName(c.Index), Channel: register.Extra})
		p.ask(p.Time.Question, p.Time.Remedy)
	}
}

// refuseOtherClocks refuses the columns that stand behind a second column of time:
// several tables side by side, each with its own clock. Values must not be given
// the time of another table. A second stamp right beside the first, such as the end
// of an interval, or one that repeats the first in every line, parts no tables.
func (p *Plan) refuseOtherClocks() {
	if p.Bare != nil {
		return
	}
	first := p.Time.Columns[0]
	behind, header := false, ""
	for _, c := range p.Columns {
		if c.Kind == TimeColumn {
			continue
		}
		if c.Index > first && p.isOtherClock(c.Index) {
			behind, header = true, p.ColumnName(c.Index)
		}
		if behind && c.Refuse == "" {
			c.Refuse = fmt.Sprintf("it stands behind another column of time, %q", header)
		}
	}
	if behind {
		p.Notes = append(p.Notes, understood.Note{
			Note:   fmt.Sprintf("the file holds several tables side by side: the columns from %q on have a clock of their own and are not taken", header),
			Remedy: "export one table in each file",
		})
	}
}

// noteIntervalEnd says of a second time in the same cell, or right behind, that the first
// is the line's; one in a column of its own is kept as it stands.
func (p *Plan) noteIntervalEnd() {
	if p.Bare != nil || p.Time.Kind != timeline.StampTime {
		return
	}
	if p.Time.Intervals {
		p.Time.Why += "; its cells hold the end of an interval too: the beginning counts"
	}
	i := slices.Max(p.Time.Columns) + 1
	if i >= p.Layout.Columns || !p.isSecondTime(i) {
		return
	}
	for _, c := range p.Columns {
		if c.Index == i && c.Kind == ExtraColumn {
			p.Time.Why += fmt.Sprintf("; the column %q beside it holds another time, such as the end of an interval: the first counts", p.ColumnName(i))
			c.Why = append(c.Why, "a second time beside that of the line, such as the end of an interval; the first counts")
			return
		}
	}
}

// isSecondTime tells whether a column holds times, or dates, that differ from the
// line's.
func (p *Plan) isSecondTime(i int) bool {
	l := p.looks.At(p.Layout.Grid, i)
	times := l.Mostly(l.Full) || l.Mostly(l.Dates) || l.Mostly(l.Times)
	return times && !l.Mostly(l.Numbers)
}

func (p *Plan) isOtherClock(i int) bool {
	l := p.looks.At(p.Layout.Grid, i)
	if !l.Mostly(l.Full) && !l.Mostly(l.Dates) || l.Mostly(l.Numbers) || slices.Contains(p.Time.Columns, i-1) {
		return false
	}
	for _, k := range p.Layout.Body {
		cells := p.Layout.Cells[k]
		mine, ok1 := clock.ParseStamp(joinCells(cells, p.Time.Columns))
		other, ok2 := clock.ParseStamp(cells[i])
		if ok1 && ok2 && (mine.Date != other.Date || mine.Micros != other.Micros || mine.Hour != other.Hour) {
			return true
		}
	}
	return false
}
