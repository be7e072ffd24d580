package records

import (
	"fmt"
	"math"
	"strings"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// The verdicts of a comparison.
const (
	Agrees        = "agrees"
	MoreAdded     = "more added than the logs explain"
	LessAdded     = "less added than the logs explain"
	NotComparable = "not comparable"
)

const (
	compareYears = 2    // how far back kilograms and logs are compared
	scaleError   = 0.05 // what weighing and hoses may be off, as a share (common practice, no source)
	scaleLeast   = 0.1  // and at least, kg
	enoughVisits = 6    // fewer say nothing of a loss that was not seen
	yearHours    = 8766
)

// compared holds the kilograms that were put back in the last two years against the loss
// that the findings from logs give for the same days. What was lost after the last
// addition is not put back yet, and does not count.
func (c *circuit) compared() []table.ChargeCompared {
	from := c.asOf.AddDate(-compareYears, 0, 0)
	to := time.Time{}
	for _, day := range c.lossDays() {
		if !day.Before(from) {
			to = day
		}
	}
	if to.IsZero() {
		return nil
	}
	s := c.sum(func(e entry) bool { return !e.day.Before(from) && !e.day.After(to) })
	row := table.ChargeCompared{System: c.id, From: from, To: to, Booked: s.replaced()}
	off := max(scaleLeast, scaleError*(s.lost+s.returned))
	row.BookedLo, row.BookedHi = row.Booked-off, row.Booked+off
	c.explain(&row)
	c.judge(&row)
	return []table.ChargeCompared{row}
}

// explain adds up the loss that findings give for the days compared.
func (c *circuit) explain(row *table.ChargeCompared) {
	var ids []string
	for _, f := range c.Findings {
		kg, lo, hi := c.perYear(f)
		years := c.overlap(f, row.From, row.To)
		if math.IsNaN(kg) || years <= 0 {
			continue
		}
		row.Logs, row.LogsLo, row.LogsHi = row.Logs+kg*years, row.LogsLo+lo*years, row.LogsHi+hi*years
		ids = append(ids, f.ID)
	}
	row.Findings = strings.Join(ids, " ")
	if len(ids) == 0 {
		row.Logs, row.LogsLo, row.LogsHi = nan, nan, nan
	}
}

// perYear is what a finding says is lost, kg a year.
func (c *circuit) perYear(f table.Finding) (kg, lo, hi float64) {
	if !math.IsNaN(f.LossKG) {
		return f.LossKG, f.LossKGLo, f.LossKGHi
	}
	return f.LossPct / 100 * c.charge.Mid, f.LossPctLo / 100 * c.charge.Lo, f.LossPctHi / 100 * c.charge.Hi
}

// overlap is how long a finding's loss went on within some days, years.
func (c *circuit) overlap(f table.Finding, from, to time.Time) float64 {
	begin, end := f.Suspected, to.AddDate(0, 0, 1)
	if begin.IsZero() {
		begin = f.RaisedOn
	}
	if begin.Before(from) {
		begin = from
	}
	if !f.ClearedOn.IsZero() && f.ClearedOn.Before(end) {
		end = f.ClearedOn
	}
	return end.Sub(begin).Hours() / yearHours
}

// judge says whether kilograms and logs agree. They disagree where their intervals do
// not meet.
func (c *circuit) judge(row *table.ChargeCompared) {
	booked := number(row.Booked) + " kg added since " + date(row.From)
	seen := 0
	for _, t := range c.Judged {
		if day := calendarDay(t); !day.Before(row.From) && !day.After(row.To) {
			seen++
		}
	}
	switch {
	case !math.IsNaN(row.Logs) && row.BookedLo > row.LogsHi:
		row.Verdict = MoreAdded
		row.Note = fmt.Sprintf("%s, the logs explain %s kg (%s): check the kilograms, look for a leak that the logs cannot see, or for a charge that was low from the start", booked, number(row.Logs), between(row.LogsLo, row.LogsHi))
	case !math.IsNaN(row.Logs) && row.BookedHi < row.LogsLo:
		row.Verdict = LessAdded
		row.Note = fmt.Sprintf("%s, the logs show %s kg lost (%s): it may still be short of charge, or an addition was not written down", booked, number(row.Logs), between(row.LogsLo, row.LogsHi))
	case !math.IsNaN(row.Logs):
		row.Verdict = Agrees
		row.Note = fmt.Sprintf("%s, the logs explain %s kg (%s)", booked, number(row.Logs), between(row.LogsLo, row.LogsHi))
	case c.Register.Receiver == register.HighSideReceiver || c.Register.Receiver == register.LowSideReceiver:
		row.Verdict, row.Note = NotComparable, booked+"; with a receiver, a loss shows in no subcooling until the vessel is empty"
	case seen < enoughVisits:
		row.Verdict, row.Note = NotComparable, fmt.Sprintf("%s; %d visits in that time can be judged, too few to see a loss", booked, seen)
	default:
		row.Verdict, row.Note = NotComparable, fmt.Sprintf("%s; %d visits in that time show no loss that stands out: a small one they cannot see", booked, seen)
	}
}
