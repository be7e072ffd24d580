package read

import (
	"fmt"
	"regexp"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"rimelog/ingest/logtest"
)

// again is a file whose header comes once more with a column more. Its rows are
// invented.
func again(header, wider string, rows, below int) string {
	var b strings.Builder
	n := 0
	put := func(header string, rows int, end string) {
		b.WriteString(header)
		for range rows {
			at := time.Date(2025, 3, 25, 12, 0, n, 0, time.UTC).Format("2006-01-02 15:04:05")
			if strings.HasPrefix(header, "Date;") {
				at = strings.Replace(at, " ", ";", 1)
			}
			fmt.Fprintf(&b, "%s;%d.5;%d.5%s\n", at, 2+n%5, 70+n%5, end)
			n++
		}
	}
	put(header, rows, "")
	put(wider, below, ";0.4")
	return b.String()
}

func TestAHeaderWithOneMoreColumnBeginsATable(t *testing.T) {
	for name, h := range map[string][2]string{
		"units below the names":      {"Time;Suction temp;Discharge temp\n;°C;°C\n", "Time;Suction temp;Discharge temp;Power\n;°C;°C;kW\n"},
		"the new one without a unit": {"Time;Suction temp;Discharge temp\n;°C;°C\n", "Time;Suction temp;Discharge temp;Door\n;°C;°C;\n"},
		"date and time apart":        {"Date;Time;Suction temp;Discharge temp\n;;°C;°C\n", "Date;Time;Suction temp;Discharge temp;Door\n;;°C;°C;\n"},
		"units in brackets":          {"Time;Suction temp;Discharge temp\n[-];[°C];[°C]\n", "Time;Suction temp;Discharge temp;Power\n[-];[°C];[°C];[kW]\n"},
		"units in the names":         {"Time;Suction temp [°C];Discharge temp [°C]\n", "Time;Suction temp [°C];Discharge temp [°C];Door\n"},
	} {
		for _, above := range []string{"", "Logger;K-7\nSerial;12\n\n"} {
			for _, n := range [][2]int64{{20, 20}, {5, 40}, {40, 5}, {2, 40}, {40, 1}, {1500, 20}, {20, 1500}} {
				r := readBytes(t, []byte(above+again(h[0], h[1], int(n[0]), int(n[1]))), logtest.InZone(time.UTC))
				if r.Lines.Data != n[0]+n[1] || r.Values.Stored != 2*n[0]+3*n[1] || r.Understanding.Tables != 2 {
					t.Errorf("%s, %d and %d rows, preamble %v: %+v, %d stored, %d tables", name, n[0], n[1], above != "", r.Lines, r.Values.Stored, r.Understanding.Tables)
				}
			}
		}
	}
}

// rowText is a line that begins with a date and a time of day, and holds numbers
// behind them.
var rowText = regexp.MustCompile(`^"?(\d{4}-\d\d-\d\d|\d\d[./]\d\d[./]\d{2,4})[ T;,|\t"]+\d\d:\d\d(:\d\d)?"?([;,|\t]"?[+-]?\d[\d.,' ]*"?)+$`)

// rowsIn counts such lines.
func rowsIn(text string) (n int64) {
	for line := range strings.FieldsFuncSeq(text, func(c rune) bool { return c == '\n' || c == '\r' }) {
		if rowText.MatchString(line) {
			n++
		}
	}
	return n
}

// No line that holds a date, a time and numbers is ever taken for what stands around
// data: it is read, or it is said why not. Pairs of the corpus's files stand below each
// other, with or without a blank line.
func TestNoDataAreCountedAsWhatStandsAroundThem(t *testing.T) {
	files := map[string]string{}
	for seed := range uint64(90) {
		f, g := writeLog(seed+1), writeLog(seed+500)
		if utf8.Valid(f.bytes) && utf8.Valid(g.bytes) {
			files[fmt.Sprintf("seeds %d and %d", seed+1, seed+500)] = string(f.bytes) + strings.Repeat("\n", int(seed%3)) + string(g.bytes)
		}
	}
	head, wide := "Time;Suction temp;Discharge temp\n;°C;°C\n", "Time;Suction temp;Discharge temp;Power\n;°C;°C;kW\n"
	for _, n := range [][2]int{{1, 1}, {1, 40}, {40, 1}, {3, 4}} {
		files[fmt.Sprint(n)] = again(head, wide, n[0], n[1])
	}
	files["a row without names"] = "2025-03-25 11:00:00;4.5\n" + again(head, "", 20, 0)
	files["rows of a wider table above"] = "2025-03-25 11:00:00;4.5;6.5;1;2\n2025-03-25 11:00:01;4.5;6.5;1;2\n" + again(head, "", 20, 0)
	rows, read := int64(0), int64(0)
	for name, file := range files {
		r, n := readBytes(t, []byte(file), logtest.InZone(time.UTC)), rowsIn(file)
		rows, read = rows+n, read+min(n, r.Lines.Data)
		if r.Lines.Data+r.Lines.Quarantined < n {
			t.Errorf("%s: %d lines of data, but %+v", name, n, r.Lines)
		}
	}
	if len(files) < 20 || rows < 1000 {
		t.Errorf("%d files with %d rows are too few to tell", len(files), rows)
	}
	t.Logf("%d files, %d rows, %d read", len(files), rows, read)
}

func TestDataBehindACommentMarkAreSaidToBeLeftOut(t *testing.T) {
	file := again("Time;Suction temp [°C];Discharge temp [°C]\n", "# 2025-03-25 12:30:00;2.5;70.5\n# note: door open\n", 20, 0)
	r := readBytes(t, []byte(file+"2025-03-25 12:40:00;2.5;70.5\n"), logtest.InZone(time.UTC))
	if r.Lines.Data != 21 || r.Lines.Quarantined != 1 || r.Lines.Preamble != 1 {
		t.Errorf("%+v %+v", r.Lines, r.Understanding.Quarantined)
	}
}

// It is quarantined with one reason, and data behind it are read all the same.
func TestProseBehindTheDataIsQuarantined(t *testing.T) {
	head := "Time;Suction temp [°C];Discharge temp [°C]\n"
	file := again(head, "", 20, 0) + strings.Repeat("the door was open\n", 5000)
	r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
	if r.Lines.Data != 20 || r.Lines.Quarantined != 5000 || len(r.Understanding.Quarantined) != 1 {
		t.Errorf("%+v %+v", r.Lines, r.Understanding.Quarantined)
	}
	tail := "2025-03-25 12:40:00;2.5;70.5\nprinted by the logger\n"
	r = readBytes(t, []byte(file+tail), logtest.InZone(time.UTC))
	if r.Lines.Data != 21 || r.Lines.Quarantined != 5000 || r.Lines.Footer != 1 {
		t.Errorf("with data behind: %+v", r.Lines)
	}
}
