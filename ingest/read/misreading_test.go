package read

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"golang.org/x/text/encoding/charmap"

	"rimelog/ingest/answers"
	"rimelog/ingest/clock"
	"rimelog/ingest/logtest"
	"rimelog/ingest/naming"
	"rimelog/ingest/pass"
)

// The files in this test were once misread without a word. Their rows are invented.

// lines writes n lines, a minute apart, below a header.
func lines(header string, n int, line func(i int) string) string {
	var b strings.Builder
	b.WriteString(header)
	for i := range n {
		b.WriteString(line(i))
	}
	return b.String()
}

func fixed(t *testing.T, r pass.Reading, name string) []int32 {
	t.Helper()
	v, valid := r.Parts[0].Samples.Fixed32(name)
	if len(v) == 0 || !valid.All() {
		t.Fatalf("%s: %d values; %+v %s", name, len(v), r.Lines, r.Understanding.Unreadable)
	}
	return v
}

func TestADecimalCommaThatAlsoPartsCellsIsRefused(t *testing.T) {
	for name, file := range map[string]string{
		"comma and blank": lines("Time, Suction temp [°C], Power [W]\n", 24, func(i int) string { return fmt.Sprintf("2025-03-25 12:%02d:00, %d,%d, 1800\n", i, 5+i%3, i%10) }),
		"serial numbers in the names": lines("Time,Suction temp [°C] (no. 4, north),Liquid temp [°C] (no. 4, north)\n", 24, func(i int) string {
			return fmt.Sprintf("2025-03-25 12:%02d:00,%d,%d,3%d,5\n", i, 5+i%3, i%10, i%10)
		}),
		"date only on change": lines("Date,Time,Suction temp [°C],Power [W]\n2025-03-25,11:59:00,5,0,1800\n", 24, func(i int) string { return fmt.Sprintf(",12:%02d:00,%d,%d,1800\n", i, 5+i%3, i%10) }),
		"clock unset":         lines("Time,Current [A],Power [W]\n1970-01-01 05:10:58,8,10,2709\n", 24, func(i int) string { return fmt.Sprintf("2025-03-25 12:%02d:00,%d,%d0,1800\n", i, 5+i%3, i%10) }),
	} {
		t.Run(name, func(t *testing.T) {
			r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
			if r.Values.Stored != 0 || !strings.Contains(r.Understanding.Unreadable, "decimal comma") {
				t.Errorf("%+v %q", r.Values, r.Understanding.Unreadable)
			}
		})
	}
}

// POSIX.1-2017, strptime: %y from 69 to 99 means 1969 to 1999.
func TestYearsOfTwoDigitsBeforeTheClockWasSet(t *testing.T) {
	for _, first := range []string{"01.01.70", "31.12.69", "01.01.80"} {
		file := lines("Time;Power [W]\n"+first+" 00:00:01;1000\n", 20, func(i int) string { return fmt.Sprintf("25.02.24 12:%02d:00;1100\n", i) })
		r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
		if r.Lines.Data != 20 || r.Lines.Quarantined != 1 || !strings.Contains(r.Understanding.Quarantined[0].Reason, "clock was not set") {
			t.Errorf("%s: %+v %+v", first, r.Lines, r.Understanding.Quarantined)
		}
	}
}

func TestTablesLaidOutByBlanks(t *testing.T) {
	for name, c := range map[string]struct {
		header string
		line   func(i int) string
		first  time.Time
	}{
		"one name above date and time, with a zone": {"Date Time, GMT-05:00   Suction temp (°C)  Outdoor humidity (%)\n",
			func(i int) string { return fmt.Sprintf("2025-03-25 12:%02d:00    %d.5               60.0\n", i, i%9) }, time.Date(2025, 3, 25, 17, 0, 0, 0, time.UTC)},
		"decimal commas": {"Date        Time      Suction temp (°C)  Outdoor humidity (%)\n",
			func(i int) string {
				return fmt.Sprintf("2025-03-25  12:%02d:00  %d,5               61,%d\n", i, i%9, i%10)
			}, time.Date(2025, 3, 25, 12, 0, 0, 0, time.UTC)},
		"decimal commas in wide columns": {"Date                    Time                    Suction temp (°C)       Current (A)\n", func(i int) string {
			return fmt.Sprintf("2025-03-25              12:%02d:00                %d,5                     7,96\n", i, i%9)
		}, time.Date(2025, 3, 25, 12, 0, 0, 0, time.UTC)},
		"a plus sign and decimal commas": {"Date        Time      Power (W)  Suction temp (°C)\n",
			func(i int) string { return fmt.Sprintf("2025-03-25  12:%02d:00  +1800  +%d,5\n", i, i%9) }, time.Date(2025, 3, 25, 12, 0, 0, 0, time.UTC)},
		"a comma before the fraction of a second": {"Date        Time          Suction temp (°C)\n",
			func(i int) string { return fmt.Sprintf("2025-03-25  12:%02d:00,000  %d.5\n", i, i%9) }, time.Date(2025, 3, 25, 12, 0, 0, 0, time.UTC)},
	} {
		t.Run(name, func(t *testing.T) {
			r := readBytes(t, []byte(lines(c.header, 24, c.line)), logtest.InZone(time.UTC))
			v := fixed(t, r, "suction_temp_c")
			for i := range v {
				if want := int32(i%9*1000 + 500); v[i] != want {
					t.Fatalf("row %d: %d, want %d", i, v[i], want)
				}
			}
			if got := time.UnixMicro(r.Parts[0].Samples.Times("time")[0]).UTC(); len(v) != 24 || !got.Equal(c.first) {
				t.Errorf("%d rows from %v, want %v", len(v), got, c.first)
			}
		})
	}
}

func TestALongTableWithUnitsIsNotCutAtBlanks(t *testing.T) {
	for _, day := range []string{"07/19/2023", "18 Dec 2023", "07/26/24"} {
		file := lines("Date Time;Channel;Value;Unit\n", 40, func(i int) string {
			return fmt.Sprintf("%[1]s 10:%02[2]d:00;Liquid temp;%[2]d.5;°C\n%[1]s 10:%02[2]d:00;Outdoor humidity;60.5;%%\n", day, i)
		})
		r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
		if v := fixed(t, r, "liquid_temp_c"); r.Values.Stored != 80 || v[3] != 3500 {
			t.Errorf("%s: %+v", day, r.Values)
		}
	}
}

func TestFillBytesBehindUTF8(t *testing.T) {
	file := lines("Zeit;Außentemperatur [°C];Leistung [W]\n", 30, func(i int) string { return fmt.Sprintf("2025-03-25 12:%02d:00;5,5;2\u202F30%d\n", i, i%10) })
	for _, n := range []int{8, 2048} {
		r := readBytes(t, append([]byte(file), bytes.Repeat([]byte{0xFF}, n)...), logtest.InZone(time.UTC))
		if v := fixed(t, r, "power_kw"); r.Understanding.Encoding != "utf-8" || len(v) != 30 || v[1] != 2301 || fixed(t, r, "outdoor_temp_c")[0] != 5500 {
			t.Errorf("%s, %v", r.Understanding.Encoding, v)
		}
	}
}

func TestDataWithoutAReadableTimeIsNoFooter(t *testing.T) {
	body := lines("Time;Suction temp [°C];Power [W]\n", 20, func(i int) string { return fmt.Sprintf("2025-03-25 12:%02d:00;5.5;1800\n", i) })
	for last, footer := range map[string]int64{
		"Mrz? 25 2025 12:20;5.5;1800\n":    0,
		"--25-03-2025 12:20:00;5.5;1801\n": 0,
		";5.5;1800\n":                      0,
		"Mean;5.5;1800\n":                  1,
		"End of data;;\n":                  1,
	} {
		r := readBytes(t, []byte(body+last), logtest.InZone(time.UTC))
		if r.Lines.Data != 20 || r.Lines.Footer != footer || r.Lines.Quarantined != 1-footer {
			t.Errorf("%q: %+v", last, r.Lines)
		}
	}
}

func TestASerialNumberBehindTheUnit(t *testing.T) {
	for header, want := range map[string]string{
		"Suction temp [°C] (no. 4711, north)": "suction_temp",
		"Suction temp, °C (no. 4711)":         "suction_temp",
		"Suction temp [°C] (no. 2, liquid)":   "", // it says more than a place
	} {
		c, _ := naming.Read(header).Channel(naming.UnitNamed(naming.Read(header).Label).Quantity)
		if got := strings.TrimSuffix(c, "_c"); got != want {
			t.Errorf("%s is %q, want %q", header, got, want)
		}
	}
}

// A percent sign behind a blank is a unit; a letter there only where it fits the name.
func TestASignBehindABlankIsTheUnit(t *testing.T) {
	for header, want := range map[string]string{"L1 %": "%", "Receiver level %": "%", "phase A": ""} {
		if got := naming.Read(header).Label; got != want {
			t.Errorf("the unit of %s is %q, want %q", header, got, want)
		}
	}
}

func TestNumberedSamplesCountFromTheStart(t *testing.T) {
	for interval, step := range map[string]time.Duration{"10 s": 10 * time.Second, "5 min": 5 * time.Minute, "00:01:00": time.Minute, "0,5 s": time.Second / 2} {
		for _, from := range []int{0, 1} {
			file := lines("Start: 2025-03-25 12:00:00\nInterval: "+interval+"\nNo.;Power [W]\n", 20, func(i int) string { return fmt.Sprintf("%d;1800\n", i+from) })
			r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
			wantTimes(t, r, logtest.Every(step, time.Date(2025, 3, 25, 12, 0, 0, 0, time.UTC), 20))
		}
	}
	for name, file := range map[string]string{
		"no interval":       "Start: 2025-03-25 12:00:00\nNo.;Power [W]\n1;1\n2;1\n3;1\n",
		"it does not begin": "Start: 2025-03-25 12:00:00\nInterval: 10 s\nNo.;Power [W]\n7;1\n8;1\n9;1\n",
		"two intervals":     "Start: 2025-03-25 12:00:00\nInterval: 10 s\nInterval: 20 s\nNo.;Power [W]\n1;1\n2;1\n3;1\n",
	} {
		if r := readBytes(t, []byte(file), logtest.InZone(time.UTC)); r.Values.Stored != 0 {
			t.Errorf("%s: %+v", name, r.Values)
		}
	}
}

func TestTimeSince1970MayRunBackwards(t *testing.T) {
	file := lines("timestamp;Power [W]\n", 20, func(i int) string { return fmt.Sprintf("%d;1800\n", 1742904000-60*i) })
	r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
	if v := fixed(t, r, "power_kw"); len(v) != 20 || r.Parts[0].Samples.Times("time")[19] != 1742904000*clock.Second {
		t.Errorf("%d rows", len(v))
	}
}

func TestTextThatWasEncodedTwice(t *testing.T) {
	once := lines("Zeit;Außentemperatur [°C];Leistung [W]\n", 20, func(i int) string { return fmt.Sprintf("2025-03-25 12:%02d:00;5,5;2\u202F30%d\n", i, i%10) })
	twice, err := charmap.Windows1252.NewDecoder().String(once)
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range []string{once, twice} {
		r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
		if fixed(t, r, "outdoor_temp_c")[0] != 5500 || fixed(t, r, "power_kw")[1] != 2301 {
			t.Errorf("%s: %+v", r.Understanding.Encoding, r.Values)
		}
	}
}

// A step from a clock that was not set to the true date says nothing of the order.
func TestTheOrderIsSettledBehindAClockThatWasNotSet(t *testing.T) {
	file := "Time;Power [W]\n01/01/1970 00:00:01;1000\n01/01/1970 00:00:02;1000\n"
	for _, at := range logtest.Every(10*time.Minute, time.Date(2025, 2, 5, 22, 0, 0, 0, time.UTC), 40) {
		file += at.Format("02/01/2006 15:04:05") + ";1800\n"
	}
	r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
	wantTimes(t, r, logtest.Every(10*time.Minute, time.Date(2025, 2, 5, 22, 0, 0, 0, time.UTC), 40))
}

func TestLinesWithoutTheirLastDelimitersDoNotHideTheHeader(t *testing.T) {
	file := "Date Time, GMT-05:00;Power [W]\n1970-01-01 00:00:01;1000\n1970-01-01 00:00:02;1000\n" +
		lines("", 20, func(i int) string { return fmt.Sprintf("2025-03-25 12:%02d:00;1800;;\n", i) })
	r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
	wantTimes(t, r, logtest.Every(time.Minute, time.Date(2025, 3, 25, 17, 0, 0, 0, time.UTC), 20))
	if v := fixed(t, r, "power_kw"); v[0] != 1800 || r.Lines.Header != 1 || r.Lines.Quarantined != 2 {
		t.Errorf("%+v", r.Lines)
	}
}

// A comma may part the zone from the name of the time as well: then the count of
// names must not fit by chance where decimal commas part the cells.
func TestAZoneInTheNameIsNoColumn(t *testing.T) {
	r := readBytes(t, []byte(logtest.Stamped("Date Time, GMT+11:00, Power [W], Suction temperature [°F]", "20/08/2025 14:%02d:42, 1104, 36,0")), answers.Answers{})
	if r.Values.Stored != 0 {
		t.Errorf("%+v", r.Understanding.Columns)
	}
	r = readBytes(t, []byte(logtest.Stamped("Date Time, GMT+11:00, Power [W], Suction temperature [°F]", "20/08/2025 14:%02d:42, 1104, 36.0")), answers.Answers{})
	if r.Values.Stored != 60 || r.Understanding.Time.FirstUTC != "2025-08-20T03:00:42Z" {
		t.Errorf("%+v %+v", r.Values, r.Understanding.Time)
	}
}
