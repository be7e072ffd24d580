package read

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/clock"
	"rimelog/ingest/logtest"
)

// dated is a file with a line every ten minutes, whose times stand in a layout. Its
// values are invented.
func dated(header string, from time.Time, step time.Duration, text func(time.Time) string) []byte {
	var b strings.Builder
	b.WriteString(header + ";Suction temp [°C]\n")
	for _, at := range logtest.Every(step, from, 40) {
		b.WriteString(text(at) + ";2.5\n")
	}
	return []byte(b.String())
}

// Which of six digits are the year is open: the file's own days settle it, or a person
// does. The layouts are common practice, no source.
func TestDatesOfSixDigits(t *testing.T) {
	from := time.Date(2025, 3, 14, 22, 0, 0, 0, time.UTC)
	for layout, header := range map[string]string{
		"060102;15:04:05": "Date;Time", "020106;15:04:05": "Date;Time", "010206;15:04:05": "Date;Time", "060102;15:04": "Datum;Zeit", "060102;150405": "Date;Time",
		"060102;15.04": "Date;Time", "15:04:05;060102": "Time;Date",
		"060102 150405": "Time", "020106_150405": "Time",
	} {
		text := func(at time.Time) string { return at.Format(layout) }
		r := readBytes(t, dated(header, from, 10*time.Minute, text), logtest.InZone(time.UTC))
		wantTimes(t, r, logtest.Every(10*time.Minute, from, 40))
		if strings.HasPrefix(layout, "01") {
			continue // of the fourteenth, only one order is left
		}
		r = readBytes(t, dated(header, from, time.Minute, text), logtest.InZone(time.UTC))
		if r.Values.Stored != 0 || len(r.Understanding.OpenQuestions) != 1 || !strings.Contains(r.Understanding.OpenQuestions[0].Question, "order of its dates") {
			t.Errorf("%s within a day: %+v %+v", layout, r.Values, r.Understanding.OpenQuestions)
		}
	}
}

// The days of ISO 8601-1:2019, 5.2.3: 2025-073 is 14 March, the 31 + 28 + 14th day;
// 2024-366 ends a leap year.
func TestDaysOfTheYear(t *testing.T) {
	for text, want := range map[string]string{"2025-073": "2025-03-14", "2024-060": "2024-02-29", "2024-366": "2024-12-31", "2025-366": "", "2025-000": "", "2025-0731": "", "1825-073": "", "2025-073-1": ""} {
		s, ok := clock.ParseStamp([]byte(text))
		got := ""
		if days, fits := s.Days(clock.YearFirst); ok && fits {
			got = time.Unix(days*86400, 0).UTC().Format(time.DateOnly)
		}
		if got != want {
			t.Errorf("%s is %q, want %q", text, got, want)
		}
	}
	from := time.Date(2025, 3, 14, 22, 0, 0, 0, time.UTC)
	for layout, header := range map[string]string{"2006-002 15:04:05": "Time", "2006-002T15:04:05": "Time", "2006-002;15:04:05": "Date;Time", "2006-002;15:04": "DOY;Time"} {
		r := readBytes(t, dated(header, from, 10*time.Minute, func(at time.Time) string { return at.Format(layout) }), logtest.InZone(time.UTC))
		wantTimes(t, r, logtest.Every(10*time.Minute, from, 40))
	}
}

// A date in a form that nobody knows is asked for, though the preamble says one: that
// one holds for the first lines only. A number of a batch is no date.
func TestADateThatCannotBeReadIsAskedFor(t *testing.T) {
	from := time.Date(2025, 3, 14, 22, 0, 0, 0, time.UTC)
	for layout, header := range map[string]string{"2006002;15:04:05": "Date;Time", "2006;002;15:04": "Year;DOY;Time", "002;15:04": "Day;Time", "2006-002;15:04": "Batch;Time"} {
		file := dated("Date: 2025-03-14\n"+header, from, 10*time.Minute, func(at time.Time) string { return at.Format(layout) })
		r := readBytes(t, file, logtest.InZone(time.UTC))
		if header == "Batch;Time" {
			wantTimes(t, r, logtest.Every(10*time.Minute, from, 40)) // the day that the preamble says, and the next
			continue
		}
		if r.Values.Stored != 0 || len(r.Understanding.OpenQuestions) != 1 || !strings.Contains(r.Understanding.OpenQuestions[0].Question, "seems to hold the date") {
			t.Errorf("%s: %+v %+v", header, r.Values, r.Understanding.OpenQuestions)
		}
	}
	if _, ok := clock.FindStamp("Serial no. 2025-073"); ok {
		t.Error("a serial number in the preamble is taken for a date")
	}
}

// Of the begin and the end of an interval the first counts; the other is kept among the
// extras, and the evidence says so. Common practice, no source.
func TestBeginAndEndOfAnInterval(t *testing.T) {
	from := time.Date(2025, 3, 14, 22, 0, 0, 0, time.UTC)
	for header, layouts := range map[string][2]string{
		"Begin;End":     {"2006-01-02 15:04:05", "2006-01-02 15:04:05"},
		"Date;From;To":  {"2006-01-02;15:04:05", "15:04:05"},
		"Start;End day": {"2006-01-02 15:04:05", "2006-01-02"},
	} {
		r := readBytes(t, dated(header, from, 10*time.Minute, func(at time.Time) string {
			return at.Format(layouts[0]) + ";" + at.Add(10*time.Minute).Format(layouts[1])
		}), logtest.InZone(time.UTC))
		wantTimes(t, r, logtest.Every(10*time.Minute, from, 40))
		said := func(list []string) bool {
			return slices.ContainsFunc(list, func(why string) bool { return strings.Contains(why, "the first counts") })
		}
		var all []string
		for _, e := range r.Understanding.Evidence {
			all = append(all, e.Evidence)
		}
		columns := r.Understanding.Columns
		if end := columns[len(columns)-2]; !said(all) || !said(end.Evidence) || end.Channel != "extra" || end.Stored != 40 {
			t.Errorf("%s: %v %+v", header, all, end)
		}
	}
}

// The weeks of ISO 8601-1:2019, 5.2.4, by the standard library's ISOWeek for each day of
// 40 years, and a week that a year does not have.
func TestDaysOfTheWeek(t *testing.T) {
	for at := time.Date(1999, 12, 20, 0, 0, 0, 0, time.UTC); at.Year() < 2040; at = at.AddDate(0, 0, 1) {
		year, week := at.ISOWeek()
		weekday := (int(at.Weekday())+6)%7 + 1
		for _, layout := range []string{"%d-W%02d-%d", "%dW%02d%d"} {
			text := fmt.Sprintf(layout, year, week, weekday)
			s, ok := clock.ParseStamp([]byte(text))
			days, fits := s.Days(clock.YearFirst)
			if !ok || !fits || days*86400 != at.Unix() {
				t.Fatalf("%s is day %d, %v, want %s", text, days, ok, at.Format(time.DateOnly))
			}
		}
	}
	for _, text := range []string{"2025-W53-1", "2025-W00-1", "2025-W11-8", "2025-W11-0", "2025-W1-1", "2025W1-11", "2025-W111", "1925-W11-1"} {
		if s, ok := clock.ParseStamp([]byte(text)); ok && s.HasDate {
			t.Errorf("%s is read as a date", text)
		}
	}
	from := time.Date(2025, 3, 16, 22, 0, 0, 0, time.UTC) // over the end of week 11
	r := readBytes(t, dated("Time", from, 10*time.Minute, func(at time.Time) string {
		year, week := at.ISOWeek()
		return fmt.Sprintf("%d-W%02d-%dT%s", year, week, (int(at.Weekday())+6)%7+1, at.Format(time.TimeOnly))
	}), logtest.InZone(time.UTC))
	wantTimes(t, r, logtest.Every(10*time.Minute, from, 40))
}

// Ten digits are a date and a time of day where they cannot count seconds since 1970;
// they were once taken for those, twenty years ahead.
func TestDatesAndTimesInDigits(t *testing.T) {
	from := time.Date(2025, 3, 14, 22, 0, 0, 0, time.UTC)
	for _, layout := range []string{"0601021504", "0201061504", "060102150405", "020106150405", "020120061504", "02012006150405", "010220061504", "200601021504", "20060102150405"} {
		text := func(at time.Time) string { return at.Format(layout) }
		r := readBytes(t, dated("Time", from, 10*time.Minute, text), logtest.InZone(time.UTC))
		wantTimes(t, r, logtest.Every(10*time.Minute, from, 40))
	}
	seconds := func(at time.Time) string { return fmt.Sprint(at.Unix()) }
	for _, step := range []time.Duration{time.Second, 10 * time.Second, 100 * time.Second, time.Hour} {
		wantTimes(t, readBytes(t, dated("Time", from, step, seconds), logtest.InZone(time.UTC)), logtest.Every(step, from, 40))
	}
	r := readBytes(t, dated("Time", from, time.Minute, func(at time.Time) string { return at.Format("0601021504") }), logtest.InZone(time.UTC))
	if q := r.Understanding.OpenQuestions; r.Values.Stored != 0 || len(q) != 1 || !strings.Contains(q[0].Question, "order of its dates") {
		t.Errorf("within a day: %+v %+v", r.Values, q)
	}
}

// A spreadsheet shows long numbers in narrow columns without their last digits.
func TestTimesWithoutTheirLastDigits(t *testing.T) {
	from := time.Date(2025, 3, 14, 22, 0, 0, 0, time.UTC)
	r := readBytes(t, dated("ts", from, time.Minute, func(at time.Time) string { return fmt.Sprintf("%.5E", float64(at.UnixMilli())) }), logtest.InZone(time.UTC))
	if r.Values.Stored != 0 {
		t.Errorf("%+v", r.Values)
	}
	whole := func(at time.Time) string { return fmt.Sprintf("%.9E", float64(at.Unix())) }
	wantTimes(t, readBytes(t, dated("ts", from, time.Minute, whole), logtest.InZone(time.UTC)), logtest.Every(time.Minute, from, 40))
}

// Unicode CLDR 44 has no locale that writes a year of two digits before a month's name.
func TestYearsOfTwoDigitsBehindAMonthsName(t *testing.T) {
	from := time.Date(2025, 3, 14, 12, 0, 0, 0, time.UTC)
	for _, layout := range []string{"02-Jan-06 15:04:05", "2-Jan-06 3:04:05 PM", "02 Jan 06 15:04"} {
		r := readBytes(t, dated("Time", from, time.Minute, func(at time.Time) string { return at.Format(layout) }), logtest.InZone(time.UTC))
		wantTimes(t, r, logtest.Every(time.Minute, from, 40))
	}
}

// A spreadsheet of another country swaps day and month where it can: 4 March becomes 3
// April, the 14th stays. The days that stay once proved an order that was not the others'.
func TestDatesThatASpreadsheetSwapped(t *testing.T) {
	from := time.Date(2025, 3, 1, 3, 0, 0, 0, time.UTC)
	swapped := func(at time.Time) string {
		if at.Day() > 12 {
			return at.Format("02/01/2006 15:04")
		}
		return at.Format("01/02/2006 15:04")
	}
	r := readBytes(t, dated("Time", from, 10*time.Hour, swapped), logtest.InZone(time.UTC))
	if q := r.Understanding.OpenQuestions; r.Values.Stored != 0 || len(q) != 1 || !strings.Contains(q[0].Question, "swapped") {
		t.Errorf("%+v %+v", r.Values, q)
	}
	for _, layout := range []string{"02/01/2006 15:04", "01/02/2006 15:04"} {
		for _, step := range []time.Duration{time.Hour, 10 * time.Hour, 25 * time.Hour, 24 * time.Hour} {
			r := readBytes(t, dated("Time", from, step, func(at time.Time) string { return at.Format(layout) }), logtest.InZone(time.UTC))
			wantTimes(t, r, logtest.Every(step, from, 40))
		}
	}
}

// The beginning of an interval is the time of its line.
func TestIntervalsInOneCell(t *testing.T) {
	from := time.Date(2025, 3, 14, 22, 0, 0, 0, time.UTC)
	for header, form := range map[string][3]string{
		"Interval":  {"02.01.2006 15:04", " - ", "02.01.2006 15:04"},
		"Period":    {"2006-01-02 15:04:05", " – ", "15:04:05"},
		"Von bis":   {"02.01.2006 15:04:05", " bis ", "02.01.2006 15:04:05"},
		"Time":      {"2006-01-02T15:04Z", "/", "2006-01-02T15:04Z"},
		"Date;Time": {"02.01.2006;15:04", "-", "15:04"},
	} {
		text := func(at time.Time) string {
			return at.Format(form[0]) + form[1] + at.Add(10*time.Minute).Format(form[2])
		}
		r := readBytes(t, dated(header, from, 10*time.Minute, text), logtest.InZone(time.UTC))
		wantTimes(t, r, logtest.Every(10*time.Minute, from, 40))
		if !strings.Contains(fmt.Sprint(r.Understanding.Evidence), "the beginning counts") {
			t.Errorf("%s: %v", header, r.Understanding.Evidence)
		}
	}
}

// Blanks part the dash and the end of an interval from its beginning. A header of as many
// words as there are cells is not one name a cell then.
func TestIntervalsBetweenBlanks(t *testing.T) {
	for _, header := range []string{
		"Data Ora                Umidità esterna (%)     Energia (kWh)  Temperatura liquido (°F)  Corrente (A)  Potenza (W)\n",
		"Data  Ora               Umidità esterna (%)     Energia (kWh)  Temperatura liquido (°F)  Corrente (A)  Potenza (W)\n",
	} {
		file := lines(header, 40, func(i int) string {
			return fmt.Sprintf("2025-06-27 16:%02d:02 - 16:%02d:02  61.4      12400.%d    91.0   6.54   %d\n", i, i+1, i%10, 1200+i)
		})
		r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
		wantTimes(t, r, logtest.Every(time.Minute, time.Date(2025, 6, 27, 16, 0, 2, 0, time.UTC), 40))
		if got, _ := r.Parts[0].Samples.Fixed32("outdoor_humidity_pct"); len(got) != 40 || got[3] != 61400 {
			t.Errorf("%q: humidity %v, want 61.4 %%", header, got)
		}
	}
}
