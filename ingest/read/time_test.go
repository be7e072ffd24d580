package read

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/answers"
	"rimelog/ingest/logtest"
	"rimelog/ingest/pass"
	"rimelog/pipeline/register"
)

func berlin(t *testing.T) *time.Location { return zoneNamed(t, "Europe/Berlin") }

func zoneNamed(t *testing.T, name string) *time.Location {
	t.Helper()
	loc, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

// wantTimes compares the samples' times with what was written.
func wantTimes(t *testing.T, r pass.Reading, want []time.Time) {
	t.Helper()
	got := r.Parts[0].Samples.Times("time")
	if len(got) != len(want) {
		t.Fatalf("%d samples, want %d: %+v", len(got), len(want), r.Understanding)
	}
	for i := range want {
		if got[i] != want[i].UnixMicro() {
			t.Fatalf("sample %d at %v, want %v: %+v", i, time.UnixMicro(got[i]).UTC(), want[i].UTC(), r.Understanding.Time)
		}
	}
}

// Clock changes of 2025, from the IANA time zone database: Europe/Berlin on 30
// March and 26 October at 01:00 UTC, America/Chicago on 9 March at 08:00 and 2
// November at 07:00 UTC, Australia/Lord_Howe (half an hour) on 6 April at 15:00 UTC.
func TestTheRepeatedHourIsToldApart(t *testing.T) {
	for _, c := range []struct {
		zone string
		at   time.Time
	}{
		{"Europe/Berlin", time.Date(2025, 10, 26, 1, 0, 0, 0, time.UTC)},
		{"America/Chicago", time.Date(2025, 11, 2, 7, 0, 0, 0, time.UTC)},
		{"Australia/Lord_Howe", time.Date(2025, 4, 5, 15, 0, 0, 0, time.UTC)},
	} {
		loc := zoneNamed(t, c.zone)
		want := logtest.Every(5*time.Minute, c.at.Add(-3*time.Hour).In(loc), 72)
		wantTimes(t, readBytes(t, []byte(logtest.ClockFile(logtest.ISO, want)), logtest.InZone(loc)), want)
	}
}

func TestTheSkippedHourIsCrossed(t *testing.T) {
	for _, c := range []struct {
		zone string
		at   time.Time
	}{
		{"Europe/Berlin", time.Date(2025, 3, 30, 1, 0, 0, 0, time.UTC)},
		{"America/Chicago", time.Date(2025, 3, 9, 8, 0, 0, 0, time.UTC)},
	} {
		loc := zoneNamed(t, c.zone)
		want := logtest.Every(5*time.Minute, c.at.Add(-3*time.Hour).In(loc), 72)
		wantTimes(t, readBytes(t, []byte(logtest.ClockFile(logtest.ISO, want)), logtest.InZone(loc)), want)
	}
}

// A logger that does not switch shows hours that the zone skipped, or runs through
// the doubled hour once: the file proves it, and is read at the offset it kept.
func TestALoggerThatDoesNotSwitchIsFoundOut(t *testing.T) {
	winter, summer := time.FixedZone("", 3600), time.FixedZone("", 7200)
	spring := logtest.Every(5*time.Minute, time.Date(2025, 3, 30, 0, 0, 0, 0, winter), 72)
	r := readBytes(t, []byte(logtest.ClockFile(logtest.ISO, spring)), logtest.InZone(berlin(t)))
	wantTimes(t, r, spring)
	if !strings.Contains(r.Understanding.Time.ZoneEvidence, "skipped") {
		t.Errorf("evidence %q", r.Understanding.Time.ZoneEvidence)
	}
	autumn := logtest.Every(5*time.Minute, time.Date(2025, 10, 26, 0, 0, 0, 0, summer), 72)
	r = readBytes(t, []byte(logtest.ClockFile(logtest.ISO, autumn)), logtest.InZone(berlin(t)))
	wantTimes(t, r, autumn)
	if !strings.Contains(r.Understanding.Time.ZoneEvidence, "without showing it twice") {
		t.Errorf("evidence %q", r.Understanding.Time.ZoneEvidence)
	}
}

func TestAFileWithinTheDoubledHourIsNotGuessed(t *testing.T) {
	times := logtest.Every(time.Minute, time.Date(2025, 10, 26, 0, 10, 0, 0, time.UTC).In(berlin(t)), 40)
	r := readBytes(t, []byte(logtest.ClockFile(logtest.ISO, times)), logtest.InZone(berlin(t)))
	if r.Lines.Data != 0 || r.Lines.Quarantined != 40 {
		t.Errorf("%+v", r.Lines)
	}
}

func TestZonesByEvidence(t *testing.T) {
	want := logtest.Every(time.Minute, time.Date(2025, 5, 25, 10, 0, 0, 0, time.UTC), 30)
	plus1 := time.FixedZone("", 3600)
	local := make([]time.Time, len(want))
	for i := range want {
		local[i] = want[i].In(plus1)
	}
	file := logtest.ClockFile(logtest.ISO, local)
	for _, c := range []struct {
		name, file string
		a          answers.Answers
		evidence   string
	}{
		{"preamble", "Logger: L1\nTime zone: UTC+1\n" + file, logtest.InZone(berlin(t)), "the preamble says UTC+1"},
		{"header", strings.Replace(file, "Date Time", "Date Time, GMT+01:00", 1), logtest.InZone(berlin(t)), "the header"},
		{"abbreviation of the site", "Logger: L1\nTime zone: BST\n" + file, logtest.InZone(zoneNamed(t, "Europe/London")), "BST, which is a time of Europe/London"},
		{"register row", file, answers.Answers{Systems: []answers.System{{ID: "CR-01", Altitude: 0, Rows: []register.Channel{{Column: "Date Time", Channel: "time", Unit: "UTC+01:00", Line: 3}}}}}, "channels.csv line 3"},
	} {
		r := readBytes(t, []byte(c.file), c.a)
		wantTimes(t, r, want)
		if !strings.Contains(r.Understanding.Time.ZoneEvidence, c.evidence) {
			t.Errorf("%s: evidence %q", c.name, r.Understanding.Time.ZoneEvidence)
		}
	}
}

// An unknown zone limits the data, it does not keep them out: the clock is taken as
// UTC, and that is said.
func TestAnUnknownZoneIsSaidAndAskedFor(t *testing.T) {
	times := logtest.Every(time.Minute, logtest.Noon, 10)
	r := readBytes(t, []byte(logtest.ClockFile(logtest.ISO, times)), logtest.InZone(nil))
	wantTimes(t, r, times)
	q := r.Understanding.OpenQuestions
	if len(q) != 1 || q[0].Waits || !strings.Contains(q[0].RegisterLine, "Date Time,time,,Europe/Berlin") {
		t.Errorf("%+v", q)
	}
	if !strings.Contains(r.Understanding.Time.ZoneEvidence, "not known") {
		t.Errorf("evidence %q", r.Understanding.Time.ZoneEvidence)
	}
}

func TestTwelveHoursWithoutHalvesAreRefused(t *testing.T) {
	times := logtest.Every(10*time.Minute, time.Date(2025, 3, 25, 10, 0, 0, 0, time.UTC), 40)
	wantRefused(t, readBytes(t, []byte(logtest.ClockFile("02.01.2006 03:04:05", times)), logtest.InZone(time.UTC)), "without AM or PM")
}

func TestTimeOfDayWithTheDateInThePreamble(t *testing.T) {
	times := logtest.Every(10*time.Minute, time.Date(2025, 3, 25, 22, 0, 0, 0, time.UTC), 30)
	file := "Date: 25.03.2025\n" + logtest.ClockFile("15:04:05", times)
	wantTimes(t, readBytes(t, []byte(file), logtest.InZone(time.UTC)), times)
	a := logtest.InZone(time.UTC)
	a.Days = answers.NameDays("CR-01/2025-03-25 visit.csv")
	wantTimes(t, readBytes(t, []byte(logtest.ClockFile("15:04:05", times)), a), times)
	wantRefused(t, readBytes(t, []byte(logtest.ClockFile("15:04:05", times)), logtest.InZone(time.UTC)), "times of day only")
}

func TestTheDatePrintedOnlyWhenItChanges(t *testing.T) {
	times := logtest.Every(time.Hour, time.Date(2025, 3, 25, 20, 0, 0, 0, time.UTC), 30)
	var b strings.Builder
	b.WriteString("Date;Time;Power [W]\n")
	last := ""
	for i, u := range times {
		d := u.Format("02.01.2006")
		if d == last {
			d = ""
		} else {
			last = d
		}
		fmt.Fprintf(&b, "%s;%s;%d\n", d, u.Format("15:04:05"), i)
	}
	wantTimes(t, readBytes(t, []byte(b.String()), logtest.InZone(time.UTC)), times)
}

func TestElapsedTimeCountsFromThePreamble(t *testing.T) {
	start := time.Date(2025, 5, 25, 11, 5, 54, 0, time.UTC)
	times := logtest.Every(2500*time.Millisecond, start.Add(500*time.Millisecond), 30)
	var seconds, elapsed strings.Builder
	seconds.WriteString("Started: 2025-05-25 12:05:54\nElapsed [s];Power [W]\n")
	elapsed.WriteString("Started: 2025-05-25 12:05:54\nElapsed;Power [W]\n")
	for i, u := range times {
		d := u.Sub(start)
		fmt.Fprintf(&seconds, "%.1f;%d\n", d.Seconds(), i)
		fmt.Fprintf(&elapsed, "%02d:%02d:%04.1f;%d\n", int(d.Hours()), int(d.Minutes())%60, math.Mod(d.Seconds(), 60), i)
	}
	london := logtest.InZone(zoneNamed(t, "Europe/London"))
	wantTimes(t, readBytes(t, []byte(seconds.String()), london), times)
	wantTimes(t, readBytes(t, []byte(elapsed.String()), london), times)
	_, file, _ := strings.Cut(seconds.String(), "\n")
	for _, name := range []string{"CR-01/2025-05-25_12-05-54.csv", "run 20250525T120554.txt", "x_2025.05.25 12h05m54.csv"} {
		byName := london
		byName.Start = answers.NameStart(name)
		wantTimes(t, readBytes(t, []byte(file), byName), times)
	}
	if s := answers.NameStart("CR-01/2025-05-25.csv"); s.HasTime {
		t.Errorf("a date alone is no start: %+v", s)
	}
	wantRefused(t, readBytes(t, []byte(file), london), "nothing says from when")
}

func TestAClockThatWasNotSetIsRefused(t *testing.T) {
	times := append(logtest.Every(time.Minute, time.Date(1970, 1, 1, 0, 0, 0, 0, time.UTC), 5), logtest.Every(time.Minute, logtest.Noon, 10)...)
	r := readBytes(t, []byte(logtest.ClockFile(logtest.ISO, times)), logtest.InZone(time.UTC))
	wantTimes(t, r, times[5:])
	if r.Lines.Quarantined != 5 || !strings.Contains(r.Understanding.Quarantined[0].Reason, "clock was not set") {
		t.Errorf("%+v %+v", r.Lines, r.Understanding.Quarantined)
	}
}

func TestDescendingAndDoubledTimes(t *testing.T) {
	times := logtest.Every(time.Minute, logtest.Noon, 10)
	slices.Reverse(times)
	r := readBytes(t, []byte(logtest.ClockFile(logtest.ISO, times)), logtest.InZone(time.UTC))
	slices.Reverse(times)
	wantTimes(t, r, times)
	doubled := append(slices.Clone(times), times[9])
	r = readBytes(t, []byte(logtest.ClockFile(logtest.ISO, doubled)), logtest.InZone(time.UTC))
	wantTimes(t, r, times)
	if r.Values.Duplicates != 1 || r.Values.Stored != 10 {
		t.Errorf("%+v", r.Values)
	}
	if p, _ := r.Parts[0].Samples.Fixed32("power_kw"); p[9] != 1010 {
		t.Errorf("of two lines for one time %d counts, want the later one's 1010", p[9])
	}
}

func TestOrderIsSettledByEvidence(t *testing.T) {
	midnight := logtest.Every(10*time.Minute, time.Date(2025, 4, 3, 22, 0, 0, 0, time.UTC), 30)
	one := logtest.Every(10*time.Minute, time.Date(2025, 4, 3, 8, 0, 0, 0, time.UTC), 30)
	same := logtest.Every(10*time.Minute, time.Date(2025, 4, 4, 8, 0, 0, 0, time.UTC), 30)
	for _, layout := range []string{"02/01/2006 15:04:05", "01/02/2006 15:04:05", "02-01-06 15:04:05"} {
		wantTimes(t, readBytes(t, []byte(logtest.ClockFile(layout, midnight)), logtest.InZone(time.UTC)), midnight)
		wantTimes(t, readBytes(t, []byte("Exported: 2025-04-03\n"+logtest.ClockFile(layout, one)), logtest.InZone(time.UTC)), one)
		wantRefused(t, readBytes(t, []byte(logtest.ClockFile(layout, one)), logtest.InZone(time.UTC)), "order of its dates is open")
	}
	wantTimes(t, readBytes(t, []byte(logtest.ClockFile("02/01/2006 15:04:05", same)), logtest.InZone(time.UTC)), same)
}

// A date that can only be read another way starts the file again, however late it
// comes.
func TestALateDateStartsAgain(t *testing.T) {
	times := logtest.Every(time.Minute, time.Date(2025, 4, 3, 0, 0, 0, 0, time.UTC), 11*1440)
	r := readBytes(t, []byte(logtest.ClockFile("01/02/2006 15:04:05", times)), logtest.InZone(time.UTC))
	wantTimes(t, r, times)
	if r.Understanding.Time.Order != "month first" {
		t.Errorf("order %s", r.Understanding.Time.Order)
	}
}
