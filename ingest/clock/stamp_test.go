package clock

import (
	"math/rand/v2"
	"testing"
	"time"
)

// What is left out as too short for a date or a time is what the careful way refuses too:
// a law, over drawn cells of the bytes that such cells have.
func TestShortNumbersAreNoStamps(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 7))
	short := 0
	for range 200_000 {
		cell := make([]byte, random.IntN(9))
		for i := range cell {
			cell[i] = "0123456789.,-/ :"[random.IntN(16)]
			if random.IntN(3) > 0 {
				cell[i] = "0123456789"[random.IntN(10)]
			}
		}
		if !shortNumber(cell) {
			continue
		}
		short++
		if s, ok := ParseStampFrom(cell, 0); ok {
			t.Fatalf("%q is left out, and holds %+v", cell, s)
		}
	}
	if short < 10_000 {
		t.Errorf("only %d of the cells drawn are short numbers", short)
	}
}

func TestStampsAsLoggersPrintThem(t *testing.T) {
	tests := []struct {
		cell  string
		order Order
		want  string // local time; empty where it is no stamp under the order
	}{
		{"2025-03-04 12:00:05", YearFirst, "2025-03-04T12:00:05"},
		{"2025-03-04T12:00:05.25", YearFirst, "2025-03-04T12:00:05.25"},
		{"2025/3/4 1:02", YearFirst, "2025-03-04T01:02:00"},
		{"2025. 03. 04. 12:00", YearFirst, "2025-03-04T12:00:00"},
		{"04.03.2025 12:00:05", DayFirst, "2025-03-04T12:00:05"},
		{"04.03.25 12:00", DayFirst, "2025-03-04T12:00:00"},
		{"04.03.25 12:00", YearFirst, "2004-03-25T12:00:00"},
		{"4/3/2025 1:00:05 PM", DayFirst, "2025-03-04T13:00:05"},
		{"3/4/2025 12:30 AM", MonthFirst, "2025-03-04T00:30:00"},
		{"3/4/2025 12:30 p.m.", MonthFirst, "2025-03-04T12:30:00"},
		{"3/4/2025 1:30 p. m.", MonthFirst, "2025-03-04T13:30:00"},
		{"04-Mär-25 12:00", DayFirst, "2025-03-04T12:00:00"},
		{"04-Mrz-2025 12:00", DayFirst, "2025-03-04T12:00:00"},
		{"4 févr. 2025 13:00:00,25", DayFirst, "2025-02-04T13:00:00.25"},
		{"04Mar2025 12:00", DayFirst, "2025-03-04T12:00:00"},
		{"Mar 4, 2025 13:00", MonthFirst, "2025-03-04T13:00:00"},
		{"Tue Mar 4, 2025 13:00", MonthFirst, "2025-03-04T13:00:00"},
		{"mar 04/03/2025 13:00", DayFirst, "2025-03-04T13:00:00"},
		{"12 ago 2025 06:00", DayFirst, "2025-08-12T06:00:00"},
		{"12 out 2025 06:00", DayFirst, "2025-10-12T06:00:00"},
		{"1 maj 2025 06:00", DayFirst, "2025-05-01T06:00:00"},
		{"20250304T120005", YearFirst, "2025-03-04T12:00:05"},
		{"20250304120005", YearFirst, "2025-03-04T12:00:05"},
		{"12:00:05 04.03.2025", DayFirst, "2025-03-04T12:00:05"},
		{"2025-03-04 12:00:05:250", YearFirst, "2025-03-04T12:00:05.25"},
		{"Tue Mar  4 12:00:05 2025", MonthFirst, "2025-03-04T12:00:05"},
		{"2025/03/04-12:00:05", YearFirst, "2025-03-04T12:00:05"},
		{"04/03/2025 12.00.05", DayFirst, "2025-03-04T12:00:05"},
		{"04/03/2025 12.00", DayFirst, ""},
		{"2025-03-04 12:00:05 - 1", YearFirst, ""},
		{"31.04.2025 12:00", DayFirst, ""},
		{"2025-02-29 12:00", YearFirst, ""},
		{"2025-03-04 25:00", YearFirst, ""},
		{"2025-03-04 12:60", YearFirst, ""},
		{"04/03/2025 12:00", YearFirst, ""},
		{"4.05", DayFirst, ""},
		{"1.2.3.4", DayFirst, ""},
		{"setpoint", DayFirst, ""},
	}
	for _, tt := range tests {
		s, ok := ParseStamp([]byte(tt.cell))
		days, valid := s.Days(tt.order)
		micros, timed := s.TimeOfDay()
		ok = ok && valid && timed && s.HasDate
		if ok != (tt.want != "") {
			t.Errorf("%q %s: a stamp: %v (%+v)", tt.cell, tt.order, ok, s)
			continue
		}
		if got := time.UnixMicro(days*Day + micros).UTC().Format("2006-01-02T15:04:05.999999"); ok && got != tt.want {
			t.Errorf("%q %s = %s, want %s", tt.cell, tt.order, got, tt.want)
		}
	}
}

func TestOffsetsOfStamps(t *testing.T) {
	for cell, want := range map[string]int{
		"2025-03-04T12:00:05Z": 0, "2025-03-04T12:00:05+01:00": 3600, "2025-03-04 12:00:05 -0500": -18000, "2025-03-04 12:00:05-05:00": -18000,
		"2025-03-04 12:00:05 UTC": 0, "2025-03-04 12:00:05 GMT+2": 7200, "2025-03-04 12:00:05 UTC−3": -10800,
	} {
		s, ok := ParseStamp([]byte(cell))
		if !ok || !s.HasShift || s.Offset != want {
			t.Errorf("%q: %+v, %v; want an offset of %d s", cell, s, ok, want)
		}
	}
}
