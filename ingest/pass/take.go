package pass

import (
	"fmt"
	"math/big"

	"rimelog/ingest/dialect"
	"rimelog/ingest/plan"
	"rimelog/ingest/raw"
	"rimelog/ingest/scan"
	"rimelog/ingest/understood"
	"rimelog/thermo/units"
)

// take gives every value of a line to its column.
func (s *Pass) take(utc int64, ended bool) {
	for _, o := range s.out {
		if err := o.begin(utc); err != nil {
			s.fail(err)
			return
		}
	}
	if s.p.Long != nil {
		s.takeLong(utc, ended)
	} else {
		s.takeWide(utc, ended)
	}
	for _, o := range s.out {
		if o.logged != nil {
			s.addAir(o)
		}
		o.end()
	}
}

func (s *Pass) takeWide(utc int64, ended bool) {
	last := s.lastField()
	for k := range s.fields {
		f := &s.fields[k]
		if f.time || f.skip {
			continue
		}
		v := &s.row[k]
		cutOff := !ended && k == last && s.cutOff(v)
		for c := f.column; c != nil; c = c.next {
			if cutOff {
				s.refused(c, v, cutReason)
			} else if reason, bad := s.spoilt(v, c.Quality); bad {
				s.refused(c, v, reason)
			} else {
				s.value(c, v, utc)
			}
		}
		s.lastRow[k] = len(v.text)
	}
}

// spoilt tells why a number is not taken, by what stands in the place for its quality.
func (s *Pass) spoilt(v *cell, place int) (reason string, bad bool) {
	if place <= 0 || v.kind != dialect.NumberCell {
		return "", false
	}
	text := s.row[place].text
	switch why, missing := scan.Marker(text); {
	case !missing || why == "empty" || why == "missing":
		return "", false
	}
	return fmt.Sprintf("the logger calls it %q", raw.Show(text)), true
}

const cutReason = "the file ends within or right behind this cell; it may be cut off"

// cutOff tells whether the file's last cell can have lost digits: it is shorter
// than the one above it, or has fewer decimals than its column.
func (s *Pass) cutOff(v *cell) bool {
	if len(v.text) == 0 {
		return s.lastRow[s.lastField()] > 0
	}
	return len(v.text) < s.lastRow[s.lastField()]
}

// value gives one value to one column.
func (s *Pass) value(c *column, v *cell, utc int64) {
	switch c.Kind {
	case plan.SkipColumn:
		return
	case plan.ChannelColumn:
		s.channel(c, v)
		return
	case plan.StateColumn:
		s.state(c, v)
		return
	}
	s.extra(c, v, utc)
}

func (s *Pass) channel(c *column, v *cell) {
	if v.kind == dialect.NumberCell && c.Refuse == "" && v.long == nil && len(v.unit) == 0 && !c.InCells {
		if d := v.dec.Decimals; uint(d) < uint(len(c.Convert)) && c.Can[d] {
			if steps, ok := c.Convert[d].Steps(v.dec.Mantissa); ok && steps >= c.Lo && steps <= c.Hi {
				c.store(steps)
				return
			}
		}
	}
	s.unusual(c, v)
}

// unusual takes a cell that is no plain number within what its quantity can be.
func (s *Pass) unusual(c *column, v *cell) {
	switch v.kind {
	case dialect.EmptyCell, dialect.MarkerCell:
		reason, _ := scan.Marker(v.text)
		s.missed(c, v, reason)
		return
	case dialect.TextCell, dialect.StampCell:
		s.notNumber(c, v)
		return
	}
	if reason, ok := scan.Sentinel(v.dec); ok && v.long == nil && (scan.Always(v.dec) || c.impossible(v.dec)) {
		s.missed(c, v, reason+" ("+string(v.text)+")")
		return
	}
	if c.Refuse != "" {
		s.provesGauge(c, v)
		s.refused(c, v, c.Refuse)
		return
	}
	if len(v.unit) > 0 {
		if u, err := units.Parse(string(v.unit)); err != nil || u.Quantity != c.Unit.Quantity || u.Factor().Cmp(c.Unit.Factor()) != 0 {
			s.refused(c, v, fmt.Sprintf("its unit is not the column's, %s", c.Unit.Label))
			return
		}
	}
	if c.InCells && len(v.unit) == 0 {
		s.refused(c, v, fmt.Sprintf("it lacks the unit that the other cells have, %s", c.Unit.Label))
		return
	}
	s.exact(c, v)
}

// exact converts any number by its exact value.
func (s *Pass) exact(c *column, v *cell) {
	value := v.long
	if value == nil {
		value = v.dec.Rat()
	}
	if c.Negate {
		value = new(big.Rat).Neg(value)
	}
	value = c.Unit.Exact(value)
	if c.Plus != nil {
		value.Add(value, c.Plus)
	}
	steps, ok := units.Round(value, c.Target.Digits)
	switch {
	case !ok || steps > c.Limit || steps < -c.Limit:
		s.refused(c, v, "too large for its column")
	case steps < c.Bottom && c.Unit.Quantity == units.Pressure:
		s.refused(c, v, fmt.Sprintf(understood.BelowVacuum+" when read as %s", c.Unit.Reference))
	case steps < c.Bottom:
		s.refused(c, v, "below absolute zero")
	case c.Unit.Label == "K" && c.Target.Unit == "°C" && steps < -150_000:
		s.refused(c, v, "too cold to be kelvin")
	case steps > c.Top:
		s.refused(c, v, tooMuch(c.Unit.Quantity))
	default:
		c.store(steps)
	}
}

// tooMuch is why a value is not taken that is none of a machine's.
func tooMuch(q units.Quantity) string {
	switch q {
	case units.Temperature:
		return understood.TooHot + "; look at the column's unit and decimal mark, and at the probe"
	case units.Pressure:
		return understood.TooHigh + "; look at the column's unit and decimal mark, and at the sensor"
	}
	return understood.TooStrong + "; look at the column's unit and decimal mark, and at the meter"
}

// impossible tells whether a number is none that its column can have.
func (c *column) impossible(d scan.Decimal) bool {
	if c.Unit.Quantity == units.None {
		return false
	}
	v := c.Unit.Exact(d.Rat())
	if c.Plus != nil {
		v.Add(v, c.Plus)
	}
	steps, ok := units.Round(v, c.Target.Digits)
	return !ok || steps < c.Lo || steps > c.Hi
}

// notNumber refuses a text, unless it proves the decimal mark: then the file is
// read again under it.
func (s *Pass) notNumber(c *column, v *cell) {
	if s.p.Marks.Decimal == 0 || s.p.Seen.Point+s.p.Seen.Comma == 0 {
		var e scan.MarkEvidence
		e.Observe(v.text)
		other := byte(0)
		if e.Point > 0 {
			other = '.'
		} else if e.Comma > 0 {
			other = ','
		}
		if _, _, unit, ok := scan.Number(v.text, scan.Marks{Decimal: other, Thousands: plan.ThousandsOf(other, e)}); ok && len(unit) == 0 && other != 0 && s.p.Found.Decimal == 0 && other != s.p.Marks.Decimal {
			s.Found.Decimal, s.Again = other, true
			return
		}
	}
	s.refused(c, v, "not a number")
}

// provesGauge looks for values below zero in a pressure whose reference nobody
// knows: an absolute one has none.
func (s *Pass) provesGauge(c *column, v *cell) {
	if c.Unit.Quantity != units.Pressure || c.Unit.Reference != units.Unmarked || v.long != nil || s.Found.Gauge[c.Index] != "" {
		return
	}
	kpa, _ := c.Unit.Exact(v.dec.Rat()).Float64()
	if c.Negate {
		kpa = -kpa
	}
	if kpa <= -2 && kpa >= -105 {
		found := map[int]string{c.Index: fmt.Sprintf("%s %s in line %d is below zero", v.text, c.Unit.Label, s.number)}
		for k, why := range s.Found.Gauge {
			found[k] = why
		}
		s.Found.Gauge, s.Again = found, true
	}
}

// declined tells whether a cell is counted without being taken: nothing is in it, or its column
// is refused.
func (s *Pass) declined(c *column, v *cell) bool {
	switch {
	case v.kind == dialect.EmptyCell || v.kind == dialect.MarkerCell:
		reason, _ := scan.Marker(v.text)
		s.missed(c, v, reason)
	case c.Refuse != "":
		s.refused(c, v, c.Refuse)
	default:
		return false
	}
	return true
}

func (s *Pass) state(c *column, v *cell) {
	if s.declined(c, v) {
		return
	}
	on, ok := scan.State(v.text)
	if v.kind == dialect.NumberCell && v.long == nil {
		d := v.dec
		for d.Decimals > 0 && d.Mantissa%10 == 0 {
			d.Mantissa, d.Decimals = d.Mantissa/10, d.Decimals-1
		}
		on, ok = d.Mantissa == 1, d.Decimals == 0 && (d.Mantissa == 0 || d.Mantissa == 1)
	}
	if !ok {
		s.refused(c, v, "neither on nor off")
		return
	}
	c.store(bit(on))
}

func bit(on bool) int64 {
	if on {
		return 1
	}
	return 0
}

func (s *Pass) extra(c *column, v *cell, utc int64) {
	if s.declined(c, v) {
		return
	}
	o := s.out[c.System]
	switch v.kind {
	case dialect.NumberCell:
		if len(v.unit) == 0 {
			s.fail(o.addExtra(c, utc, number(v), ""))
			break
		}
		fallthrough
	default:
		if s.p.Marks.Decimal == 0 && dialect.NumberLike(v.text) {
			s.notNumber(c, v)
			return
		}
		s.fail(o.addExtra(c, utc, nan, raw.Show(v.text)))
	}
	c.read++
	c.kept++
}

func number(v *cell) float64 {
	if v.long != nil {
		f, _ := v.long.Float64()
		return f
	}
	return v.dec.Float()
}

// missed counts a cell that says why it holds no value. What it says is kept by line;
// an empty cell says nothing.
func (s *Pass) missed(c *column, v *cell, reason string) {
	c.missed(reason)
	if len(v.text) > 0 {
		s.refuse.cell(c, s.number, s.lines.Data, raw.Show(v.text), missingPrefix+reason)
	}
}

// missingPrefix begins the reason of a cell that is no refusal of ours: the logger
// itself says that it has no value.
const missingPrefix = "no value: "

func (s *Pass) refused(c *column, v *cell, reason string) {
	c.read++
	c.rejected++
	s.refuse.cell(c, s.number, s.lines.Data, raw.Show(v.text), reason)
}
