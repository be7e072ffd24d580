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
	e := &p.Seen
	g := p.Layout.Grid
	quotedComma := false
	for _, c := range p.Columns {
		if c.Kind == TimeColumn || c.Kind == PartColumn || c.Kind == SkipColumn {
			continue
		}
		witness := c.bounded()
		for _, i := range p.rowsOf(c.Key) {
			cell := g.Cells[i][c.Index]
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
	m := &p.Marks
	mark, line := a.DecimalMark()
	switch {
	case mark != 0:
		m.Decimal, p.MarksWhy = mark, fmt.Sprintf("channels.csv line %d", line)
	case p.Found.Decimal != 0:
		m.Decimal, p.MarksWhy = p.Found.Decimal, "a cell beyond the sample can be read in no other way"
	case e.Point > 0 && e.Point >= 10*e.Comma:
		m.Decimal, p.MarksWhy = '.', fmt.Sprintf("%s can be read in no other way", e.PointProof)
	case e.Comma > 0 && e.Comma >= 10*e.Point:
		m.Decimal, p.MarksWhy = ',', fmt.Sprintf("%s can be read in no other way", e.CommaProof)
	case e.Point+e.Comma > 0:
		p.MarksWhy = "some numbers prove a decimal point, others a decimal comma"
		p.askMarks("numbers are written with both marks")
	case p.proven != 0:
		m.Decimal, p.MarksWhy = p.proven, "another table of the file proves it"
	case e.PointWhole > 0:
		m.Decimal, p.MarksWhy = ',', "points part thousands"
	case e.CommaWhole > 0:
		m.Decimal, p.MarksWhy = '.', "commas part thousands"
	case p.Layout.Delim == ',' && !quotedComma:
		m.Decimal, p.MarksWhy = '.', "commas part the cells"
	case e.PointOpen+e.CommaOpen > 0:
		p.MarksWhy = "every number can be read with either mark"
		p.askMarks("1.200 or 1,200 can be one or one thousand")
	default:
		m.Decimal, p.MarksWhy = '.', "no number of the sample has a mark"
	}
	m.Thousands = ThousandsOf(m.Decimal, *e)
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
