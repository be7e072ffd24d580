package records

import (
	"cmp"
	"fmt"
	"math"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// openState is the state of a finding that nobody answered and no data closed.
const openState = "open"

// custom stands for a rule where no set has one on presumptions of leakage.
var custom = Source{Text: "common practice", Standing: "no source"}

// suspicions are the findings that suspect a loss of charge: a deviation of analysed
// parameters is a presumption of leakage, which a direct check answers (Regulation (EC)
// 1516/2007, Article 7). Each stands until an event of a direct check answers it.
func (c *circuit) suspicions() (out []table.LeakCheck) {
	for _, f := range c.Findings {
		l := c.presumed(f)
		l.OpensOn = calendarDay(f.RaisedOn)
		l.Finding = f.ID
		l.Why = lossInWords(f)
		l.Told = c.told(l.OpensOn)
		l.State = Recommended
		if e, ok := c.answer(l.OpensOn); ok {
			l.State, l.LastOn = Answered, e.day
			l.Why += "; answered by a " + e.Kind.String() + " on " + date(e.day) + outcome(e)
		} else if f.State != openState {
			continue
		}
		out = append(out, l)
	}
	return out
}

// presumed is the row of a finding under the set that speaks of presumptions.
func (c *circuit) presumed(f table.Finding) table.LeakCheck {
	for _, s := range c.sets {
		if s.Presumption != nil && s.on(*s.Presumption, c.asOf) {
			return c.row(dueDirect, s, *s.Presumption)
		}
	}
	return c.row(dueDirect, RuleSet{Title: "no rule set"}, custom)
}

// answer is the first direct check on or after the day a finding was raised; a leak that
// was found needs no check to be believed.
func (c *circuit) answer(raised time.Time) (entry, bool) {
	found := c.after(raised, register.DirectLeakCheck, register.LeakFound)
	if len(found) == 0 {
		return entry{}, false
	}
	return found[0], true
}

func outcome(e entry) string {
	switch {
	case e.Result != "":
		return ": " + e.Result
	case e.Outcome == register.Passed:
		return ": no leak found"
	case e.Outcome == register.Failed:
		return ": leak found"
	}
	return ""
}

// told says who was informed since a day, and when.
func (c *circuit) told(since time.Time) string {
	found := c.after(since, register.OperatorInformed)
	if len(found) == 0 {
		return ""
	}
	return cmp.Or(found[0].Person, found[0].Company, "somebody") + " on " + date(found[0].day)
}

// lossInWords says what the logs show.
func lossInWords(f table.Finding) string {
	text := fmt.Sprintf("direct leak check recommended since %s: the logs show a loss of charge", date(calendarDay(f.RaisedOn)))
	if !f.Suspected.IsZero() {
		text += " since " + f.Suspected.Format("January 2006")
	}
	if !math.IsNaN(f.LossKG) && f.LossKG > 0 {
		text += fmt.Sprintf(", about %s kg a year (%s)", number(f.LossKG), between(f.LossKGLo, f.LossKGHi))
	} else if !math.IsNaN(f.LossPct) && f.LossPct > 0 {
		text += fmt.Sprintf(", about %s %% of the charge a year (%s)", number(f.LossPct), between(f.LossPctLo, f.LossPctHi))
	}
	return text
}
