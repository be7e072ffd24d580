package answers

import (
	"math"
	"testing"
	"time"

	"rimelog/ingest/clock"
	"rimelog/pipeline/register"
	"rimelog/thermo/units"
)

// dayOf counts days since 1970 by the calendar of the standard library.
func dayOf(year int, month time.Month, day int) int64 {
	return time.Date(year, month, day, 0, 0, 0, 0, time.UTC).Unix() / 86400
}

// Dates in names of files, in the extended and the basic form of ISO 8601-1:2019, 5.2.2.
func TestDatesInNamesOfFiles(t *testing.T) {
	for path, want := range map[string]int64{
		"CR-01/2025-03-04.csv":        dayOf(2025, time.March, 4),
		"CR-01/log_2025_03_04-a.csv":  dayOf(2025, time.March, 4),
		"CR-01/20250304_PQ1.csv":      dayOf(2025, time.March, 4),
		"CR-01/25.12.2024.csv":        dayOf(2024, time.December, 25),
		"CR-01/03-04-2025.csv":        -1, // of March or of April
		"CR-01/2025-02-30.csv":        -1, // no day of the calendar
		"CR-01/serial 1202503041.csv": -1, // digits that go on
		"2025-03-04/log.csv":          -1, // a folder is no name
	} {
		switch got := NameDays(path); {
		case want < 0 && len(got) > 0:
			t.Errorf("%s: day %d, want none", path, got[0])
		case want >= 0 && (len(got) != 1 || got[0] != want):
			t.Errorf("%s: days %v, want %d", path, got, want)
		}
	}
	if s := NameStart("CR-01/2025-03-04 12-30-05.csv"); !s.HasTime || s.Hour != 12 || s.Date != [3]int{2025, 3, 4} {
		t.Errorf("start %+v", s)
	}
}

// A row speaks of a column by its header or its place; case, blanks and the unit do not count.
func TestTheRowOfAColumn(t *testing.T) {
	march := time.Date(2025, time.March, 1, 0, 0, 0, 0, time.UTC)
	s := System{ID: "CR-01", Altitude: math.NaN(), Rows: []register.Channel{
		{Column: "T1", Channel: "liquid_temp", To: march},
		{Column: "T1", Channel: "suction_temp", From: march},
		{Column: "#4", Channel: "power"},
	}}
	for _, c := range []struct {
		index  int
		header string
		at     time.Time
		want   string // empty: no row
	}{
		{0, "T1", march, "suction_temp"},
		{0, " t1 [°C]", march, "suction_temp"},
		{0, "T1", march.AddDate(0, 0, -1), "liquid_temp"},
		{0, "T2", march, ""},
		{3, "anything", march, "power"},
		{0, "", march, ""},
	} {
		if row, ok := s.RowFor(c.index, c.header, c.at); ok != (c.want != "") || row.Channel != c.want {
			t.Errorf("column %d %q on %s: %q, %v; want %q", c.index+1, c.header, c.at.Format(time.DateOnly), row.Channel, ok, c.want)
		}
	}
}

func TestWhatARowSaysOfTheTime(t *testing.T) {
	for _, c := range []struct {
		unit  string
		order string
		zone  bool
		start bool
		ahead int64 // s
	}{
		{"day first", "day first", false, false, 0},
		{"month first UTC", "month first", true, false, 0},
		{"Europe/Berlin", "", true, false, 0},
		{"ahead 37 s", "", false, false, 37},
		{"behind 3600 s", "", false, false, -3600},
		{"start 2026-05-25 12:05:54", "", false, true, 0},
	} {
		got := Answers{Systems: []System{{Rows: []register.Channel{{Channel: "time", Unit: c.unit, Line: 4}}}}}.Time()
		if got.HasOrder != (c.order != "") || got.HasOrder && got.Order.String() != c.order || got.HasZone != c.zone || got.HasStart != c.start || got.Ahead != c.ahead*clock.Second || got.Line != 4 {
			t.Errorf("%q: %+v", c.unit, got)
		}
	}
	if got := (Answers{}).Time(); got != (TimeAnswer{}) {
		t.Errorf("without a row: %+v", got)
	}
}

func TestWhatARowSaysOfItsUnit(t *testing.T) {
	for _, c := range []struct {
		row   register.Channel
		label string
		ref   units.Reference
	}{
		{register.Channel{Unit: "bar(g)"}, "bar(g)", units.Gauge},
		{register.Channel{Unit: "bar decimal comma"}, "bar", units.Unmarked},
		{register.Channel{Unit: "bar", Reference: register.Absolute}, "bar", units.Absolute},
		{register.Channel{Unit: "bar(a)", Reference: register.Gauge}, "bar(a)", units.Gauge}, // its own column counts
	} {
		if label, ref := UnitLabel(c.row), RowReference(c.row); label != c.label || ref != c.ref {
			t.Errorf("%+v: %q from %v, want %q from %v", c.row, label, ref, c.label, c.ref)
		}
	}
	mark, line := Answers{Systems: []System{{Rows: []register.Channel{{Channel: "power", Unit: "W decimal comma", Line: 7}}}}}.DecimalMark()
	if mark != ',' || line != 7 {
		t.Errorf("decimal mark %q of line %d", mark, line)
	}
}
