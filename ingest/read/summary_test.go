package read

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/answers"
	"rimelog/ingest/logtest"
)

// A line with a time and numbers below the data is a summary only where it says so by a
// word; else it waits, with its reason, for a person. That loggers print extremes with
// their times is common practice, no source.
func TestSummariesAreToldFromStrayData(t *testing.T) {
	body := logtest.Stamped("Time;Suction temp [°C];Power [W]", "2025-03-14 12:%02d:00;3.5;1200")
	for name, tt := range map[string]struct {
		below               string
		footer, quarantined int64
	}{
		"extremes with their times":  {"Min;2025-03-14 12:00:00;3.5;1200\nMax;2025-03-14 12:07:00;3.5;1200\n", 2, 0},
		"one column short":           {"Maximum;2025-03-14 12:07:00;3.5\n", 1, 0},
		"in German":                  {"Höchstwert:;2025-03-14 12:07:00;3.5;1200\n", 1, 0},
		"a word that is no summary":  {"Probe 2;2025-03-14 12:31:00;3.5;1200\n", 0, 1},
		"a word and one number":      {"Probe 2;2025-03-14 12:31:00;3.5\n", 0, 1},
		"stray data among a footer":  {"Printed by hand\nProbe 2;2025-03-14 12:31:00;3.5;1200\nEnd of log\n", 2, 1},
		"a time without any numbers": {"Printed;2025-03-14 12:31:00\n", 1, 0},
	} {
		r := readBytes(t, []byte(body+tt.below), logtest.InZone(time.UTC))
		if r.Lines.Data != 30 || r.Lines.Footer != tt.footer || r.Lines.Quarantined != tt.quarantined {
			t.Errorf("%s: %+v, want %d of the footer, %d quarantined", name, r.Lines, tt.footer, tt.quarantined)
		}
	}
}

// Where a column says of each line what it is, the lines of extremes and sums are no
// readings, wherever they stand; means are, unless they stand below others.
func TestLinesLabelledAsSummaries(t *testing.T) {
	labelled := func(labels ...string) string {
		return logtest.Thirty("Kind;Time;Power [W]", func(i int) string {
			return fmt.Sprintf("%s;2025-03-14 12:%02d:00;1200", labels[i%len(labels)], i)
		})
	}
	for name, tt := range map[string]struct {
		file              string
		data, quarantined int64
	}{
		"actual values":                {labelled("Act"), 30, 0},
		"means":                        {labelled("Mean"), 30, 0},
		"actual values and extremes":   {labelled("Act", "Act", "Max", "Min", "Act"), 18, 12},
		"extremes below actual values": {labelled("Act") + "Max;2025-03-14 12:03:00;1200\nMean;2025-03-14 12:03:00;1200\n", 30, 2},
	} {
		r := readBytes(t, []byte(tt.file), logtest.InZone(time.UTC))
		if r.Lines.Data != tt.data || r.Lines.Quarantined != tt.quarantined {
			t.Errorf("%s: %+v, want %d of data, %d quarantined", name, r.Lines, tt.data, tt.quarantined)
		}
	}
}

// What a spreadsheet or a browser saved under a name that ends in .csv is refused as what
// it is, with the remedy.
func TestTablesThatAreNoTextAreRefused(t *testing.T) {
	cells := strings.Repeat("<tr><td>2025-03-14 12:00:00</td><td>2.5</td></tr>\n", 30)
	for name, tt := range map[string]struct{ file, what string }{
		"a page":               {"<html><body><table>\n" + cells, "a web page"},
		"a page, declared":     {"<!DOCTYPE html>\n<table>\n" + cells, "a web page"},
		"a table alone":        {"\n<TABLE border=1>\n" + cells, "a web page"},
		"a head":               {"\uFEFF<head><meta charset=utf-8></head>\n" + cells, "a web page"},
		"a web archive":        {"MIME-Version: 1.0\nContent-Type: multipart/related\n" + cells, "a web archive"},
		"a spreadsheet":        {"PK\x03\x04" + cells, "a spreadsheet"},
		"an old spreadsheet":   {"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1" + cells, "a spreadsheet"},
		"a spreadsheet in XML": {"<?xml version=\"1.0\"?>\n<Workbook>\n" + cells, "an XML file"},
	} {
		r := readBytes(t, []byte(tt.file), logtest.InZone(time.UTC))
		u := r.Understanding
		if !strings.Contains(u.Unreadable, tt.what) || !strings.Contains(u.Remedy, "as CSV") || r.Lines.Quarantined != r.Lines.All || r.Values.Stored != 0 {
			t.Errorf("%s: %q, %q, %+v", name, u.Unreadable, u.Remedy, r.Lines)
		}
	}
}

// A row that says how the time is written is one of units, even above a single line.
func TestUnitsInBracketsAboveASingleLine(t *testing.T) {
	for _, pattern := range []string{"[YYYY-MM-DD hh:mm:ss]", "yyyy-MM-dd HH:mm:ss", "[JJJJ-MM-TT hh:mm:ss]", ""} {
		file := "Time;Suction pressure;Power\n" + pattern + ";[bar(g)];[kW]\n2025-03-14 12:00:00;2.50;3.4\n"
		r := readBytes(t, []byte(file), answers.Answers{})
		var b strings.Builder
		if err := WriteValues(&b, r.Parts); err != nil {
			t.Fatal(err)
		}
		if want := "time,suction_pressure_kpa,power_kw\n2025-03-14T12:00:00Z,351.325,3.400\n"; b.String() != want {
			t.Errorf("%s: %s, want %s", pattern, b.String(), want)
		}
	}
}
