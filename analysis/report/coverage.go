package report

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"
	"time"

	"rimelog/pipeline/table"
)

// A coverageRow is the calendar of one system: when it was logged, and what of it counts.
type coverageRow struct {
	ID, Title, Href            string
	Calendar                   template.HTML
	Judged, Shown, Unused, Gap string // visits, and the longest time without a judged one
}

// The calendar has one column for each month, at most these.
const (
	mostMonths    = 48
	monthWidth    = 8.0
	coverHeight   = 22.0
	coverBaseline = 15.0
)

// A coverMonth is how many days of a month were judged, shown only, or logged for nothing.
type coverMonth struct{ judged, shown, unused int }

// coverage draws the calendars of all systems on one scale of time.
func (f Fleet) coverage(v *qualityView) {
	first := f.firstMonth()
	if first.IsZero() {
		return
	}
	months := 1 + monthsBetween(first, f.AsOf)
	v.Period = f.say.Period(first, f.AsOf, time.UTC)
	v.CoverageHead = years(first, months)
	for _, s := range f.systems() {
		if len(s.Visits) > 0 {
			v.Coverage = append(v.Coverage, f.coverageRow(s, first, months))
		}
	}
	slices.SortStableFunc(v.Coverage, func(a, b coverageRow) int { return strings.Compare(a.ID, b.ID) })
}

// firstMonth is the month that the calendar begins with.
func (f Fleet) firstMonth() (first time.Time) {
	for _, s := range f.Systems {
		if len(s.Visits) > 0 && (first.IsZero() || s.Visits[0].Start.Before(first)) {
			first = s.Visits[0].Start
		}
	}
	if first.IsZero() {
		return first
	}
	first = time.Date(first.Year(), first.Month(), 1, 0, 0, 0, 0, time.UTC)
	if earliest := time.Date(f.AsOf.Year(), f.AsOf.Month()-mostMonths+1, 1, 0, 0, 0, 0, time.UTC); first.Before(earliest) {
		return earliest
	}
	return first
}

func monthsBetween(from, to time.Time) int {
	return 12*(to.Year()-from.Year()) + int(to.Month()) - int(from.Month())
}

func (f Fleet) coverageRow(s System, first time.Time, months int) coverageRow {
	row := coverageRow{ID: s.Register.ID, Title: s.Title(), Href: SystemPath(s.Register.ID)}
	cover := make([]coverMonth, months)
	var judged, shown, unused int64
	gap, last := time.Duration(0), time.Time{}
	for _, y := range s.stays() {
		use := y.use()
		i := monthsBetween(first, y.start().UTC())
		inside := i >= 0 && i < months
		switch use {
		case table.UseTrend:
			judged++
			if !last.IsZero() {
				gap = max(gap, y.start().Sub(last))
			}
			last = y.end()
			if inside {
				cover[i].judged++
			}
		case table.UseSpot:
			shown++
			if inside {
				cover[i].shown++
			}
		default:
			unused++
			if inside {
				cover[i].unused++
			}
		}
	}
	if !last.IsZero() {
		gap = max(gap, f.AsOf.Sub(last))
	}
	row.Calendar = calendar(cover)
	row.Judged, row.Shown, row.Unused = f.say.Thousands(judged), f.say.Thousands(shown), f.say.Thousands(unused)
	if row.Gap = f.say.Length(gap); last.IsZero() {
		row.Gap = f.say.Text("never judged")
	}
	return row
}

// use is the best use of the parts of a stay.
func (y stay) use() string {
	best := table.UseNone
	for _, v := range y.parts() {
		if v.Use == table.UseTrend || v.Use == table.UseSpot && best == table.UseNone {
			best = v.Use
		}
	}
	return best
}

// calendar draws the months of a system on the wire: judged days grow upward, the more of
// them the higher; days that are shown only stand hollow; what cannot be used hangs below.
func calendar(months []coverMonth) template.HTML {
	var judged, shown, unused strings.Builder
	for i, m := range months {
		x := float64(i)*monthWidth + 1
		if m.judged > 0 {
			h := rise(m.judged)
			fmt.Fprintf(&judged, "M%g %gv%gh%gv%gz", x, coverBaseline, -h, monthWidth-2, h)
		}
		if m.shown > 0 {
			fmt.Fprintf(&shown, "M%g %gv-4h%gv4z", x+1, coverBaseline, monthWidth-4)
		}
		if m.unused > 0 {
			fmt.Fprintf(&unused, "M%g %gv5", x+monthWidth/2-1, coverBaseline+1)
		}
	}
	width := float64(len(months)) * monthWidth
	return template.HTML(fmt.Sprintf(`<svg class="cover" viewBox="0 0 %g %g" width="%g" height="%g" aria-hidden="true" focusable="false"><path class="base" d="M0 %gH%g"/><path class="judged" d="%s"/><path class="shown" d="%s"/><path class="unused" d="%s"/></svg>`,
		width, coverHeight, width, coverHeight, coverBaseline, width, judged.String(), shown.String(), unused.String()))
}

// rise is how high so many judged days of a month stand: one is seen, thirty fill the row.
func rise(days int) float64 {
	return math.Round(10*(4+10*math.Min(1, math.Log2(float64(days))/5))) / 10
}

// years writes the years above the calendar, each where it begins.
func years(first time.Time, months int) template.HTML {
	width := float64(months) * monthWidth
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="cover" viewBox="0 0 %g 14" width="%g" height="14" aria-hidden="true" focusable="false">`, width, width)
	for i := range months {
		if m := first.AddDate(0, i, 0); m.Month() == time.January || i == 0 && first.Month() < time.September {
			fmt.Fprintf(&b, `<path class="base" d="M%g 2V14"/><text x="%g" y="11">%d</text>`, float64(i)*monthWidth, float64(i)*monthWidth+3, m.Year())
		}
	}
	b.WriteString("</svg>")
	return template.HTML(b.String())
}
