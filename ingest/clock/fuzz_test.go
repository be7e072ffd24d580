package clock

import "testing"

func FuzzParseStamp(f *testing.F) {
	for _, s := range []string{"2025-03-04 12:00:05", "04.03.25 12:00", "Mon 2026-05-25T12:05:54 BST", "3/4/2025 1:00:05 p. m.", "20250304T120005Z", "4 févr. 2025 13:00:00,25", "12:00:00:250", "1 1 0403-", "0:0:002,", "12:00 - 12:15"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		s, ok := ParseStamp(b)
		if !ok {
			return
		}
		if micros, ok := s.TimeOfDay(); ok && (micros < 0 || micros > Day) {
			t.Errorf("%q: %d microseconds since midnight", b, micros)
		}
		for o := range Orders {
			if days, ok := s.Days(Order(o)); ok && s.HasDate && (days < -40000 || days > 3000000) {
				t.Errorf("%q: day %d", b, days)
			}
		}
	})
}
