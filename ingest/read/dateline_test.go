package read

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/logtest"
	"rimelog/ingest/naming"
)

// sessions is a log of two days, twenty lines each, a line every six minutes from ten
// and from noon on, with a text between.
func sessions(head, between string) string {
	half := func(hour int) string {
		return lines("", 20, func(i int) string { return fmt.Sprintf("%02d:%02d;%d.5\n", hour+i/10, i%10*6, i) })
	}
	return head + half(10) + between + half(12)
}

// Lines between those of a log of times of day say of which date they are. They were
// once taken for text, and the times below them for those of the day above.
func TestLinesBetweenTimesOfDaySayTheDate(t *testing.T) {
	first, second := time.Date(2025, 3, 14, 10, 0, 0, 0, time.UTC), time.Date(2025, 3, 17, 12, 0, 0, 0, time.UTC)
	want := append(logtest.Every(6*time.Minute, first, 20), logtest.Every(6*time.Minute, second, 20)...)
	header := "Time;Suction temp [°C]\n"
	for name, file := range map[string]string{
		"with its name":          sessions("Date: 14/03/2025\n"+header, "Date: 17/03/2025\n"),
		"with the header":        sessions("Date: 14/03/2025\n"+header, "Date: 17/03/2025\n"+header),
		"in a comment":           sessions("# 2025-03-14\n"+header, "# 2025-03-17\n"),
		"alone":                  sessions("14.03.2025\n"+header, "17.03.2025\n"),
		"between stars":          sessions("*** 14 March 2025 ***\n"+header, "*** Mon 17 March 2025 ***\n"),
		"in the column of times": sessions(header+"14.03.2025;\n", "17.03.2025;\n"),
		"as a start":             sessions("Gestartet am: 14.03.2025 10:00\nStart: 14.03.2025\n"+header, "Start: 17.03.2025\n"),
	} {
		t.Run(name, func(t *testing.T) { wantTimes(t, readBytes(t, []byte(file), logtest.InZone(time.UTC)), want) })
	}
}

// What only may say the date of the lines below puts them in doubt.
func TestADateThatMayBeThatOfTheLinesBelow(t *testing.T) {
	for name, between := range map[string]string{
		"of another day":   "battery changed, 17/03/2025\n",
		"of a day before":  "Date: 13/03/2025\n",
		"in either order":  "Date: 03/04/2025\n",
		"of a calibration": "calibrated 20.01.2024\n",
	} {
		r := readBytes(t, []byte(sessions("Date: 14/03/2025\nTime;Suction temp [°C]\n", between)), logtest.InZone(time.UTC))
		if q := r.Understanding.Quarantined; r.Lines.Data != 20 || len(q) == 0 || !strings.Contains(q[len(q)-1].Reason, "not sure") {
			t.Errorf("%s: %+v %+v", name, r.Lines, q)
		}
	}
	// the same day, or the next past midnight, changes nothing
	for _, between := range []string{"door opened 14/03/2025\n", "Date: 14/03/2025\n"} {
		r := readBytes(t, []byte(sessions("Date: 14/03/2025\nTime;Suction temp [°C]\n", between)), logtest.InZone(time.UTC))
		if r.Lines.Data != 40 {
			t.Errorf("%q: %+v", between, r.Lines)
		}
	}
}

// A count of seconds that begins again below another start counts from that; one that
// goes on puts the lines in doubt.
func TestAnotherStartOfElapsedTime(t *testing.T) {
	count := func(from int) string {
		return lines("", 20, func(i int) string { return fmt.Sprintf("%d;%d.5\n", from+5*i, i) })
	}
	head, again := "Start;14.03.2025 12:00:00\nElapsed [s];Suction temp [°C]\n", "Start;15.03.2025 09:00:00\n"
	want := append(logtest.Every(5*time.Second, time.Date(2025, 3, 14, 12, 0, 0, 0, time.UTC), 20), logtest.Every(5*time.Second, time.Date(2025, 3, 15, 9, 0, 0, 0, time.UTC), 20)...)
	wantTimes(t, readBytes(t, []byte(head+count(0)+again+count(0)), logtest.InZone(time.UTC)), want)
	r := readBytes(t, []byte(head+count(0)+again+count(100)), logtest.InZone(time.UTC))
	if q := r.Understanding.Quarantined; r.Lines.Data != 20 || len(q) != 1 || !strings.Contains(q[0].Reason, "another start") {
		t.Errorf("%+v %+v", r.Lines, q)
	}
}

// What stands between the names of the columns and the data hides neither.
func TestLinesBetweenNamesAndData(t *testing.T) {
	row := func(i int) string { return fmt.Sprintf("2025-03-25 12:%02d:00;%d.5;\n", i, i) }
	for name, head := range map[string]string{
		"a rule":                             "Time;Suction temp [°C];Alarm\n---------;------;-----\n",
		"limits":                             "Time;Suction temp [°C];Alarm\nLow limit;-20;\nHigh limit;30;\n",
		"a date":                             "Time;Suction temp [°C];Alarm\n*** 25.03.2025 ***\n",
		"a line with a cell more":            "Time;Suction temp [°C];Alarm\n2025-03-25 11:59:00;0.5;high; door\n",
		"nothing, and a column never filled": "Time;Suction temp [°C];Alarm\n",
	} {
		r := readBytes(t, []byte(lines(head, 30, row)), logtest.InZone(time.UTC))
		if v := fixed(t, r, "suction_temp_c"); len(v) != 30 || v[3] != 3500 || r.Lines.Header != 1 {
			t.Errorf("%s: %d values, %+v", name, len(v), r.Lines)
		}
	}
}

// A remark of keys and values stands behind the unit.
func TestUnitBeforeARemark(t *testing.T) {
	if got := naming.Read("Temp, °F (no: 4, label: suction)"); got.Label != "°F" || !slices.Contains(got.Words, "suction") {
		t.Errorf("%+v", got)
	}
}
