package clock

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// An Order is which number of a date is the day.
type Order uint8

// The orders of a date, and how many there are.
const (
	DayFirst Order = iota
	MonthFirst
	YearFirst
	Orders int = iota
)

var orderNames = [Orders]string{"day first", "month first", "year first"}

// String says which number comes first.
func (o Order) String() string { return orderNames[o] }

// OrderOf is the order of a name.
func OrderOf(name string) (Order, bool) {
	i := slices.Index(orderNames[:], name)
	return Order(max(i, 0)), i >= 0
}

// places tells where day, month and year stand.
var places = [Orders][3]int{DayFirst: {0, 1, 2}, MonthFirst: {1, 0, 2}, YearFirst: {2, 1, 0}}

// Days counts the days from 1970-01-01 to the date. It reports false where the
// order gives no date of the calendar.
func (s Stamp) Days(o Order) (int64, bool) {
	at := places[o]
	d, m, y := s.Date[at[0]], s.Date[at[1]], s.Date[at[2]]
	if s.Digits[at[0]] == 4 || s.Digits[at[1]] == 4 || s.Digits[at[0]] == 0 {
		return 0, false // a year of four digits, or a month's name, stands elsewhere
	}
	if s.named() >= 0 && s.Digits[at[1]] != 0 {
		return 0, false
	}
	switch n := s.Digits[at[2]]; {
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

// The logger's clock was never set where it says an earlier year, and nobody
// reads files from a later one: common practice, no source.
const (
	Earliest = 978_307_200 * Second   // 2001-01-01
	Latest   = 4_102_444_800 * Second // 2100-01-01
)

// firstYear is the earliest year a date may lie in: no logger's clock starts
// before the first serial date of ISO/IEC 29500 (1900-01-01).
const firstYear = 1900

func lastDay(year, month int) int {
	return time.Date(year, time.Month(month)+1, 0, 0, 0, 0, 0, time.UTC).Day()
}

// named tells which field is a month's name, or -1.
func (s Stamp) named() int {
	for i, n := range s.Digits {
		if n == 0 && s.HasDate {
			return i
		}
	}
	return -1
}

// Customary tells which orders people write with these marks. No locale writes
// the month first with points, or a year of two digits before a month's name
// (Unicode CLDR 44, date formats).
func (s Stamp) Customary(o Order) bool {
	if o == YearFirst && s.named() == 1 && s.Digits[0] < 4 && s.Date[0] <= 31 {
		return false
	}
	return o != MonthFirst || s.Mark != '.'
}

// OrderEvidence weighs the orders of a file's dates over all of its lines.
type OrderEvidence struct {
	Out     [Orders]bool // an order that gives no date for some cell
	Why     [Orders]string
	last    [Orders]int64 // the last date's days
	fits    [Orders]int   // changes of date with a step like those within a day
	misses  [Orders]int   // changes of date with another step
	early   [Orders]int64 // the change between the first two lines, while no step is known
	turns   [Orders]int   // changes of direction
	sign    [Orders]int8
	unlike  bool  // the orders that are left gave different dates
	Example Stamp // the last date that they read differently
	Dates   int
	first   [Orders]int64
	Swap    swap
}

// Only rules all orders out but one.
func (e *OrderEvidence) Only(o Order, why string) {
	for i := range e.Out {
		if Order(i) != o && !e.Out[i] {
			e.Out[i], e.Why[i] = true, why
		}
	}
}

// Observe looks at a new date. Gap is the time of day now less that of the line
// before, step the usual step between lines, 0 where unknown. It reports false
// where no order that is left gives a date.
func (e *OrderEvidence) Observe(s Stamp, gap, step int64) bool {
	e.Swap.observe(s, gap, step)
	var days [Orders]int64
	var ok [Orders]bool
	any := false
	for o := range days {
		days[o], ok[o] = s.Days(Order(o))
		ok[o] = ok[o] && !e.Out[o] && s.Customary(Order(o))
		any = any || ok[o]
	}
	if !any {
		return false
	}
	known, value := false, int64(0)
	for o := range days {
		if !ok[o] {
			e.rule(Order(o), s)
			continue
		}
		e.follow(o, days[o], gap, step)
		if known && value != days[o] && max(value, days[o])*Day >= Earliest { // an unset clock's dates count for nothing
			e.unlike, e.Example = true, s
		}
		known, value = true, days[o]
	}
	e.Dates++
	return true
}

func (e *OrderEvidence) rule(o Order, s Stamp) {
	if e.Out[o] {
		return
	}
	e.Out[o] = true
	e.Why[o] = fmt.Sprintf("%s is no date", s.DateText())
	if !s.Customary(o) {
		e.Why[o] = "nobody writes dates with points month first, or a year of two digits before a month's name"
	}
}

// follow weighs the step from the last date to this one.
func (e *OrderEvidence) follow(o int, days, gap, step int64) {
	if days*Day < Earliest { // the clock was not set then: no step leads from there
		return
	}
	if e.first[o] == 0 {
		e.first[o] = days
	} else {
		change := (days-e.last[o])*Day + gap
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

func (e *OrderEvidence) weigh(o int, change, step int64) {
	if change <= 3*max(step, -step) {
		e.fits[o]++
	} else {
		e.misses[o]++
	}
}

// WeighEarly weighs a change of date between the first two lines by a later step.
func (e *OrderEvidence) WeighEarly(step int64) {
	for o, change := range e.early {
		if change > 0 && step != 0 {
			e.weigh(o, change, step)
		} else if change > 0 {
			e.misses[o]++
		}
	}
	e.early = [Orders]int64{}
}

// DateText is the date as it was printed, in numbers.
func (s Stamp) DateText() string {
	m := string(rune(s.Mark))
	if s.Mark == 0 {
		m = ""
	}
	return fmt.Sprintf("%0*d%s%0*d%s%0*d", s.Digits[0], s.Date[0], m, s.Digits[1], s.Date[1], m, s.Digits[2], s.Date[2])
}

// Left lists the orders that are not ruled out.
func (e *OrderEvidence) Left() []Order {
	var l []Order
	for o := range e.Out {
		if !e.Out[o] {
			l = append(l, Order(o))
		}
	}
	return l
}

// Best is the order to read under for now.
func (e *OrderEvidence) Best() Order {
	best := -1
	for o := range e.Out {
		if !e.Out[o] && (best < 0 || e.better(o, best)) {
			best = o
		}
	}
	return Order(max(best, 0))
}

func (e *OrderEvidence) better(a, b int) bool {
	if e.fits[a] != e.fits[b] {
		return e.fits[a] > e.fits[b]
	}
	return e.turns[a] < e.turns[b]
}

// Settle decides after the last line. Hints are dates that the preamble or the
// file's name gives, in days. It reports false where the orders that are left
// give different dates and nothing tells which is meant.
func (e *OrderEvidence) Settle(hints []int64) (o Order, why string, ok bool) {
	left := e.Left()
	switch {
	case len(left) == 0:
		return 0, "no order gives a date in every line", false
	case len(left) == 1:
		return left[0], e.Reasons(left[0]), true
	case !e.unlike:
		return left[0], "every order that is left gives the same dates", true
	}
	o = e.Best()
	if clear, why := e.clear(o, left); clear {
		return o, why, true
	}
	return e.hinted(left, hints)
}

func (e *OrderEvidence) clear(o Order, left []Order) (bool, string) {
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

func (e *OrderEvidence) hinted(left []Order, hints []int64) (o Order, why string, ok bool) {
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
	return e.Best(), "", false
}

// Reasons says what speaks against the orders that are not kept.
func (e *OrderEvidence) Reasons(kept Order) string {
	var why []string
	for o := range e.Out {
		if Order(o) != kept && e.Why[o] != "" {
			why = append(why, Order(o).String()+": "+e.Why[o])
		}
	}
	return strings.Join(why, "; ")
}
