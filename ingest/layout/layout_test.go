package layout

import (
	"slices"
	"strings"
	"testing"

	"rimelog/ingest/dialect"
	"rimelog/thermo/units"
)

func found(text string) Layout {
	var lines []dialect.Line
	for i, l := range strings.Split(strings.TrimSuffix(text, "\n"), "\n") {
		lines = append(lines, dialect.Line{Number: int64(i + 1), Text: []byte(l)})
	}
	return Find(lines, dialect.Best(lines), []int{0})
}

// Which lines name the columns, which their units, and which come before.
func TestWhereHeaderAndDataStand(t *testing.T) {
	const data = "2025-03-04 12:00:00;4.5;1200\n2025-03-04 12:01:00;4.6;1210\n2025-03-04 12:02:00;4.7;1190\n"
	names := []string{"Time", "Suction temp", "Power"}
	for _, c := range []struct {
		name, above string
		first       int
		names       []string
		labels      []string
		preamble    int
	}{
		{"one line of names", "Time;Suction temp;Power\n", 1, names, nil, 0},
		{"a line of units below", "Time;Suction temp;Power\n;°C;W\n", 2, names, []string{"", "°C", "W"}, 0},
		{"lines before", "Logger 7\nStarted by hand\n\nTime;Suction temp;Power\n", 4, names, nil, 2},
		{"no names", "", 0, nil, nil, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := found(c.above + data)
			if l.First != c.first || len(l.Body) != 3 {
				t.Errorf("data begin in line %d, %d lines of them; want line %d, 3", l.First+1, len(l.Body), c.first+1)
			}
			if got := slices.DeleteFunc(slices.Clone(l.Names), func(s string) bool { return s == "" }); !slices.Equal(got, c.names) && len(got)+len(c.names) > 0 {
				t.Errorf("names %q, want %q", got, c.names)
			}
			if c.labels != nil && !slices.Equal(l.Labels, c.labels) {
				t.Errorf("units %q, want %q", l.Labels, c.labels)
			}
			said := slices.DeleteFunc(slices.Clone(l.Preamble), func(s string) bool { return strings.TrimSpace(s) == "" })
			if len(said) != c.preamble {
				t.Errorf("lines before the header: %q, want %d", said, c.preamble)
			}
		})
	}
}

func TestRowsOfNamesAndOfUnits(t *testing.T) {
	for _, c := range []struct {
		row         []string
		names, unit bool
	}{
		{[]string{"Time", "Suction temp", "Power"}, true, false},
		{[]string{"", "°C", "kW"}, false, true}, // symbols by the SI Brochure, 9th edition (2019)
		{[]string{"2025-03-04 12:00:00", "4.5", "1200"}, false, false},
	} {
		if got := IsUnitRow(c.row); got != c.unit {
			t.Errorf("%q: row of units %v, want %v", c.row, got, c.unit)
		}
		if got := IsNameRow(c.row); c.names && !got || !c.names && !c.unit && got {
			t.Errorf("%q: row of names %v, want %v", c.row, got, c.names)
		}
	}
	if !SameCells([]string{"a", "b", "c"}, []string{"c", "a", "b"}) || SameCells([]string{"a", "b"}, []string{"a", "a"}) {
		t.Error("cells are compared by their places, or not one by one")
	}
}

// What the lines above a header say: dates as in ISO 8601-1:2019, a unit, a reference.
func TestLinesAboveAreUnderstood(t *testing.T) {
	p := ReadPreamble([]string{"Logger 7", "Start: 2025-03-04T12:00:05", "Exported 2025-03-06 08:00:00", "Pressure: bar, gauge", "Time zone: UTC+1"})
	if s, ok := p.Start(); !ok || s.Stamp.Date != [3]int{2025, 3, 4} || s.Stamp.Hour != 12 {
		t.Errorf("the clock starts at %+v, %v", s, ok)
	}
	const day = 20151 // 2025-03-04, counted from 1970-01-01
	if h := p.Hints(); !slices.Equal(h, []int64{day, day + 2}) {
		t.Errorf("days %v", h)
	}
	if p.Zone == "" || p.Gauge != units.Gauge {
		t.Errorf("zone %q, pressures count from %v", p.Zone, p.Gauge)
	}
	if _, ok := ReadPreamble([]string{"Printed 2025-03-04 12:00", "Checked 2025-03-05 12:00"}).Start(); ok {
		t.Error("of two times alike one was taken for the start")
	}
}
