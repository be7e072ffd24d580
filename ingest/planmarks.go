package ingest

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

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
			e.observe(cell)
			quotedComma = quotedComma || slices.Contains(cell, ',')
			if witness {
				e.observeBounded(before, c, cell)
			}
		}
	}
	m := &p.marks
	mark, line := a.decimalMark()
	switch {
	case mark != 0:
		m.decimal, p.marksWhy = mark, fmt.Sprintf("channels.csv line %d", line)
	case p.found.decimal != 0:
		m.decimal, p.marksWhy = p.found.decimal, "a cell beyond the sample can be read in no other way"
	case e.point > 0 && e.point >= 10*e.comma:
		m.decimal, p.marksWhy = '.', fmt.Sprintf("%s can be read in no other way", e.pointProof)
	case e.comma > 0 && e.comma >= 10*e.point:
		m.decimal, p.marksWhy = ',', fmt.Sprintf("%s can be read in no other way", e.commaProof)
	case e.point+e.comma > 0:
		p.marksWhy = "some numbers prove a decimal point, others a decimal comma"
		p.askMarks("numbers are written with both marks")
	case p.proven != 0:
		m.decimal, p.marksWhy = p.proven, "another table of the file proves it"
	case e.pointWhole > 0:
		m.decimal, p.marksWhy = ',', "points part thousands"
	case e.commaWhole > 0:
		m.decimal, p.marksWhy = '.', "commas part thousands"
	case p.layout.delim == ',' && !quotedComma:
		m.decimal, p.marksWhy = '.', "commas part the cells"
	case e.pointOpen+e.commaOpen > 0:
		p.marksWhy = "every number can be read with either mark"
		p.askMarks("1.200 or 1,200 can be one or one thousand")
	default:
		m.decimal, p.marksWhy = '.', "no number of the sample has a mark"
	}
	m.thousands = thousandsOf(m.decimal, *e)
}

// provenMark is the decimal mark that the numbers of the sample prove; 0 where none do.
func (p *plan) provenMark() byte {
	switch e := p.seen; {
	case e.point > 0 && e.comma == 0:
		return '.'
	case e.comma > 0 && e.point == 0:
		return ','
	}
	return 0
}

// thousandsOf is the mark that parts thousands: the other one than the decimal
// mark, unless blanks or apostrophes were seen.
func thousandsOf(decimal byte, e markEvidence) byte {
	switch {
	case e.blank > 0:
		return ' '
	case e.apostrophe > 0:
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

// observeBounded takes physics as a witness: a temperature of a thousand degrees
// or a pressure of a thousand bar is none, so the mark in 21.500 is the decimal one.
// Before is what was seen before the cell.
func (e *markEvidence) observeBounded(before markEvidence, c *column, cell []byte) {
	switch {
	case e.pointOpen > before.pointOpen:
		e.provePoint(fmt.Sprintf("%s %s", cell, c.unit.Label))
	case e.commaOpen > before.commaOpen:
		e.proveComma(fmt.Sprintf("%s %s", cell, c.unit.Label))
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
