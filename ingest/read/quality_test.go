package read

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/logtest"
)

// A value that its logger calls bad is not taken; the status of the machine says nothing
// of the values.
func TestValuesThatTheirLoggerCallsBad(t *testing.T) {
	wide := func(header, bad string) string {
		return lines(header, 30, func(i int) string {
			word := "Good"
			if i == 7 {
				word = bad
			}
			return fmt.Sprintf("2025-03-25 12:%02d:00;%d.5;%s;30.5;Good\n", i, i%9, word)
		})
	}
	long := lines("Tag;Time;Value;Quality\n", 60, func(i int) string {
		word := "Good"
		if i == 14 {
			word = "Bad"
		}
		return fmt.Sprintf("%s;2025-03-25 12:%02d:00;%d.5;%s\n", []string{"Suction temp [°C]", "Liquid temp [°C]"}[i%2], i/2, i%9, word)
	})
	for name, c := range map[string]struct {
		file    string
		refused int64
	}{
		"quality":               {wide("Time;Suction temp [°C];Quality;Liquid temp [°C];Quality\n", "Bad"), 1},
		"named by channel":      {wide("Time;Suction temp [°C];Suction temp status;Liquid temp [°C];Liquid temp status\n", "Fault"), 1},
		"status of the machine": {wide("Time;Suction temp [°C];Remark;Liquid temp [°C];Status\n", "Fault"), 0},
		"a line for each value": {long, 1},
	} {
		r := readBytes(t, []byte(c.file), logtest.InZone(time.UTC))
		if r.Lines.Quarantined > 0 || r.Values.Refused != c.refused || r.Lines.Data == 0 {
			t.Errorf("%s: %+v %+v", name, r.Lines, r.Values)
		}
		at := r.Parts[0].Samples.Valid("suction_temp_c")
		if taken := at.At(7); taken != (c.refused == 0) {
			t.Errorf("%s: the bad value is taken: %v", name, taken)
		}
	}
}

// A line for each day with a column for each of its times gives no sample at midnight.
func TestTablesOfWholeDays(t *testing.T) {
	for name, head := range map[string]func(k int) string{
		"quarters": func(k int) string { return fmt.Sprintf("%02d:%02d", k/4, k%4*15) },
		"hours":    func(k int) string { return fmt.Sprintf("H%d", k+1) },
		"numbers":  func(k int) string { return fmt.Sprint(k) },
	} {
		file := "Date"
		for k := range 24 {
			file += ";" + head(k)
		}
		file = lines(file+"\n", 10, func(i int) string { return fmt.Sprintf("%02d.03.2025%s\n", 14+i, strings.Repeat(";1.5", 24)) })
		if r := readBytes(t, []byte(file), logtest.InZone(time.UTC)); r.Values.Stored != 0 || !strings.Contains(r.Understanding.Unreadable, "whole day") {
			t.Errorf("%s: %+v %q", name, r.Values, r.Understanding.Unreadable)
		}
	}
	file := "Date"
	for k := range 24 {
		file += fmt.Sprintf(";T%d [°C]", k+1)
	}
	file = lines(file+"\n", 10, func(i int) string { return fmt.Sprintf("%02d.03.2025%s\n", 14+i, strings.Repeat(";1.5", 24)) })
	if r := readBytes(t, []byte(file), logtest.InZone(time.UTC)); r.Values.Stored != 240 {
		t.Errorf("24 sensors: %+v %q", r.Values, r.Understanding.Unreadable)
	}
}
