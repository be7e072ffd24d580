package register

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// A cell is one filled cell of a row.
type cell struct {
	text  string // trimmed, never empty
	marks marks  // of the sheet
}

// A fault is why a cell cannot be read, and what to write instead.
type fault struct{ problem, remedy string }

var (
	numeral   = regexp.MustCompile(`^[+-]?([0-9]+([.,][0-9]*)?|[.,][0-9]+)([eE][+-]?[0-9]+)?$`)
	ambiguous = regexp.MustCompile(`^[+-]?[1-9][0-9]{0,2}[.,][0-9]{3}$`)
)

// number reads a decimal number. A mark before exactly three digits that is not
// the one decimal mark of the sheet could part thousands, and is refused.
func (c cell) number() (float64, *fault) {
	text := strings.Replace(c.text, "\u2212", "-", 1) // the typographic minus
	if !numeral.MatchString(text) {
		return 0, &fault{"not a number", "write digits with one decimal mark, such as " + c.example() + ", or leave the cell empty"}
	}
	if at := strings.IndexAny(text, ".,"); at >= 0 && ambiguous.MatchString(text) && !c.settled(text[at]) {
		whole := text[:at] + text[at+1:]
		part := strings.TrimRight(text[:at]+c.mark()+text[at+1:], "0")
		return 0, &fault{"could mean two numbers", fmt.Sprintf("write %s or %s", whole, strings.TrimSuffix(part, c.mark()))}
	}
	x, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil {
		return 0, &fault{"a number too large to be true", "write a smaller number, or leave the cell empty"}
	}
	return x, nil
}

// settled tells whether the sheet uses a mark for decimals, and no other.
func (c cell) settled(mark byte) bool {
	if mark == ',' {
		return c.marks.comma && !c.marks.dot
	}
	return c.marks.dot && !c.marks.comma
}

func (c cell) mark() string {
	if c.marks.comma {
		return ","
	}
	return "."
}

func (c cell) example() string { return "4" + c.mark() + "5" }

// within reads a number in a unit, which may be written behind it.
func (c cell) within(unit string, lo, hi float64) (float64, *fault) {
	c.text = strings.TrimSpace(strings.TrimSuffix(c.text, unit))
	x, f := c.number()
	if f == nil && !(lo <= x && x <= hi) {
		return 0, outside(lo, hi, unit)
	}
	return x, f
}

func outside(lo, hi float64, unit string) *fault {
	span := strings.TrimSpace(fmt.Sprintf("%s to %s %s", decimal(lo), decimal(hi), unit))
	return &fault{"outside " + span, "check the number and its unit, or leave the cell empty"}
}

// Kilograms in one of the units that a mass may be given in. The pound is exact:
// international avoirdupois pound, NIST Special Publication 811 (2008), appendix B.8.
const (
	pound = 0.45359237
	ounce = pound / 16
	gram  = 0.001
)

// mass reads kilograms, or a number with one of kg, g, lb, oz behind it.
func (c cell) mass(lo, hi float64) (float64, *fault) {
	factor := 1.0
	for _, u := range []struct {
		name string
		kg   float64
	}{{"kg", 1}, {"lbs", pound}, {"lb", pound}, {"oz", ounce}, {"g", gram}} {
		if rest, ok := strings.CutSuffix(strings.ToLower(c.text), u.name); ok {
			c.text, factor = strings.TrimSpace(rest), u.kg
			break
		}
	}
	x, f := c.number()
	if f != nil {
		return 0, f
	}
	if factor != 1 {
		x = math.Round(x*factor*1e9) / 1e9 // to the microgram, so that 10 lb are 4.5359237 kg
	}
	switch {
	case x < 0:
		return 0, &fault{"negative", "write " + decimal(-x) + " kg; the event says whether it went in or came out"}
	case !(lo <= x && x <= hi):
		return 0, outside(lo, hi, "kg")
	}
	return x, nil
}

// decimal writes a number with as many digits as it needs; NaN is empty.
func decimal(x float64) string {
	if x != x {
		return ""
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

var dateLayouts = []struct {
	layout  string
	hasTime bool
}{
	{"2006-01-02", false},
	{"2006-01-02 15:04", true}, {"2006-01-02 15:04:05", true},
	{"2006-01-02T15:04", true}, {"2006-01-02T15:04:05", true},
}

// date reads a calendar date with or without a time of day, as if it were UTC.
func (c cell) date() (t time.Time, hasTime bool, f *fault) {
	for _, l := range dateLayouts {
		if t, err := time.Parse(l.layout, c.text); err == nil {
			if t.Year() < 1950 || t.Year() > 2199 {
				return time.Time{}, false, &fault{"a year outside 1950 to 2199", "check the year"}
			}
			return t, l.hasTime, nil
		}
	}
	return time.Time{}, false, &fault{"not a date", "write " + strings.Join(c.likelyDates(), " or ")}
}

var dayFirst = regexp.MustCompile(`^([0-9]{1,2})[./-]([0-9]{1,2})[./-]([0-9]{4})$`)

// likelyDates lists the dates that a cell in another order may stand for.
func (c cell) likelyDates() []string {
	var dates []string
	if m := dayFirst.FindStringSubmatch(c.text); m != nil {
		for _, order := range [][2]string{{m[2], m[1]}, {m[1], m[2]}} {
			t, err := time.Parse("2006-1-2", m[3]+"-"+order[0]+"-"+order[1])
			if d := t.Format(time.DateOnly); err == nil && (len(dates) == 0 || dates[0] != d) {
				dates = append(dates, d)
			}
		}
	}
	if dates == nil {
		dates = []string{"year-month-day, such as 2026-04-03 or 2026-04-03 14:30"}
	}
	return dates
}

// moment places a calendar date in a zone. It returns false for a time of day that
// the clocks there skipped. A date alone is the first moment of that day.
func moment(civil time.Time, hasTime bool, zone *time.Location) (time.Time, bool) {
	if zone == nil {
		zone = time.UTC
	}
	y, m, d := civil.Date()
	h, min, s := civil.Clock()
	t := time.Date(y, m, d, h, min, s, 0, zone)
	if hasTime {
		return t, t.Hour() == h && t.Minute() == min
	}
	if t.Day() != d { // midnight was skipped
		_, t = t.ZoneBounds()
	}
	return t, true
}

// moments writes a time for people: the date, and the time of day where it counts.
func moments(t time.Time, hasTime bool) string {
	switch {
	case t.IsZero():
		return ""
	case !hasTime:
		return t.Format(time.DateOnly)
	case t.Second() == 0:
		return t.Format("2006-01-02 15:04")
	}
	return t.Format(time.DateTime)
}

// startsDay tells whether a time is the first moment of its day.
func startsDay(t time.Time) bool {
	first, _ := moment(time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC), false, t.Location())
	return first.Equal(t)
}
