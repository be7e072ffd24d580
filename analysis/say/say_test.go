package say

import (
	"math"
	"strings"
	"testing"
	"time"
)

func TestNumber(t *testing.T) {
	for _, c := range []struct {
		v          float64
		digits     int
		want, sign string
	}{
		{3.14159, 1, "3.1", "+3.1"},
		{-3.14159, 2, "\u22123.14", "\u22123.14"},
		{-0.04, 1, "0.0", "0.0"},
		{0.04, 1, "0.0", "0.0"},
		{math.NaN(), 1, "–", "–"},
		{math.Inf(-1), 1, "–", "–"},
	} {
		if got := (Locale{}).Number(c.v, c.digits); got != c.want {
			t.Errorf("Number(%v, %d) = %q, want %q", c.v, c.digits, got, c.want)
		}
		if got := (Locale{}).Signed(c.v, c.digits); got != c.sign {
			t.Errorf("Signed(%v, %d) = %q, want %q", c.v, c.digits, got, c.sign)
		}
	}
}

func TestFiguresAndUnits(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{Locale{}.Interval(-4, -2.2, 1, "K"), "\u22124.0 to \u22122.2\u00a0K"},
		{Locale{}.PlusMinus(5.62, 0.4, 1, "K"), "5.6\u00a0±\u00a00.8\u00a0K"},
		{Locale{}.PlusMinus(5.62, math.NaN(), 1, "K"), "5.6\u00a0K"},
		{Locale{}.With(Locale{}.Number(math.NaN(), 1), "K"), "–"},
		{Locale{}.With("3.2", "1"), "3.2"},
		{Locale{}.Count(1, "visit"), "1\u00a0visit"},
		{Locale{}.Count(0, "visit"), "0\u00a0visits"},
		{Locale{}.Count(2, "day"), "2\u00a0days"},
		{Locale{}.Count(2, "body"), "2\u00a0bodies"},
		{Locale{}.Thousands(1234567), "1\u202f234\u202f567"},
		{Locale{}.Thousands(-999), "\u2212999"},
		{Locale{}.Word(2), "Two"},
		{Locale{}.Word(14), "14"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

func TestTimesAreInTheZone(t *testing.T) {
	zone := time.FixedZone("UTC+02:00", 2*3600)
	late := time.Date(2024, 3, 12, 23, 30, 0, 0, time.UTC)
	if got, want := (Locale{}).Minute(late, zone), "13\u00a0Mar\u00a02024\u00a001:30"; got != want {
		t.Errorf("Minute = %q, want %q", got, want)
	}
	if got, want := (Locale{}).Period(late, late.Add(time.Hour), zone), "13\u00a0Mar\u00a02024"; got != want {
		t.Errorf("Period = %q, want %q", got, want)
	}
	if got, want := (Locale{}).Span(late, late.Add(time.Hour), zone), "13\u00a0Mar\u00a02024\u00a001:30 to 02:30"; got != want {
		t.Errorf("Span = %q, want %q", got, want)
	}
	if got, want := (Locale{}).Span(late, late.Add(30*time.Hour), zone), "13\u00a0Mar\u00a02024\u00a001:30 to 14\u00a0Mar\u00a02024\u00a007:30"; got != want {
		t.Errorf("Span = %q, want %q", got, want)
	}
	if got := (Locale{}).Day(time.Time{}, zone); got != "–" {
		t.Errorf("Day of no time = %q, want a dash", got)
	}
}

func TestLength(t *testing.T) {
	day := 24 * time.Hour
	for d, want := range map[time.Duration]string{
		40 * time.Second: "40\u00a0s",
		4 * time.Minute:  "4\u00a0min",
		3 * time.Hour:    "3.0\u00a0h",
		3 * day:          "3\u00a0days",
		365 * day:        "12\u00a0months",
		1100 * day:       "3.0\u00a0years",
	} {
		if got := (Locale{}).Length(d); got != want {
			t.Errorf("Length(%v) = %q, want %q", d, got, want)
		}
	}
}

func TestRange(t *testing.T) {
	for _, c := range []struct {
		lo, hi float64
		unit   string
		want   string
	}{{2.555, 2.844, "", "2.56 to 2.84"}, {-1, 2, "K", "−1.00 to 2.00 K"}, {math.NaN(), 1, "", "–"}} {
		if got := (Locale{}).Range(c.lo, c.hi, 2, c.unit); strings.ReplaceAll(got, nbsp, " ") != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

// A figure in a name and its unit are never parted; a number that counts rooms may be.
func TestUnparted(t *testing.T) {
	for name, want := range map[string]string{
		"split air conditioner, 13.5 kW":   "split air conditioner, 13.5~kW",
		"chiller 2 on the roof, 40 kg, 2°": "chiller 2 on the roof, 40~kg, 2°",
		"cold room 3":                      "cold room 3",
	} {
		if got := strings.ReplaceAll(Unparted(name), nbsp, "~"); got != want {
			t.Errorf("%q: %q, want %q", name, got, want)
		}
	}
}
