package timeline

import (
	"bytes"
	"fmt"
	"math/big"

	"rimelog/ingest/clock"
	"rimelog/ingest/scan"
	"rimelog/thermo/units"
)

// Kind is how a file tells the time.
type Kind uint8

// The kinds of time.
const (
	NoTime      Kind = iota
	StampTime        // date and time, in any number of columns
	DayTime          // time of day; the date stands elsewhere
	EpochTime        // seconds since 1970, or thousandths or millionths of them
	SerialTime       // days since the end of 1899
	ElapsedTime      // since a start that the preamble gives
)

// Kinds are their names for people.
var Kinds = [...]string{"none", "date and time", "time of day", "epoch", "serial date", "elapsed"}

// A Plan is how the lines of a file are told in UTC.
type Plan struct {
	Kind    Kind
	Columns []int
	Why     string

	Order clock.OrderEvidence // orders that are ruled out already
	Fixed bool                // the order is settled and need not be looked into again
	Hints []int64             // dates that the preamble or the file's name gives

	Start int64 // of elapsedTime: UTC microseconds; of dayTime: days since 1970
	Unit  units.Unit
	// startOffset is by how much the clock was ahead of UTC at the start.
	StartOffset int64
	Each        *big.Rat // of numbered samples: seconds between them; else nil
	From        *big.Rat // the number of the first
	PerUnit     int64    // of epochTime: microseconds in one
	Zone        clock.ZoneRule
	Offsets     bool   // every stamp carries its own offset
	Intervals   bool   // cells hold the end of an interval too, which can look like an offset: 11:00-12:00
	How         joint  // of several columns
	Ahead       int64  // by which the register says that the clock is off
	Base1904    bool   // of serialTime: days count from 1904
	Question    string // what must be settled before any line can be told in UTC
	Remedy      string // the register line that settles it
}

const fallenReason = "the time that has elapsed starts again above this line, and nothing says when that was; split the file there"

// UnsetReason is why a line of a clock that was not set is not taken.
const UnsetReason = "the logger's clock was not set; check its date and its battery"

// A Timeline turns the time cells of a file's lines into UTC, line by line.
type Timeline struct {
	Plan  Plan
	Order clock.Order
	Zone  clock.ZoneClock

	Above    clockShape // what stands around the time of day of the line before
	Days     int64
	micros   int64 // time of day of the line before
	Step     int64 // between the two lines before
	seen     bool
	Half     bool // a 12-hour clock with AM or PM
	MaxHour  int64
	HalfDay  bool  // the clock fell back by half a day
	Offset   int64 // by which the logger's clock was ahead of UTC, of the last line
	SameDay  bool  // lines share a date and say no time of day
	lastDay  int64
	elapsed  *big.Rat  // as the line before counts it
	since    int64     // the same, of hours, minutes and seconds
	next     *newStart // what a line above says that it counts from
	lost     string    // why no line can be told in UTC any more
	Restart  bool      // the order cannot be the right one
	joined   []byte
	lastDate []byte
	filled   [][]byte // the cells of a line, with its date
}

// New begins the timeline of a file.
func New(p Plan) *Timeline {
	t := &Timeline{Plan: p, Order: p.Order.Best(), Offset: p.StartOffset}
	t.Zone.Rule = p.Zone
	return t
}

// A verdict says what became of a line's time.
type verdict uint8

const (
	Timed   verdict = iota
	NoStamp         // the cell holds no time: the line is no data
	Untimed         // a time, but not one that can be told in UTC
)

// At returns the time of a line from its time cells, with why there is none.
func (t *Timeline) At(cells [][]byte) (int64, verdict, string) {
	if len(cells) == 1 && t.Plan.How == blankJoint {
		return t.one(cells[0])
	}
	if t.Plan.How != partsJoint {
		if len(cells[0]) == 0 { // printed only when it changes
			t.filled = append(append(t.filled[:0], t.lastDate), cells[1:]...)
			cells = t.filled
		} else {
			t.lastDate = append(t.lastDate[:0], cells[0]...)
		}
	}
	t.joined = t.Plan.How.join(t.joined[:0], cells)
	return t.one(t.joined)
}

func (t *Timeline) one(cell []byte) (int64, verdict, string) {
	switch t.Plan.Kind {
	case StampTime, DayTime:
		if local, ok := t.quick(cell); ok {
			return t.AsAbove(local)
		}
		return t.stamp(cell)
	}
	return t.number(cell)
}

// quick reads a stamp that differs from the line before in hh:mm:ss only.
func (t *Timeline) quick(cell []byte) (int64, bool) {
	a := &t.Above
	n := len(a.Prefix)
	if n == 0 || len(cell) != a.Size() || !bytes.Equal(cell[:n], a.Prefix) || !bytes.Equal(cell[n+ClockSize:], a.Suffix) {
		return 0, false
	}
	micros, h, ok := ClockTime(cell[n:])
	if !ok {
		return 0, false
	}
	t.Follow(micros, h)
	return t.Days*clock.Day + micros, true
}

func twoDigits(a, b byte) (int64, bool) {
	a, b = a-'0', b-'0'
	return int64(a)*10 + int64(b), a <= 9 && b <= 9
}

// Follow remembers the time of day of a line on the same date as the one before.
func (t *Timeline) Follow(micros, h int64) {
	if d := micros - t.micros; d != 0 && t.seen {
		t.Step = d
		if d <= -11*clock.Hour {
			t.HalfDay = true
		}
	}
	t.MaxHour = max(t.MaxHour, h)
	t.micros, t.seen = micros, true
}

// FollowAll is follow of lines on the day of the line before the first, none of which
// falls back.
func (t *Timeline) FollowAll(locals []int64) {
	last := locals[len(locals)-1] - t.Days*clock.Day
	t.Follow(locals[0]-t.Days*clock.Day, last/clock.Hour)
	for i := len(locals) - 1; i > 0; i-- {
		if d := locals[i] - locals[i-1]; d != 0 {
			t.Step = d
			break
		}
	}
	t.micros = last
}

func (t *Timeline) stamp(cell []byte) (int64, verdict, string) {
	s, ok := clock.ParseStamp(cell)
	if !ok || !s.HasTime && t.Plan.Kind == DayTime || !s.HasDate && t.Plan.Kind == StampTime {
		return 0, NoStamp, ""
	}
	s.HasShift = s.HasShift && (s.Zone != "" || !t.Plan.Intervals)
	micros, ok := s.TimeOfDay()
	if !ok {
		return 0, Untimed, "no clock shows this time"
	}
	if t.Plan.Kind == DayTime {
		return t.dayTime(micros, s)
	}
	if reason := t.date(s, micros); reason != "" {
		return 0, Untimed, reason
	}
	t.dayOnly(s)
	t.remember(cell, s, micros)
	local := t.Days*clock.Day + micros
	switch {
	case s.HasShift:
		t.Offset = int64(s.Offset)*clock.Second + t.Plan.Ahead
		return t.inRange(local - int64(s.Offset)*clock.Second)
	case s.Zone != "":
		utc, reason := t.Zone.Named(local, s.Zone)
		if reason != "" {
			return 0, Untimed, reason
		}
		t.Offset = local - utc + t.Plan.Ahead
		return t.inRange(utc)
	}
	return t.toUTC(local)
}

// dayOnly notices lines that share a date and say no time of day.
func (t *Timeline) dayOnly(s clock.Stamp) {
	if !s.HasTime {
		t.SameDay = t.SameDay || t.seen && t.Days == t.lastDay
		t.lastDay = t.Days
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
func (t *Timeline) date(s clock.Stamp, micros int64) string {
	if t.Plan.Fixed {
		days, ok := s.Days(t.Order)
		if !ok {
			return fmt.Sprintf("no date when read %s", t.Order)
		}
		t.Days = days
		return ""
	}
	if !t.seen || t.changed(s) {
		if !t.Plan.Order.Observe(s, micros-t.micros, t.Step) {
			return "no date of the calendar"
		}
		if t.Plan.Order.Out[t.Order] {
			t.Restart = true
		}
	}
	days, ok := s.Days(t.Order)
	if !ok {
		return fmt.Sprintf("no date when read %s", t.Order)
	}
	t.Days = days
	return ""
}

func (t *Timeline) changed(s clock.Stamp) bool {
	days, ok := s.Days(t.Order)
	return !ok || days != t.Days
}

// remember keeps what the quick way needs of a stamp.
func (t *Timeline) remember(cell []byte, s clock.Stamp, micros int64) {
	t.Half = t.Half || s.Half != 0
	t.Above.take(cell, s, micros)
	t.Follow(micros, int64(s.Hour))
}

// dayTime counts the days on when the time of day falls back.
func (t *Timeline) dayTime(micros int64, s clock.Stamp) (int64, verdict, string) {
	if t.lost != "" {
		return 0, Untimed, t.lost
	}
	if !t.seen {
		t.Days = t.Plan.Start
	} else if micros < t.micros-12*clock.Hour {
		t.Days++
	}
	t.Half = t.Half || s.Half != 0
	t.Follow(micros, int64(s.Hour))
	return t.toUTC(t.Days*clock.Day + micros)
}

// AsAbove gives the time of a line that says its offset as the line before does, or none.
func (t *Timeline) AsAbove(local int64) (int64, verdict, string) {
	if !t.Above.shifted {
		return t.toUTC(local)
	}
	t.Offset = t.Above.shift + t.Plan.Ahead
	return t.inRange(local - t.Above.shift)
}

func (t *Timeline) toUTC(local int64) (int64, verdict, string) {
	if local < clock.Earliest || local >= clock.Latest {
		return 0, Untimed, UnsetReason
	}
	utc, reason := int64(0), ""
	if t.Zone.Rule.Abbr != "" {
		utc, reason = t.Zone.Named(local, t.Zone.Rule.Abbr)
	} else {
		utc, reason = t.Zone.UTC(local)
	}
	if reason != "" {
		return 0, Untimed, reason
	}
	utc -= t.Plan.Ahead
	t.Offset = local - utc
	return utc, Timed, ""
}

// Steady gives the one offset of the logger's clock from UTC between two local times, of
// lines that follow each other, where there is one and no line among them asks for a
// closer look.
func (t *Timeline) Steady(first, last int64) (offset int64, ok bool) {
	if t.Above.shifted {
		t.Offset = t.Above.shift + t.Plan.Ahead
		return t.Offset, first-t.Offset >= clock.Earliest && last-t.Offset < clock.Latest
	}
	z := &t.Zone
	if first < max(clock.Earliest, z.Lo) || last >= min(clock.Latest, z.Hi) || z.Rule.Abbr != "" {
		return 0, false
	}
	z.Last, z.LastUTC, z.Started = last, last-z.Offset, true
	t.Offset = z.Offset + t.Plan.Ahead
	return t.Offset, true
}

func (t *Timeline) inRange(utc int64) (int64, verdict, string) {
	utc -= t.Plan.Ahead
	if utc < clock.Earliest || utc >= clock.Latest {
		return 0, Untimed, UnsetReason
	}
	return utc, Timed, ""
}

// number reads the kinds of time that are numbers.
func (t *Timeline) number(cell []byte) (int64, verdict, string) {
	if t.Plan.Kind == ElapsedTime {
		if s, ok := clock.ParseStamp(cell); ok && s.HasTime && !s.HasDate {
			since := int64(s.Hour)*clock.Hour + s.Micros
			reason := t.counts(since < t.since)
			if t.since = since; reason != "" {
				return 0, Untimed, reason
			}
			return t.inRange(t.Plan.Start + since)
		}
	}
	d, long, rest, ok := scan.Number(cell, scan.Marks{Decimal: t.mark(cell)})
	if !ok || len(rest) > 0 {
		return 0, NoStamp, ""
	}
	if cutDigits(cell) {
		return 0, Untimed, "the last digits of its time are not printed"
	}
	v := long
	if v == nil {
		v = d.Rat()
	}
	switch t.Plan.Kind {
	case EpochTime:
		return t.ratRange(v.Mul(v, big.NewRat(t.Plan.PerUnit, 1)))
	case ElapsedTime:
		reason := t.counts(t.elapsed != nil && v.Cmp(t.elapsed) < 0)
		if t.elapsed = new(big.Rat).Set(v); reason != "" {
			return 0, Untimed, reason
		}
		if t.Plan.Each != nil {
			v.Mul(v.Sub(v, t.Plan.From), t.Plan.Each)
		} else {
			v.Mul(v, t.Plan.Unit.Factor())
		}
		v.Mul(v, big.NewRat(clock.Second, 1))
		return t.ratRange(v.Add(v, big.NewRat(t.Plan.Start, 1)))
	}
	return t.serial(v, d.Decimals)
}

func (t *Timeline) mark(cell []byte) byte {
	if bytes.IndexByte(cell, ',') >= 0 {
		return ','
	}
	return '.'
}

func (t *Timeline) ratRange(micros *big.Rat) (int64, verdict, string) {
	utc, ok := units.Round(micros, 0)
	if !ok {
		return 0, Untimed, UnsetReason
	}
	return t.inRange(utc)
}

// SerialZero is day 0 of serial dates, 1899-12-30, in days since 1970: the form
// spreadsheets export, with their first two months shifted.
const SerialZero = -25569

// Between1904 is how many days the count of 1904 begins after that of 1900: ISO/IEC
// 29500-1:2016, 18.17.4.1, whose bases are 1899-12-30 and 1904-01-01.
const Between1904 = 1462

// serial reads days with a fraction. The digits stop short of a whole second, so
// a time within their resolution of one is that second.
func (t *Timeline) serial(v *big.Rat, decimals int) (int64, verdict, string) {
	v.Add(v, big.NewRat(SerialZero, 1))
	if t.Plan.Base1904 {
		v.Add(v, big.NewRat(Between1904, 1))
	}
	micros, ok := units.Round(v.Mul(v, big.NewRat(clock.Day, 1)), 0)
	if !ok {
		return 0, Untimed, UnsetReason
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
