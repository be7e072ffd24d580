package drift

import (
	"fmt"
	"math"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// smallCharge is the charge below which connecting hoses just to look takes a share that
// counts: hoses of a metre and a half hold and lose some grams each time, which is a percent
// of it (common practice, no source).
const smallCharge = 1.0 // kg

// Seen says when a system was last seen as of a day, and what to mind at the next visit.
func Seen(s register.System, visits []table.Visit, asOf time.Time, o Options) table.Coverage {
	o.EnsureDefaults()
	c := table.Coverage{System: s.ID, Months: math.NaN(), Unseen: true}
	var first time.Time
	for _, v := range visits {
		if calendarDay(v.Start).After(calendarDay(asOf)) {
			continue
		}
		if first.IsZero() || v.Start.Before(first) {
			first = v.Start
		}
		c.Visits++
		if v.Start.After(c.LastVisit) {
			c.LastVisit, c.Reason = v.Start, v.Reason
		}
		if v.Use == table.UseTrend {
			c.Usable++
			c.LastUsable = newestOf(c.LastUsable, v.Start)
		}
		if connected(v) && v.Part != table.AsLeft && asOf.Sub(v.Start) <= 365*24*time.Hour {
			c.Connected++
		}
	}
	if c.Visits > 0 {
		since := asOf.Sub(newestOf(c.LastUsable, first))
		c.Months = math.Max(0, since.Hours()/24/365.25*12)
		c.Unseen = since > o.Unseen
	}
	c.Advice = hoses(s, c)
	return c
}

func newestOf(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// connected tells whether pressures were read through hoses: on a day of a permanent logger
// they are not put on and taken off.
func connected(v table.Visit) bool {
	pressures := !math.IsNaN(v.SuctionPressure) || !math.IsNaN(v.DischargePressure)
	return pressures && v.End.Sub(v.Start) < 20*time.Hour
}

// hoses advises against connecting hoses to a small charge just to look.
func hoses(s register.System, c table.Coverage) string {
	if !(s.Charge.KG < smallCharge) {
		return ""
	}
	times := "not once"
	if c.Connected > 0 {
		times = fmt.Sprintf("%d time(s)", c.Connected)
	}
	return fmt.Sprintf("the charge is %g kg: do not connect hoses just to look, each time takes some of it (in the last year they were connected %s); clamp temperature probes onto coils and pipes instead", s.Charge.KG, times)
}
