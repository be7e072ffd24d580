package clock

import (
	"strings"
	"time"

	"rimelog/ingest/scan"
)

// FindStamp finds the longest date in a text, with its time where there is one.
func FindStamp(text string) (Stamp, bool) {
	for i := range len(text) {
		if i > 0 && (scan.IsDigit(text[i-1]) || scan.IsLetter(text[i-1])) || !scan.IsDigit(text[i]) && !scan.IsLetter(text[i]) {
			continue
		}
		for j := min(len(text), i+48); j >= i+6; j-- {
			if j < len(text) && (scan.IsDigit(text[j]) && scan.IsDigit(text[j-1]) || scan.IsLetter(text[j]) && scan.IsLetter(text[j-1])) {
				continue
			}
			if s, ok := ParseStamp([]byte(strings.TrimSpace(text[i:j]))); ok && s.HasDate && !s.Ordinal && Plausible(s) {
				return s, true
			}
		}
	}
	return Stamp{}, false
}

// Plausible tells whether some order makes the stamp a date that a logger can
// show, be its clock set or not.
func Plausible(s Stamp) bool {
	for o := range Orders {
		if days, ok := s.Days(Order(o)); ok && days >= 0 && days*Day < Latest {
			return true
		}
	}
	return false
}

// SoleDay gives a date's day where every order that fits gives the same.
func SoleDay(s Stamp) (int64, bool) {
	found, day := false, int64(0)
	for o := range Orders {
		if d, ok := s.Days(Order(o)); ok && s.Customary(Order(o)) {
			if found && d != day {
				return 0, false
			}
			found, day = true, d
		}
	}
	return day, found
}

// ReadZone reads a zone as loggers and people write it: an offset from UTC, or a
// name of the time zone database. An abbreviation is no zone: it means different
// ones in different places.
func ReadZone(text, why string) (ZoneRule, bool) {
	t := strings.TrimSpace(text)
	if z, named, long := LongZone(t); long {
		z.Why = why
		return z, named
	}
	if strings.Contains(t, "/") {
		if loc, err := time.LoadLocation(t); err == nil {
			return ZoneRule{Loc: loc, Name: t, Why: why}, true
		}
	}
	t = strings.Trim(t, "() ")
	if i := strings.IndexAny(t, ")("); i > 0 {
		t = t[:i]
	}
	s, ok := ParseStamp([]byte("00:00 " + strings.ReplaceAll(t, " ", "")))
	if ok && s.HasShift {
		return FixedZone(s.Offset, why), true
	}
	return ZoneRule{}, false
}
