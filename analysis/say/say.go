// Package say turns figures, times and counts into the words of the report, in the
// language and the units of its readers.
//
//  1. A Locale (locale.go) is given to whoever builds a page.
//  2. Its texts come from the catalogue (language.go): the English text is the key, and
//     each language one file in the folder lang. English itself has no file.
//  3. Texts of the dataset's tables are English sentences with figures in them; table.go
//     knows them again by their words. What its columns mean is in a dictionary.
//  4. Figures are converted exactly (units.go) and written as the language does.
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
func (l Locale) Number(v float64, digits int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return dash
	}
	s := l.decimal(strconv.FormatFloat(v, 'f', digits, 64))
	if rest, ok := strings.CutPrefix(s, "-"); ok {
		if strings.Trim(rest, "0.,") == "" { // minus zero
			return rest
		}
		return "\u2212" + rest
	}
	return s
}

// decimal writes the decimal mark of the language into a figure.
func (l Locale) decimal(figure string) string {
	if l.language == nil {
		return figure
	}
	return strings.Replace(figure, ".", l.language.Decimal, 1)
}

// Separator parts the columns of a file for spreadsheets: a comma, or a semicolon where
// that is the decimal mark.
func (l Locale) Separator() rune {
	if l.decimal(".") == "," {
		return ';'
	}
	return ','
}

// Plain writes a value of the tables in the reader's unit for spreadsheets; nothing where
// it is not a number.
func (l Locale) Plain(q Quantity, v float64, digits int) string {
	if math.IsNaN(v) {
		return ""
	}
	return l.decimal(strconv.FormatFloat(l.In(q, v), 'f', digits, 64))
}

// Signed is Number with a plus before what rises.
func (l Locale) Signed(v float64, digits int) string {
	s := l.Number(v, digits)
	if v > 0 && strings.Trim(s, "0.,") != "" {
		return "+" + s
	}
	return s
}

// With joins a written figure and its unit.
func (l Locale) With(figure, unit string) string {
	if unit == "" || unit == "1" || figure == dash {
		return figure
	}
	return figure + nbsp + unit
}

// Range writes two figures of which neither is a change, "2.56 to 2.84 kWh"; a dash
// where one is missing.
func (l Locale) Range(lo, hi float64, digits int, unit string) string {
	if math.IsNaN(lo + hi) {
		return dash
	}
	text := l.Text("%s to %s", l.Number(lo, digits), l.Number(hi, digits))
	if unit == "" {
		return text
	}
	return l.With(text, unit)
}

// Interval writes the two ends of an interval, the lower one first.
func (l Locale) Interval(lo, hi float64, digits int, unit string) string {
	return l.With(l.Text("%s to %s", l.Signed(lo, digits), l.Signed(hi, digits)), unit)
}

// PlusMinus writes v with its expanded uncertainty: twice the standard
// uncertainty u, about 95 % coverage (ISO/IEC Guide 98-3, 6.3.3).
func (l Locale) PlusMinus(v, u float64, digits int, unit string) string {
	if math.IsNaN(v) || math.IsNaN(u) {
		return l.With(l.Number(v, digits), unit)
	}
	return l.With(l.Number(v, digits)+nbsp+"±"+nbsp+l.Number(2*u, digits), unit)
}

// Thousands writes a whole number in groups of three, parted by narrow spaces.
func (l Locale) Thousands(n int64) string {
	if n < 0 {
		return "\u2212" + l.Thousands(-n)
	}
	s := strconv.FormatInt(n, 10)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "\u202f" + s[i:]
	}
	return s
}

// Word writes a small number as a word, as a sentence begins with it.
func (l Locale) Word(n int) string {
	words := [...]Text{"No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten", "Eleven", "Twelve"}
	if n >= 0 && n < len(words) {
		return l.Text(words[n])
	}
	return l.Thousands(int64(n))
}

// Small writes a small number as a word within a sentence.
func (l Locale) Small(n int) string {
	words := [...]Text{"", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}
	if n > 0 && n < len(words) {
		return l.Text(words[n])
	}
	return l.Thousands(int64(n))
}

// Day writes a date in the zone: "12 Mar 2024".
func (l Locale) Day(t time.Time, zone *time.Location) string {
	if t.IsZero() {
		return dash
	}
	return strings.ReplaceAll(l.date(t.In(zone)), " ", nbsp)
}

// Months are the short names of the months, parted by spaces; empty for English.
func (l Locale) Months() string {
	if l.language == nil {
		return ""
	}
	var short []string
	for _, m := range l.language.Months {
		short = append(short, string([]rune(m)[:3]))
	}
	return strings.Join(short, " ")
}

// date writes a date as the language does.
func (l Locale) date(t time.Time) string {
	if l.language == nil {
		return t.Format("2 Jan 2006")
	}
	return fmt.Sprintf(l.language.Date, t.Day(), l.language.Months[t.Month()-1], t.Year())
}

// Minute writes a date and time in the zone: "12 Mar 2024 14:05".
func (l Locale) Minute(t time.Time, zone *time.Location) string {
	if t.IsZero() {
		return dash
	}
	return l.Day(t, zone) + nbsp + t.In(zone).Format("15:04")
}

// Period writes the days from one time to another.
func (l Locale) Period(from, to time.Time, zone *time.Location) string {
	if a, b := l.Day(from, zone), l.Day(to, zone); a != b {
		return l.Text("%s to %s", a, b)
	}
	return l.Day(from, zone)
}

// Span writes the minutes from one time to another, the day once where it is one.
func (l Locale) Span(from, to time.Time, zone *time.Location) string {
	if l.Day(from, zone) == l.Day(to, zone) {
		return l.Text("%s to %s", l.Minute(from, zone), to.In(zone).Format("15:04"))
	}
	return l.Text("%s to %s", l.Minute(from, zone), l.Minute(to, zone))
}

// The average length of months and years in the Gregorian calendar.
const (
	year  = 31_556_952 * time.Second // 365.2425 days
	month = year / 12
)

// Length writes how long something lasted, in the unit that suits it.
func (l Locale) Length(d time.Duration) string {
	switch {
	case d < 2*time.Minute:
		return l.With(l.Number(d.Seconds(), 0), "s")
	case d < 2*time.Hour:
		return l.With(l.Number(d.Minutes(), 0), "min")
	case d < 48*time.Hour:
		return l.With(l.Number(d.Hours(), 1), "h")
	case d < 60*24*time.Hour:
		return l.Count(int(math.Round(d.Hours()/24)), "day")
	case d < 2*year:
		return l.Count(int(math.Round(float64(d)/float64(month))), "month")
	}
	return l.With(l.Number(float64(d)/float64(year), 1), l.Text("years"))
}
