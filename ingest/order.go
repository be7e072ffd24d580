package ingest

import (
	"fmt"
	"strings"
	"time"
)

// An order is which number of a date is the day.
type order uint8

// The orders of a date.
const (
	dayFirst order = iota
	monthFirst
	yearFirst
	orders int = iota
)

var orderNames = [orders]string{"day first", "month first", "year first"}

func (o order) String() string { return orderNames[o] }

// places tells where day, month and year stand.
var places = [orders][3]int{dayFirst: {0, 1, 2}, monthFirst: {1, 0, 2}, yearFirst: {2, 1, 0}}

// days counts the days from 1970-01-01 to the date. It reports false where the
// order gives no date of the calendar.
func (s stamp) days(o order) (int64, bool) {
	at := places[o]
	d, m, y := s.date[at[0]], s.date[at[1]], s.date[at[2]]
	if s.digits[at[0]] == 4 || s.digits[at[1]] == 4 || s.digits[at[0]] == 0 {
		return 0, false // a year of four digits, or a month's name, stands elsewhere
	}
	if s.named() >= 0 && s.digits[at[1]] != 0 {
		return 0, false
	}
	switch n := s.digits[at[2]]; {
	case n == 2 && y < 69: // POSIX.1-2017, strptime, %y: 69 to 99 are of the last century
		y += 2000
	case n == 2:
		y += 1900
	case n != 4 || y < firstYear:
		return 0, false
	}
	if m < 1 || m > 12 || d < 1 || d > lastDay(y, m) {
		return 0, false
	}
	return time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC).Unix() / 86400, true
}

// firstYear is the earliest year a date may lie in: no logger's clock starts
// before the first serial date of ISO/IEC 29500 (1900-01-01).
const firstYear = 1900

func lastDay(year, month int) int {
	return time.Date(year, time.Month(month)+1, 0, 0, 0, 0, 0, time.UTC).Day()
}

// named tells which field is a month's name, or -1.
func (s stamp) named() int {
	for i, n := range s.digits {
		if n == 0 && s.hasDate {
			return i
		}
	}
	return -1
}

// customary tells which orders people write with these marks. No locale writes
// the month first with points, or a year of two digits before a month's name
// (Unicode CLDR 44, date formats).
func (s stamp) customary(o order) bool {
	if o == yearFirst && s.named() == 1 && s.digits[0] < 4 && s.date[0] <= 31 {
		return false
	}
	return o != monthFirst || s.mark != '.'
}

// orderEvidence weighs the orders of a file's dates over all of its lines.
type orderEvidence struct {
	out     [orders]bool // an order that gives no date for some cell
	why     [orders]string
	last    [orders]int64 // the last date's days
	fits    [orders]int   // changes of date with a step like those within a day
	misses  [orders]int   // changes of date with another step
	early   [orders]int64 // the change between the first two lines, while no step is known
	turns   [orders]int   // changes of direction
	sign    [orders]int8
	unlike  bool  // the orders that are left gave different dates
	example stamp // the last date that they read differently
	dates   int
	first   [orders]int64
	swap    swap
}

// only rules all orders out but one.
func (e *orderEvidence) only(o order, why string) {
	for i := range e.out {
		if order(i) != o && !e.out[i] {
			e.out[i], e.why[i] = true, why
		}
	}
}

// observe looks at a new date. Gap is the time of day now less that of the line
// before, step the usual step between lines, 0 where unknown. It reports false
// where no order that is left gives a date.
func (e *orderEvidence) observe(s stamp, gap, step int64) bool {
	e.swap.observe(s, gap, step)
	var days [orders]int64
	var ok [orders]bool
	any := false
	for o := range days {
		days[o], ok[o] = s.days(order(o))
		ok[o] = ok[o] && !e.out[o] && s.customary(order(o))
		any = any || ok[o]
	}
	if !any {
		return false
	}
	known, value := false, int64(0)
	for o := range days {
		if !ok[o] {
			e.rule(order(o), s)
			continue
		}
		e.follow(o, days[o], gap, step)
		if known && value != days[o] && max(value, days[o])*day >= earliest { // an unset clock's dates count for nothing
			e.unlike, e.example = true, s
		}
		known, value = true, days[o]
	}
	e.dates++
	return true
}

func (e *orderEvidence) rule(o order, s stamp) {
	if e.out[o] {
		return
	}
	e.out[o] = true
	e.why[o] = fmt.Sprintf("%s is no date", s.dateText())
	if !s.customary(o) {
		e.why[o] = "nobody writes dates with points month first, or a year of two digits before a month's name"
	}
}

// follow weighs the step from the last date to this one.
func (e *orderEvidence) follow(o int, days, gap, step int64) {
	if days*day < earliest { // the clock was not set then: no step leads from there
		return
	}
	if e.first[o] == 0 {
		e.first[o] = days
	} else {
		change := (days-e.last[o])*day + gap
		sign := int8(1)
		if change < 0 {
			sign, change = -1, -change
		}
		if e.sign[o] != 0 && e.sign[o] != sign {
			e.turns[o]++
		}
		e.sign[o] = sign
		if step == 0 { // the second line already: what is usual shows later
			e.early[o] = max(change, 1)
		} else {
			e.weigh(o, change, step)
		}
	}
	e.last[o] = days
}

func (e *orderEvidence) weigh(o int, change, step int64) {
	if change <= 3*max(step, -step) {
		e.fits[o]++
	} else {
		e.misses[o]++
	}
}

// weighEarly weighs a change of date between the first two lines by a later step.
func (e *orderEvidence) weighEarly(step int64) {
	for o, change := range e.early {
		if change > 0 && step != 0 {
			e.weigh(o, change, step)
		} else if change > 0 {
			e.misses[o]++
		}
	}
	e.early = [orders]int64{}
}

func (s stamp) dateText() string {
	m := string(rune(s.mark))
	if s.mark == 0 {
		m = ""
	}
	return fmt.Sprintf("%0*d%s%0*d%s%0*d", s.digits[0], s.date[0], m, s.digits[1], s.date[1], m, s.digits[2], s.date[2])
}

// left lists the orders that are not ruled out.
func (e *orderEvidence) left() []order {
	var l []order
	for o := range e.out {
		if !e.out[o] {
			l = append(l, order(o))
		}
	}
	return l
}

// best is the order to read under for now.
func (e *orderEvidence) best() order {
	best := -1
	for o := range e.out {
		if !e.out[o] && (best < 0 || e.better(o, best)) {
			best = o
		}
	}
	return order(max(best, 0))
}

func (e *orderEvidence) better(a, b int) bool {
	if e.fits[a] != e.fits[b] {
		return e.fits[a] > e.fits[b]
	}
	return e.turns[a] < e.turns[b]
}

// settle decides after the last line. Hints are dates that the preamble or the
// file's name gives, in days. It reports false where the orders that are left
// give different dates and nothing tells which is meant.
func (e *orderEvidence) settle(hints []int64) (o order, why string, ok bool) {
	left := e.left()
	switch {
	case len(left) == 0:
		return 0, "no order gives a date in every line", false
	case len(left) == 1:
		return left[0], e.reasons(left[0]), true
	case !e.unlike:
		return left[0], "every order that is left gives the same dates", true
	}
	o = e.best()
	if clear, why := e.clear(o, left); clear {
		return o, why, true
	}
	return e.hinted(left, hints)
}

func (e *orderEvidence) clear(o order, left []order) (bool, string) {
	byStep, byTurn := e.fits[o] > 0 && e.misses[o] == 0, true
	for _, other := range left {
		if other != o {
			byStep = byStep && e.fits[other] == 0
			byTurn = byTurn && e.turns[o] == 0 && e.turns[other] > 0
		}
	}
	if byStep {
		return true, fmt.Sprintf("%d changes of date are in step with the lines around them under this order only", e.fits[o])
	}
	return byTurn, "time runs one way under this order only"
}

func (e *orderEvidence) hinted(left []order, hints []int64) (o order, why string, ok bool) {
	found := 0
	for _, l := range left {
		for _, h := range hints {
			if h == e.first[l] || h == e.last[l] {
				o, found = l, found+1
				break
			}
		}
	}
	if found == 1 {
		return o, "the preamble or the file's name gives the same date", true
	}
	return e.best(), "", false
}

func (e *orderEvidence) reasons(kept order) string {
	var why []string
	for o := range e.out {
		if order(o) != kept && e.why[o] != "" {
			why = append(why, order(o).String()+": "+e.why[o])
		}
	}
	return strings.Join(why, "; ")
}
