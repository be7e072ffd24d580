package ingest

import (
	"bytes"
	"fmt"
	"math/big"

	"rimelog/ingest/clock"
	"rimelog/ingest/scan"
	"rimelog/thermo/units"
)

// timeKind is how a file tells the time.
type timeKind uint8

// The kinds of time.
const (
	noTime      timeKind = iota
	stampTime            // date and time, in any number of columns
	dayTime              // time of day; the date stands elsewhere
	epochTime            // seconds since 1970, or thousandths or millionths of them
	serialTime           // days since the end of 1899
	elapsedTime          // since a start that the preamble gives
)

var timeKinds = [...]string{"none", "date and time", "time of day", "epoch", "serial date", "elapsed"}

// A timePlan is how the lines of a file are told in UTC.
type timePlan struct {
	kind    timeKind
	columns []int
	why     string

	order clock.OrderEvidence // orders that are ruled out already
	fixed bool                // the order is settled and need not be looked into again
	hints []int64             // dates that the preamble or the file's name gives

	start int64 // of elapsedTime: UTC microseconds; of dayTime: days since 1970
	unit  units.Unit
	// startOffset is by how much the clock was ahead of UTC at the start.
	startOffset int64
	each        *big.Rat // of numbered samples: seconds between them; else nil
	from        *big.Rat // the number of the first
	perUnit     int64    // of epochTime: microseconds in one
	zone        clock.ZoneRule
	offsets     bool   // every stamp carries its own offset
	intervals   bool   // cells hold the end of an interval too, which can look like an offset: 11:00-12:00
	how         joint  // of several columns
	ahead       int64  // by which the register says that the clock is off
	base1904    bool   // of serialTime: days count from 1904
	question    string // what must be settled before any line can be told in UTC
	remedy      string // the register line that settles it
}

const fallenReason = "the time that has elapsed starts again above this line, and nothing says when that was; split the file there"

const unsetReason = "the logger's clock was not set; check its date and its battery"

// A timeline turns the time cells of a file's lines into UTC, line by line.
type timeline struct {
	plan  timePlan
	order clock.Order
	zone  clock.ZoneClock

	above    clockShape // what stands around the time of day of the line before
	days     int64
	micros   int64 // time of day of the line before
	step     int64 // between the two lines before
	seen     bool
	half     bool // a 12-hour clock with AM or PM
	maxHour  int64
	halfDay  bool  // the clock fell back by half a day
	offset   int64 // by which the logger's clock was ahead of UTC, of the last line
	sameDay  bool  // lines share a date and say no time of day
	lastDay  int64
	elapsed  *big.Rat  // as the line before counts it
	since    int64     // the same, of hours, minutes and seconds
	next     *newStart // what a line above says that it counts from
	lost     string    // why no line can be told in UTC any more
	restart  bool      // the order cannot be the right one
	joined   []byte
	lastDate []byte
	filled   [][]byte // the cells of a line, with its date
}

func newTimeline(p timePlan) *timeline {
	t := &timeline{plan: p, order: p.order.Best(), offset: p.startOffset}
	t.zone.Rule = p.zone
	return t
}

// A verdict says what became of a line's time.
type verdict uint8

const (
	timed   verdict = iota
	noStamp         // the cell holds no time: the line is no data
	untimed         // a time, but not one that can be told in UTC
)

// at returns the time of a line from its time cells, with why there is none.
func (t *timeline) at(cells [][]byte) (int64, verdict, string) {
	if len(cells) == 1 && t.plan.how == blankJoint {
		return t.one(cells[0])
	}
	if t.plan.how != partsJoint {
		if len(cells[0]) == 0 { // printed only when it changes
			t.filled = append(append(t.filled[:0], t.lastDate), cells[1:]...)
			cells = t.filled
		} else {
			t.lastDate = append(t.lastDate[:0], cells[0]...)
		}
	}
	t.joined = t.plan.how.join(t.joined[:0], cells)
	return t.one(t.joined)
}

func (t *timeline) one(cell []byte) (int64, verdict, string) {
	switch t.plan.kind {
	case stampTime, dayTime:
		if local, ok := t.quick(cell); ok {
			return t.asAbove(local)
		}
		return t.stamp(cell)
	}
	return t.number(cell)
}

// quick reads a stamp that differs from the line before in hh:mm:ss only.
func (t *timeline) quick(cell []byte) (int64, bool) {
	a := &t.above
	n := len(a.prefix)
	if n == 0 || len(cell) != a.size() || !bytes.Equal(cell[:n], a.prefix) || !bytes.Equal(cell[n+clockSize:], a.suffix) {
		return 0, false
	}
	micros, h, ok := clockTime(cell[n:])
	if !ok {
		return 0, false
	}
	t.follow(micros, h)
	return t.days*clock.Day + micros, true
}

func twoDigits(a, b byte) (int64, bool) {
	a, b = a-'0', b-'0'
	return int64(a)*10 + int64(b), a <= 9 && b <= 9
}

// follow remembers the time of day of a line on the same date as the one before.
func (t *timeline) follow(micros, h int64) {
	if d := micros - t.micros; d != 0 && t.seen {
		t.step = d
		if d <= -11*clock.Hour {
			t.halfDay = true
		}
	}
	t.maxHour = max(t.maxHour, h)
	t.micros, t.seen = micros, true
}

// followAll is follow of lines on the day of the line before the first, none of which
// falls back.
func (t *timeline) followAll(locals []int64) {
	last := locals[len(locals)-1] - t.days*clock.Day
	t.follow(locals[0]-t.days*clock.Day, last/clock.Hour)
	for i := len(locals) - 1; i > 0; i-- {
		if d := locals[i] - locals[i-1]; d != 0 {
			t.step = d
			break
		}
	}
	t.micros = last
}

func (t *timeline) stamp(cell []byte) (int64, verdict, string) {
	s, ok := clock.ParseStamp(cell)
	if !ok || !s.HasTime && t.plan.kind == dayTime || !s.HasDate && t.plan.kind == stampTime {
		return 0, noStamp, ""
	}
	s.HasShift = s.HasShift && (s.Zone != "" || !t.plan.intervals)
	micros, ok := s.TimeOfDay()
	if !ok {
		return 0, untimed, "no clock shows this time"
	}
	if t.plan.kind == dayTime {
		return t.dayTime(micros, s)
	}
	if reason := t.date(s, micros); reason != "" {
		return 0, untimed, reason
	}
	t.dayOnly(s)
	t.remember(cell, s, micros)
	local := t.days*clock.Day + micros
	switch {
	case s.HasShift:
		t.offset = int64(s.Offset)*clock.Second + t.plan.ahead
		return t.inRange(local - int64(s.Offset)*clock.Second)
	case s.Zone != "":
		utc, reason := t.zone.Named(local, s.Zone)
		if reason != "" {
			return 0, untimed, reason
		}
		t.offset = local - utc + t.plan.ahead
		return t.inRange(utc)
	}
	return t.toUTC(local)
}

// dayOnly notices lines that share a date and say no time of day.
func (t *timeline) dayOnly(s clock.Stamp) {
	if !s.HasTime {
		t.sameDay = t.sameDay || t.seen && t.days == t.lastDay
		t.lastDay = t.days
	}
}

// hourAndMinute tells whether a cell is a time of day written 13.05.
func hourAndMinute(cell []byte) bool {
	n := len(cell)
	if n < 4 || n > 5 || cell[n-3] != '.' {
		return false
	}
	for i, c := range cell {
		if i != n-3 && !scan.IsDigit(c) {
			return false
		}
	}
	return cell[n-2] < '6' && (n == 4 || cell[0] < '2' || cell[0] == '2' && cell[1] < '4')
}

// date counts the days of a stamp, weighing the orders when the date changes.
func (t *timeline) date(s clock.Stamp, micros int64) string {
	if t.plan.fixed {
		days, ok := s.Days(t.order)
		if !ok {
			return fmt.Sprintf("no date when read %s", t.order)
		}
		t.days = days
		return ""
	}
	if !t.seen || t.changed(s) {
		if !t.plan.order.Observe(s, micros-t.micros, t.step) {
			return "no date of the calendar"
		}
		if t.plan.order.Out[t.order] {
			t.restart = true
		}
	}
	days, ok := s.Days(t.order)
	if !ok {
		return fmt.Sprintf("no date when read %s", t.order)
	}
	t.days = days
	return ""
}

func (t *timeline) changed(s clock.Stamp) bool {
	days, ok := s.Days(t.order)
	return !ok || days != t.days
}

// remember keeps what the quick way needs of a stamp.
func (t *timeline) remember(cell []byte, s clock.Stamp, micros int64) {
	t.half = t.half || s.Half != 0
	t.above.take(cell, s, micros)
	t.follow(micros, int64(s.Hour))
}

// dayTime counts the days on when the time of day falls back.
func (t *timeline) dayTime(micros int64, s clock.Stamp) (int64, verdict, string) {
	if t.lost != "" {
		return 0, untimed, t.lost
	}
	if !t.seen {
		t.days = t.plan.start
	} else if micros < t.micros-12*clock.Hour {
		t.days++
	}
	t.half = t.half || s.Half != 0
	t.follow(micros, int64(s.Hour))
	return t.toUTC(t.days*clock.Day + micros)
}

// asAbove gives the time of a line that says its offset as the line before does, or none.
func (t *timeline) asAbove(local int64) (int64, verdict, string) {
	if !t.above.shifted {
		return t.toUTC(local)
	}
	t.offset = t.above.shift + t.plan.ahead
	return t.inRange(local - t.above.shift)
}

func (t *timeline) toUTC(local int64) (int64, verdict, string) {
	if local < clock.Earliest || local >= clock.Latest {
		return 0, untimed, unsetReason
	}
	utc, reason := int64(0), ""
	if t.zone.Rule.Abbr != "" {
		utc, reason = t.zone.Named(local, t.zone.Rule.Abbr)
	} else {
		utc, reason = t.zone.UTC(local)
	}
	if reason != "" {
		return 0, untimed, reason
	}
	utc -= t.plan.ahead
	t.offset = local - utc
	return utc, timed, ""
}

// steady gives the one offset of the logger's clock from UTC between two local times, of
// lines that follow each other, where there is one and no line among them asks for a
// closer look.
func (t *timeline) steady(first, last int64) (offset int64, ok bool) {
	if t.above.shifted {
		t.offset = t.above.shift + t.plan.ahead
		return t.offset, first-t.offset >= clock.Earliest && last-t.offset < clock.Latest
	}
	z := &t.zone
	if first < max(clock.Earliest, z.Lo) || last >= min(clock.Latest, z.Hi) || z.Rule.Abbr != "" {
		return 0, false
	}
	z.Last, z.LastUTC, z.Started = last, last-z.Offset, true
	t.offset = z.Offset + t.plan.ahead
	return t.offset, true
}

func (t *timeline) inRange(utc int64) (int64, verdict, string) {
	utc -= t.plan.ahead
	if utc < clock.Earliest || utc >= clock.Latest {
		return 0, untimed, unsetReason
	}
	return utc, timed, ""
}

// number reads the kinds of time that are numbers.
func (t *timeline) number(cell []byte) (int64, verdict, string) {
	if t.plan.kind == elapsedTime {
		if s, ok := clock.ParseStamp(cell); ok && s.HasTime && !s.HasDate {
			since := int64(s.Hour)*clock.Hour + s.Micros
			reason := t.counts(since < t.since)
			if t.since = since; reason != "" {
				return 0, untimed, reason
			}
			return t.inRange(t.plan.start + since)
		}
	}
	d, long, rest, ok := scan.Number(cell, scan.Marks{Decimal: t.mark(cell)})
	if !ok || len(rest) > 0 {
		return 0, noStamp, ""
	}
	if cutDigits(cell) {
		return 0, untimed, "the last digits of its time are not printed"
	}
	v := long
	if v == nil {
		v = d.Rat()
	}
	switch t.plan.kind {
	case epochTime:
		return t.ratRange(v.Mul(v, big.NewRat(t.plan.perUnit, 1)))
	case elapsedTime:
		reason := t.counts(t.elapsed != nil && v.Cmp(t.elapsed) < 0)
		if t.elapsed = new(big.Rat).Set(v); reason != "" {
			return 0, untimed, reason
		}
		if t.plan.each != nil {
			v.Mul(v.Sub(v, t.plan.from), t.plan.each)
		} else {
			v.Mul(v, t.plan.unit.Factor())
		}
		v.Mul(v, big.NewRat(clock.Second, 1))
		return t.ratRange(v.Add(v, big.NewRat(t.plan.start, 1)))
	}
	return t.serial(v, d.Decimals)
}

func (t *timeline) mark(cell []byte) byte {
	if bytes.IndexByte(cell, ',') >= 0 {
		return ','
	}
	return '.'
}

func (t *timeline) ratRange(micros *big.Rat) (int64, verdict, string) {
	utc, ok := units.Round(micros, 0)
	if !ok {
		return 0, untimed, unsetReason
	}
	return t.inRange(utc)
}

// serialZero is day 0 of serial dates, 1899-12-30, in days since 1970: the form
// spreadsheets export, with their first two months shifted.
const serialZero = -25569

// between1904 is how many days the count of 1904 begins after that of 1900: ISO/IEC
// 29500-1:2016, 18.17.4.1, whose bases are 1899-12-30 and 1904-01-01.
const between1904 = 1462

// serial reads days with a fraction. The digits stop short of a whole second, so
// a time within their resolution of one is that second.
func (t *timeline) serial(v *big.Rat, decimals int) (int64, verdict, string) {
	v.Add(v, big.NewRat(serialZero, 1))
	if t.plan.base1904 {
		v.Add(v, big.NewRat(between1904, 1))
	}
	micros, ok := units.Round(v.Mul(v, big.NewRat(clock.Day, 1)), 0)
	if !ok {
		return 0, untimed, unsetReason
	}
	resolution := clock.Day
	for range min(decimals, 8) {
		resolution /= 10
	}
	nearest := (micros + clock.Second/2) / clock.Second * clock.Second
	if off := nearest - micros; max(off, -off) <= max(int64(resolution), 1000) {
		micros = nearest
	}
	return t.toUTC(micros)
}
