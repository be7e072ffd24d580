package say

import "time"

// The functions below speak English in SI units.

// Number is Locale.Number in English.
func Number(v float64, digits int) string { return Locale{}.Number(v, digits) }

// Signed is Locale.Signed in English.
func Signed(v float64, digits int) string { return Locale{}.Signed(v, digits) }

// With is Locale.With in English.
func With(figure, unit string) string { return Locale{}.With(figure, unit) }

// Range is Locale.Range in English.
func Range(lo, hi float64, digits int, unit string) string {
	return Locale{}.Range(lo, hi, digits, unit)
}

// Interval is Locale.Interval in English.
func Interval(lo, hi float64, digits int, unit string) string {
	return Locale{}.Interval(lo, hi, digits, unit)
}

// PlusMinus is Locale.PlusMinus in English.
func PlusMinus(v, u float64, digits int, unit string) string {
	return Locale{}.PlusMinus(v, u, digits, unit)
}

// Count is Locale.Count in English.
func Count(n int, thing string) string { return Locale{}.Count(n, Thing(thing)) }

// Thousands is Locale.Thousands in English.
func Thousands(n int64) string { return Locale{}.Thousands(n) }

// Word is Locale.Word in English.
func Word(n int) string { return Locale{}.Word(n) }

// Day is Locale.Day in English.
func Day(t time.Time, zone *time.Location) string { return Locale{}.Day(t, zone) }

// Minute is Locale.Minute in English.
func Minute(t time.Time, zone *time.Location) string { return Locale{}.Minute(t, zone) }

// Period is Locale.Period in English.
func Period(from, to time.Time, zone *time.Location) string { return Locale{}.Period(from, to, zone) }

// Span is Locale.Span in English.
func Span(from, to time.Time, zone *time.Location) string { return Locale{}.Span(from, to, zone) }

// Length is Locale.Length in English.
func Length(d time.Duration) string { return Locale{}.Length(d) }
