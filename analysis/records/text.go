package records

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// number writes a figure with three digits, and without an exponent.
func number(x float64) string {
	if math.IsNaN(x) {
		return "unknown"
	}
	digits := 2
	if x != 0 {
		digits = max(0, 2-int(math.Floor(math.Log10(math.Abs(x)))))
	}
	text := strconv.FormatFloat(x, 'f', min(digits, 6), 64)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

// between writes a range, or the one figure where its ends are the same.
func between(lo, hi float64) string {
	if number(lo) == number(hi) {
		return number(hi)
	}
	return number(lo) + " to " + number(hi)
}

func date(day time.Time) string { return day.Format(time.DateOnly) }

func eventPlace(line int) string  { return fmt.Sprintf("register/events.csv:%d", line) }
func systemPlace(line int) string { return fmt.Sprintf("register/systems.csv:%d", line) }

// months writes an interval.
func months(n int) string {
	switch n {
	case 1:
		return "every month"
	}
	return fmt.Sprintf("every %d months", n)
}
