package records

import (
	"fmt"
	"math"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// What scales and hoses may be off before kilograms are called impossible, as a share of
// the charge; and how far a charge may lie above the full one (common practice, no
// source).
const (
	slack    = 0.05
	overfull = 1.2
)

// implausible are rows that cannot be so: each says what it is and what to write. They
// still count, but for those that are later than the day of the report.
func (c *circuit) implausible() (out []table.RecordGap) {
	for _, e := range c.unplaced() {
		out = append(out, table.RecordGap{System: c.id, Place: eventPlace(e.Line), Weight: missing,
			Problem: e.Kind.String() + " without a day, which counts in no sum", Remedy: "write its day"})
	}
	if !c.lookBack {
		for _, e := range c.later() {
			if !calendarDay(e.Time).After(c.asOf.AddDate(0, 0, 1)) {
				continue // the day has begun there already
			}
			out = append(out, table.RecordGap{System: c.id, On: calendarDay(e.Time), Place: eventPlace(e.Line), Weight: doubtful,
				Problem: fmt.Sprintf("%s of %s lies in the future: the report is as of %s", e.Kind, date(calendarDay(e.Time)), date(c.asOf)),
				Remedy:  "check the year; the line does not count before its day"})
		}
	}
	return append(out, c.impossible()...)
}

// impossible walks through the record with the most that may be in the system.
func (c *circuit) impossible() (out []table.RecordGap) {
	most := c.charge.Hi // unknown: NaN, and nothing is called impossible
	for _, e := range c.events {
		if e.moves() && e.Refrigerant != "" {
			out = append(out, c.mixed(e)...)
		}
		if !e.weighed() {
			continue
		}
		kg := math.Abs(e.KG)
		switch {
		case e.Kind == register.Recovered && kg > most+slack*c.charge.Hi:
			out = append(out, gapAt(c, e, fmt.Sprintf("%s kg recovered, but by the record there were at most %s kg in it", number(kg), number(most)),
				"check the kilograms and their unit; if they are right, correct the charge in systems.csv or write the addition that is missing"))
		case e.KG > 0 && kg > overfull*c.charge.Hi:
			out = append(out, gapAt(c, e, fmt.Sprintf("%s kg put in, more than the charge of %s", number(kg), c.charge),
				"check the kilograms and their unit (kg, g, lb or oz behind the number); if they are right, correct the charge in systems.csv"))
		}
		most = after(e, most, c.charge.Hi)
	}
	return out
}

// after is the most that may be in the system after an event.
func after(e entry, most, full float64) float64 {
	switch {
	case e.first():
		return max(e.KG, full)
	case e.KG > 0:
		return min(most+e.KG, max(overfull*full, most))
	}
	return max(0, most+e.KG)
}

// mixed reports refrigerant that was put into a system with another.
func (c *circuit) mixed(e entry) []table.RecordGap {
	if e.first() {
		return nil
	}
	unnamed := e
	unnamed.Refrigerant = ""
	in := c.fluidOf(unnamed)
	if in == "" || in == e.Refrigerant {
		return nil
	}
	return []table.RecordGap{gapAt(c, e, fmt.Sprintf("%s of %s, but the system holds %s", e.Kind, e.Refrigerant, in),
		"write a retrofit if another refrigerant was filled in; refrigerants are not mixed")}
}
