package steady

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A Site is what joining visits needs to know of a system.
type Site struct {
	Zone   *time.Location // nil unknown: UTC
	Events []register.Event
	Stops  []Stop        // standstills in the middle of visits
	Phases []table.Phase // what the machine did, in time order
}

// Visits joins the stays and windows of a system, of any months and in any order,
// to visits in time order. Visits are split where somebody intervened: as found before
// the first act, as left after the last; what lies between is used for neither. Where
// no time is known it is looked for in the log. On the day of an intervention that
// cannot be seen in it nobody can say which part was as found, so the visit is not used
// for trends.
func Visits(stays []Stay, windows []table.Window, site Site, o Options) []table.Visit {
	o.EnsureDefaults()
	if byStart := func(a, b table.Window) int { return a.Start.Compare(b.Start) }; !slices.IsSortedFunc(windows, byStart) {
		windows = slices.Clone(windows)
		slices.SortStableFunc(windows, byStart)
	}
	var out []table.Visit
	for _, s := range joined(stays, site.Zone, o.VisitGap) {
		out = append(out, site.parts(s, windowsOf(s, windows), o)...)
	}
	return out
}

// joined puts together the stays that a month's end cut apart.
func joined(stays []Stay, zone *time.Location, gap time.Duration) []Stay {
	stays = append([]Stay(nil), stays...)
	sort.Slice(stays, func(i, j int) bool { return stays[i].Start < stays[j].Start })
	var out []Stay
	for _, s := range stays {
		if n := len(out); n > 0 && belong(out[n-1], s, zone, gap) {
			out[n-1].End = max(out[n-1].End, s.End)
			out[n-1].Samples += s.Samples
			out[n-1].Running += s.Running
			out[n-1].Logged += s.Logged
			out[n-1].Off += s.Off
			out[n-1].LeftOut += s.LeftOut
			out[n-1].Transient += s.Transient
			continue
		}
		out = append(out, s)
	}
	return out
}

func belong(a, b Stay, zone *time.Location, gap time.Duration) bool {
	if a.Day != b.Day || b.Start-a.End > gap.Microseconds() {
		return false
	}
	return !a.Day || b.Start < nextMidnight(a.Start, zone)
}

func windowsOf(s Stay, windows []table.Window) []table.Window {
	from := sort.Search(len(windows), func(i int) bool { return windows[i].Start.UnixMicro() >= s.Start })
	to := sort.Search(len(windows), func(i int) bool { return windows[i].Start.UnixMicro() > s.End })
	return windows[from:to]
}

// parts makes the rows of one stay.
func (site Site) parts(s Stay, windows []table.Window, o Options) []table.Visit {
	start, end := time.UnixMicro(s.Start).UTC(), time.UnixMicro(s.End).UTC()
	timed, dated := site.interventions(start, end)
	at, ok := site.cut(s, timed, dated, windows)
	if !ok {
		v := visit(s, start, end, table.Whole, windows)
		if len(dated) > 0 {
			v.Use = table.UseNone
			v.Reason = fmt.Sprintf("%s on this day, without a time, and nothing in the log shows when: as found and as left cannot be told apart; write the time in events.csv", dated[0].Kind)
		}
		return []table.Visit{v}
	}
	var found, left []table.Window
	for _, w := range windows {
		switch {
		case w.End.Before(at.from):
			found = append(found, w)
		case !w.Start.Before(at.to.Add(o.AfterEvent)):
			left = append(left, w)
		}
	}
	parts := []table.Visit{
		visit(site.share(s, start, at.from), start, at.from, table.AsFound, found),
		visit(site.share(s, at.to, end), at.to, end, table.AsLeft, left),
	}
	for i := range parts {
		parts[i].SplitBy = at.by
	}
	if !at.told && parts[1].Use == table.UseTrend {
		parts[1].Use, parts[1].Reason = table.UseSpot, "somebody seems to have worked on the machine before, and no event says so: write it into events.csv, and this begins a new baseline"
	}
	return parts
}

// share is the part of a stay between two times: its samples and minutes as the phases
// in it tell.
func (site Site) share(s Stay, from, to time.Time) Stay {
	part := Stay{Start: from.UnixMicro(), End: to.UnixMicro(), Day: s.Day, By: s.By, Transient: s.Transient, Step: s.Step}
	first := sort.Search(len(site.Phases), func(i int) bool { return !site.Phases[i].End.Before(from) })
	for _, p := range site.Phases[first:] {
		if p.Start.After(to) {
			break
		}
		in := within(p, from, to)
		part.Samples += int64(math.Round(in * float64(p.Samples)))
		part.Logged += in * p.Minutes
		switch p.State {
		case table.IsOff:
			part.Off += in * p.Minutes
			continue
		case table.IsHosesInAir:
			part.LeftOut += in * p.Minutes
			continue
		case table.IsRunning, table.IsReversed:
		default:
			part.LeftOut += in * p.Minutes
		}
		part.Running += in * p.Minutes
	}
	return part
}

// within is the share of a phase that lies between two times.
func within(p table.Phase, from, to time.Time) float64 {
	whole := p.End.Sub(p.Start).Seconds()
	if whole <= 0 {
		return 1
	}
	start, end := p.Start, p.End
	if from.After(start) {
		start = from
	}
	if to.Before(end) {
		end = to
	}
	return math.Max(0, end.Sub(start).Seconds()/whole)
}

// interventions returns the events that changed the machine during a visit, with
// a time of day and without.
func (site Site) interventions(start, end time.Time) (timed, dated []register.Event) {
	for _, e := range site.Events {
		if !e.Kind.Intervenes() {
			continue
		}
		if e.HasTime {
			if e.Time.After(start) && e.Time.Before(end) {
				timed = append(timed, e)
			}
			continue
		}
		if e.Time.Before(end) && !e.Time.AddDate(0, 0, 1).Before(start) {
			dated = append(dated, e)
		}
	}
	return timed, dated
}

// visit makes one row from the windows of a part.
func visit(s Stay, start, end time.Time, part string, windows []table.Window) table.Visit {
	used, use, reason := choose(s, windows)
	v := means(used)
	v.Start, v.End, v.Part, v.Use, v.Reason = start, end, part, use, reason
	v.Samples, v.Running, v.Judged = s.Samples, s.Running, s.minutesOf(used)
	v.Logged, v.Off, v.LeftOut = s.Logged, s.Off, s.LeftOut
	for _, w := range windows {
		if Grade(w.Grade) != Spot && Grade(w.Grade) != Singles {
			v.Windows++
		}
	}
	if len(used) > 0 {
		v.Instruments = used[0].Instruments
	}
	return v
}

// leastMinutes is how long the windows of a visit must last together to speak for it
// in a trend. A machine that switches on and off all day gives many short ones, each
// at the same time after a start: they do, and their scatter is in its uncertainty.
const leastMinutes = 5

// minutesOf is how long windows last together: each sample stands for its step.
func (s Stay) minutesOf(windows []table.Window) (minutes float64) {
	for _, w := range windows {
		if Grade(w.Grade) == Singles {
			minutes += float64(w.Samples) * s.Step / 60
			continue
		}
		length := w.End.Sub(w.Start).Minutes()
		minutes += length + length/math.Max(float64(w.Samples-1), 1)
	}
	return minutes
}

func isFull(w table.Window) bool {
	return Grade(w.Grade) != Spot && Grade(w.Grade) != Singles && !w.Provisional
}

// fullOf are the windows that may speak in trends.
func fullOf(windows []table.Window) (full []table.Window) {
	if !slices.ContainsFunc(windows, func(w table.Window) bool { return !isFull(w) }) {
		return windows
	}
	for _, w := range windows {
		if isFull(w) {
			full = append(full, w)
		}
	}
	return full
}

// choose picks the windows that speak for a part: full ones for trends, if they last
// long enough; else provisional ones or spots, which are shown only.
func choose(s Stay, windows []table.Window) (used []table.Window, use, reason string) {
	if pooled := pooledOf(windows); len(pooled) > 0 && Evidence(pooled[0].RunningBy) != Assumed {
		return pooled, table.UseTrend, ""
	}
	full := fullOf(windows)
	var rest []table.Window
	for _, w := range windows {
		if !isFull(w) {
			rest = append(rest, w)
		}
	}
	minutes := float64(s.End-s.Start) / 60e6
	switch {
	case len(full) > 0 && s.minutesOf(full) < leastMinutes-1e-9:
		return full, table.UseSpot, fmt.Sprintf("%.0f minutes of windows: too short to judge a trend", s.minutesOf(full))
	case len(full) > 0 && Evidence(full[0].RunningBy) != Assumed:
		return full, table.UseTrend, ""
	case len(full) > 0:
		return full, table.UseSpot, "nothing tells whether the compressor ran: no power, current, speed or second pressure"
	case len(rest) > 0 && Grade(rest[0].Grade) != Spot:
		return rest, table.UseSpot, fmt.Sprintf("%.0f minutes: too short to judge a trend", minutes)
	case len(rest) > 0 && s.Transient > 0:
		return rest, table.UseSpot, "never steady: temperatures or pressures kept moving"
	case len(rest) > 0:
		return rest, table.UseSpot, fmt.Sprintf("%.0f minutes, %.0f of them running: too short for a window", minutes, s.Running)
	case s.Running == 0:
		return nil, table.UseNone, "the compressor did not run"
	}
	return nil, table.UseNone, "nothing settled in this part of the visit"
}
