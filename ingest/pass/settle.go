package pass

import (
	"fmt"
	"strings"

	"rimelog/ingest/clock"
	"rimelog/ingest/timeline"
	"rimelog/ingest/understood"
	"rimelog/pipeline/dataset"
)

// end counts what stands behind the last data.
func (s *Pass) end() {
	if len(s.open) > 0 {
		s.giveUp()
	}
	if len(s.pending) > maxFooter {
		s.settlePending(false)
	}
	for _, l := range s.pending {
		if l.stray {
			s.lines.Quarantined++
			s.refuse.line(l.number, l.text, strayReason)
		} else {
			s.lines.Footer++
		}
	}
	s.pending = nil
	s.settleTime()
	for _, o := range s.out {
		if !s.Again {
			s.fail(o.finish(s.to.Shelf))
		}
	}
}

// settleTime looks at what the whole file says of its clock.
func (s *Pass) settleTime() {
	t := s.time
	s.Found.Orders = t.Plan.Order
	s.Again = s.Again || s.newKeys
	switch {
	case s.p.Time.Question != "" || s.lines.Data == 0 && t.Zone.Strange == "" && t.Plan.Order.Dates == 0:
	case t.SameDay:
		s.doubt("its lines say a date and no time of day, and several share one", dayRemedy)
	case t.Zone.Strange != "":
		s.doubt(t.Zone.Strange, zoneRemedy)
	case t.HalfDay && !t.Half && t.MaxHour <= 12:
		s.doubt("its hours run from 1 to 12 without AM or PM", dayRemedy)
	case s.p.Time.Kind == timeline.StampTime && !s.p.Time.Fixed:
		s.settleOrder()
	}
	if d := t.Zone.Shift; d != nil && !s.Again && s.p.Found.Zone == nil {
		s.Found.Zone, s.Again = d, true
	}
}

func (s *Pass) settleOrder() {
	s.time.Plan.Order.WeighEarly(s.time.Step)
	o, why, ok := s.time.Plan.Order.Settle(s.p.Time.Hints)
	switch {
	case !ok:
		s.doubt(fmt.Sprintf("the order of its dates is open: %s", s.ambiguous()), orderRemedy)
	case s.time.Plan.Order.Swap.Suspects(o):
		s.doubt(fmt.Sprintf("some of its dates can only be read %s, and the others are in step %s only: a program has swapped day and month in some; export it again", o, clock.MonthFirst-o), orderRemedy)
	case o != s.time.Order:
		s.Found.Orders.Only(o, why)
		s.Again = true
	default:
		s.p.Time.Order.Why[o] = why
	}
}

// ambiguous shows what a date can mean.
func (s *Pass) ambiguous() string {
	var meant []string
	e := s.time.Plan.Order
	for _, o := range e.Left() {
		if days, ok := e.Example.Days(o); ok {
			meant = append(meant, clock.DayText(days)+" when read "+o.String())
		}
	}
	if len(meant) == 0 {
		return "no order gives a date in every line"
	}
	return e.Example.DateText() + " is " + strings.Join(meant, ", ")
}

// doubt sends the file through another pass in which no line is taken.
func (s *Pass) doubt(reason, remedy string) {
	s.Found.Refuse, s.Found.Remedy, s.Again = reason, remedy, true
}

// What the unit cell of the register's row for the time column holds to settle a doubt.
const (
	orderRemedy = "day first"
	dayRemedy   = "start 2026-05-25"
	zoneRemedy  = "Europe/Berlin"
)

// noteDoubles says that lines of the file share their times.
func (s *Pass) noteDoubles() {
	n := int64(0)
	for _, c := range s.columns {
		n += c.twice
	}
	if n > 0 {
		s.p.Notes = append(s.p.Notes, understood.Note{
			Note:   fmt.Sprintf("%d of its values stand at a time for which a later line of the file gives one again; the later counts", n),
			Remedy: "if the logger prints minutes only, let it print seconds",
		})
	}
}

// account sums the values of all columns.
func (s *Pass) account() {
	s.values = dataset.Values{}
	for _, c := range s.columns {
		s.values = s.values.Add(dataset.Values{Read: c.read, Stored: c.kept - c.twice, Duplicates: c.twice, Refused: c.rejected, Missing: c.absent})
	}
}
