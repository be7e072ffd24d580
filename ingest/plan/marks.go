package plan

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"rimelog/ingest/answers"
	"rimelog/ingest/dialect"
	"rimelog/ingest/scan"
	"rimelog/pipeline/register"
	"rimelog/thermo/units"
)

// planMarks settles decimal and thousands marks on the body of the sample.
func (p *Plan) planMarks(a answers.Answers) {
	quotedComma := p.seeMarks()
	m, e := &p.Marks, &p.Seen
	m.Decimal, p.MarksWhy = p.markOf(a, quotedComma)
	switch {
	case m.Decimal != 0:
	case e.Point+e.Comma > 0:
		p.askMarks("numbers are written with both marks")
	default:
		p.askMarks("1.200 or 1,200 can be one or one thousand")
	}
	m.Thousands = ThousandsOf(m.Decimal, *e)
}

// seeMarks looks at the marks of all numbers of the sample, and tells whether one stands in
// a cell where a comma does not part cells.
func (p *Plan) seeMarks() (quotedComma bool) {
	e := &p.Seen
	for _, c := range p.Columns {
		if c.Kind == TimeColumn || c.Kind == PartColumn || c.Kind == SkipColumn {
			continue
		}
		witness := c.bounded()
		for _, i := range p.rowsOf(c.Key) {
			cell := p.Layout.Grid.Cells[i][c.Index]
			if !slices.ContainsFunc(cell, isMark) || dialect.KindOf(cell) != dialect.NumberCell {
				continue
			}
			before := *e
			e.Observe(cell)
			quotedComma = quotedComma || slices.Contains(cell, ',')
			if witness {
				proveBounded(e, before, c, cell)
			}
		}
	}
	return quotedComma
}

// markOf is the decimal mark and why it is this one; 0 where somebody has to say.
func (p *Plan) markOf(a answers.Answers, quotedComma bool) (mark byte, why string) {
	e := &p.Seen
	answer, line := a.DecimalMark()
	switch {
	case answer != 0:
		return answer, fmt.Sprintf("channels.csv line %d", line)
	case p.Found.Decimal != 0:
		return p.Found.Decimal, "a cell beyond the sample can be read in no other way"
	case e.Point > 0 && e.Point >= 10*e.Comma:
		return '.', fmt.Sprintf("%s can be read in no other way", e.PointProof)
	case e.Comma > 0 && e.Comma >= 10*e.Point:
		return ',', fmt.Sprintf("%s can be read in no other way", e.CommaProof)
	case e.Point+e.Comma > 0:
		return 0, "some numbers prove a decimal point, others a decimal comma"
	case p.proven != 0:
		return p.proven, "another table of the file proves it"
	case e.PointWhole > 0:
		return ',', "points part thousands"
	case e.CommaWhole > 0:
		return '.', "commas part thousands"
	case p.Layout.Delim == ',' && !quotedComma:
		return '.', "commas part the cells"
	case e.PointOpen+e.CommaOpen > 0:
		return 0, "every number can be read with either mark"
	}
	return '.', "no number of the sample has a mark"
}

// ProvenMark is the decimal mark that the numbers of the sample prove; 0 where none do.
func (p *Plan) ProvenMark() byte {
	switch e := p.Seen; {
	case e.Point > 0 && e.Comma == 0:
		return '.'
	case e.Comma > 0 && e.Point == 0:
		return ','
	}
	return 0
}

// ThousandsOf is the mark that parts thousands: the other one than the decimal
// mark, unless blanks or apostrophes were seen.
func ThousandsOf(decimal byte, e scan.MarkEvidence) byte {
	switch {
	case e.Blank > 0:
		return ' '
	case e.Apostrophe > 0:
		return '\''
	case decimal == '.':
		return ','
	case decimal == ',':
		return '.'
	}
	return 0
}

// isMark tells whether a byte can be a decimal or thousands mark, or part of one.
func isMark(c byte) bool { return c == '.' || c == ',' || c == ' ' || c == '\'' || c >= 0x80 }

// bounded tells whether no value of the column reaches a thousand: a temperature
// in degrees, or a pressure in bar or more.
func (c *Column) bounded() bool {
	switch c.Unit.Quantity {
	case units.Temperature:
		return c.Unit.Label != "K"
	case units.Pressure:
		return c.Unit.Factor().Cmp(big.NewRat(50, 1)) >= 0
	}
	return false
}

// proveBounded takes physics as a witness: a temperature of a thousand degrees
// or a pressure of a thousand bar is none, so the mark in 21.500 is the decimal one.
// Before is what was seen before the cell.
func proveBounded(e *scan.MarkEvidence, before scan.MarkEvidence, c *Column, cell []byte) {
	switch {
	case e.PointOpen > before.PointOpen:
		e.ProvePoint(fmt.Sprintf("%s %s", cell, c.Unit.Label))
	case e.CommaOpen > before.CommaOpen:
		e.ProveComma(fmt.Sprintf("%s %s", cell, c.Unit.Label))
	}
}

func (p *Plan) askMarks(what string) {
	for _, c := range p.Columns {
		if c.Kind == ChannelColumn || c.Kind == ExtraColumn {
			row := register.Channel{System: p.systemID(), Column: p.ColumnName(c.Index), Channel: c.registerName(), Unit: strings.TrimSpace(c.Title.Label + " decimal comma")}
			p.ask("which mark is the decimal one: "+what, register.ChannelLine(row))
			return
		}
	}
}
