package ingest

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"rimelog/ingest/scan"
	"rimelog/pipeline/register"
	"rimelog/thermo/units"
)

// planMarks settles decimal and thousands marks on the body of the sample.
func (p *plan) planMarks(a Answers) {
	e := &p.seen
	g := p.layout.grid
	quotedComma := false
	for _, c := range p.columns {
		if c.kind == timeColumn || c.kind == partColumn || c.kind == skipColumn {
			continue
		}
		witness := c.bounded()
		for _, i := range p.rowsOf(c.key) {
			cell := g.cells[i][c.index]
			if !slices.ContainsFunc(cell, isMark) || kindOf(cell) != numberCell {
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
	m := &p.marks
	mark, line := a.decimalMark()
	switch {
	case mark != 0:
		m.Decimal, p.marksWhy = mark, fmt.Sprintf("channels.csv line %d", line)
	case p.found.decimal != 0:
		m.Decimal, p.marksWhy = p.found.decimal, "a cell beyond the sample can be read in no other way"
	case e.Point > 0 && e.Point >= 10*e.Comma:
		m.Decimal, p.marksWhy = '.', fmt.Sprintf("%s can be read in no other way", e.PointProof)
	case e.Comma > 0 && e.Comma >= 10*e.Point:
		m.Decimal, p.marksWhy = ',', fmt.Sprintf("%s can be read in no other way", e.CommaProof)
	case e.Point+e.Comma > 0:
		p.marksWhy = "some numbers prove a decimal point, others a decimal comma"
		p.askMarks("numbers are written with both marks")
	case p.proven != 0:
		m.Decimal, p.marksWhy = p.proven, "another table of the file proves it"
	case e.PointWhole > 0:
		m.Decimal, p.marksWhy = ',', "points part thousands"
	case e.CommaWhole > 0:
		m.Decimal, p.marksWhy = '.', "commas part thousands"
	case p.layout.delim == ',' && !quotedComma:
		m.Decimal, p.marksWhy = '.', "commas part the cells"
	case e.PointOpen+e.CommaOpen > 0:
		p.marksWhy = "every number can be read with either mark"
		p.askMarks("1.200 or 1,200 can be one or one thousand")
	default:
		m.Decimal, p.marksWhy = '.', "no number of the sample has a mark"
	}
	m.Thousands = thousandsOf(m.Decimal, *e)
}

// provenMark is the decimal mark that the numbers of the sample prove; 0 where none do.
func (p *plan) provenMark() byte {
	switch e := p.seen; {
	case e.Point > 0 && e.Comma == 0:
		return '.'
	case e.Comma > 0 && e.Point == 0:
		return ','
	}
	return 0
}

// thousandsOf is the mark that parts thousands: the other one than the decimal
// mark, unless blanks or apostrophes were seen.
func thousandsOf(decimal byte, e scan.MarkEvidence) byte {
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
func (c *column) bounded() bool {
	switch c.unit.Quantity {
	case units.Temperature:
		return c.unit.Label != "K"
	case units.Pressure:
		return c.unit.Factor().Cmp(big.NewRat(50, 1)) >= 0
	}
	return false
}

// proveBounded takes physics as a witness: a temperature of a thousand degrees
// or a pressure of a thousand bar is none, so the mark in 21.500 is the decimal one.
// Before is what was seen before the cell.
func proveBounded(e *scan.MarkEvidence, before scan.MarkEvidence, c *column, cell []byte) {
	switch {
	case e.PointOpen > before.PointOpen:
		e.ProvePoint(fmt.Sprintf("%s %s", cell, c.unit.Label))
	case e.CommaOpen > before.CommaOpen:
		e.ProveComma(fmt.Sprintf("%s %s", cell, c.unit.Label))
	}
}

func (p *plan) askMarks(what string) {
	for _, c := range p.columns {
		if c.kind == channelColumn || c.kind == extraColumn {
			row := register.Channel{System: p.systemID(), Column: p.columnName(c.index), Channel: c.registerName(), Unit: strings.TrimSpace(c.title.label + " decimal comma")}
			p.ask("which mark is the decimal one: "+what, register.ChannelLine(row))
			return
		}
	}
}
