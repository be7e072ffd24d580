// Package say turns figures, times and counts into the words of the report.
//
// A missing figure is a dash, never a zero; a minus is a minus sign, not a hyphen;
// a figure and its unit are never parted at the end of a line.
package say

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

const (
	nbsp = "\u00a0"
	dash = "\u2013"
)

// Number writes v with the given digits after the point; a dash where v is not a number.
func Number(v float64, digits int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return dash
	}
	s := strconv.FormatFloat(v, 'f', digits, 64)
	if rest, ok := strings.CutPrefix(s, "-"); ok {
		if strings.Trim(rest, "0.") == "" { // minus zero
			return rest
		}
		return "\u2212" + rest
	}
	return s
}

// Signed is Number with a plus before what rises.
func Signed(v float64, digits int) string {
	s := Number(v, digits)
	if v > 0 && strings.Trim(s, "0.") != "" {
		return "+" + s
	}
	return s
}

// With joins a written figure and its unit.
func With(figure, unit string) string {
	if unit == "" || unit == "1" || figure == dash {
		return figure
	}
	return figure + nbsp + unit
}

// Range writes two figures of which neither is a change, "2.56 to 2.84 kWh"; a dash
// where one is missing.
func Range(lo, hi float64, digits int, unit string) string {
	if math.IsNaN(lo + hi) {
		return dash
	}
	text := Number(lo, digits) + " to " + Number(hi, digits)
	if unit == "" {
		return text
	}
	return With(text, unit)
}

// Interval writes the two ends of an interval, the lower one first.
func Interval(lo, hi float64, digits int, unit string) string {
	return With(Signed(lo, digits)+" to "+Signed(hi, digits), unit)
}

// PlusMinus writes v with its expanded uncertainty: twice the standard
// uncertainty u, about 95 % coverage (ISO/IEC Guide 98-3, 6.3.3).
func PlusMinus(v, u float64, digits int, unit string) string {
	if math.IsNaN(v) || math.IsNaN(u) {
		return With(Number(v, digits), unit)
	}
	return With(Number(v, digits)+nbsp+"±"+nbsp+Number(2*u, digits), unit)
}

// Count writes a number of things: "1 visit", "11 visits".
func Count(n int, thing string) string {
	if n == 1 {
		return "1" + nbsp + thing
	}
	return Thousands(int64(n)) + nbsp + plural(thing)
}

func plural(thing string) string {
	if rest, ok := strings.CutSuffix(thing, "y"); ok && !strings.HasSuffix(rest, "a") {
		return rest + "ies"
	}
	if strings.HasSuffix(thing, "ch") {
		return thing + "es"
	}
	return thing + "s"
}

// Thousands writes a whole number in groups of three, parted by narrow spaces.
func Thousands(n int64) string {
	if n < 0 {
		return "\u2212" + Thousands(-n)
	}
	s := strconv.FormatInt(n, 10)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "\u202f" + s[i:]
	}
	return s
}

// Word writes a small number as a word, as a sentence begins with it.
func Word(n int) string {
	words := [...]string{"No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten", "Eleven", "Twelve"}
	if n >= 0 && n < len(words) {
		return words[n]
	}
	return Thousands(int64(n))
}

// Day writes a date in the zone: "12 Mar 2024".
func Day(t time.Time, zone *time.Location) string {
	if t.IsZero() {
		return dash
	}
	return strings.ReplaceAll(t.In(zone).Format("2 Jan 2006"), " ", nbsp)
}

// Minute writes a date and time in the zone: "12 Mar 2024 14:05".
func Minute(t time.Time, zone *time.Location) string {
	if t.IsZero() {
		return dash
	}
	return strings.ReplaceAll(t.In(zone).Format("2 Jan 2006 15:04"), " ", nbsp)
}

// Period writes the days from one time to another.
func Period(from, to time.Time, zone *time.Location) string {
	if a, b := Day(from, zone), Day(to, zone); a != b {
		return a + " to " + b
	}
	return Day(from, zone)
}

// Span writes the minutes from one time to another, the day once where it is one.
func Span(from, to time.Time, zone *time.Location) string {
	if Day(from, zone) == Day(to, zone) {
		return Minute(from, zone) + " to " + to.In(zone).Format("15:04")
	}
	return Minute(from, zone) + " to " + Minute(to, zone)
}

// The average length of months and years in the Gregorian calendar.
const (
	year  = 31_556_952 * time.Second // 365.2425 days
	month = year / 12
)

// Length writes how long something lasted, in the unit that suits it.
func Length(d time.Duration) string {
	switch {
	case d < 2*time.Minute:
		return fmt.Sprintf("%.0f%ss", d.Seconds(), nbsp)
	case d < 2*time.Hour:
		return fmt.Sprintf("%.0f%smin", d.Minutes(), nbsp)
	case d < 48*time.Hour:
		return fmt.Sprintf("%.1f%sh", d.Hours(), nbsp)
	case d < 60*24*time.Hour:
		return Count(int(math.Round(d.Hours()/24)), "day")
	case d < 2*year:
		return Count(int(math.Round(float64(d)/float64(month))), "month")
	}
	return fmt.Sprintf("%.1f%syears", float64(d)/float64(year), nbsp)
}
