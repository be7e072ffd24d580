package read

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/answers"
	"rimelog/ingest/limits"
	"rimelog/ingest/logtest"
	"rimelog/ingest/look"
	"rimelog/pipeline/register"
)

// FuzzRead feeds the reader any bytes: it never fails, its lines are the file's
// lines, both accounting laws hold, and a second read gives the same.
func FuzzRead(f *testing.F) {
	rows := logtest.Truths(24, time.Date(2025, 3, 4, 12, 0, 0, 0, time.UTC), time.Second)
	for _, v := range variants() {
		f.Add(v.file(append([]logtest.Truth{}, rows...)))
	}
	for _, s := range []string{
		"", "\n", "\r\r\n\r", "a", "\x00\x00\x00", "\xFF\xFE", "\xEF\xBB\xBF", "1;2\n3;4\n", "a,b\n1,\"2\n", "sep=;\n", "# x\n1 2\n",
		"t;p\n2025-03-04 02:30:00;1e400\n2025-03-04 02:30:01;1e-400\n", "Time;P [bar]\n00:00:01;-0,5\n00:00:02;1,5\n",
		strings.Repeat("\xD4", 3000) + "\n1;2\n", "Time (s)  P (bar)\n 1.0E+99  2\n 2.0E+99  3\n", "45720,5;1\n45720,6;2\n", "2025-13-45 99:99:99,1\n2025-13-46 99:99:99,2\n",
		"Datum;Zeit;Leistung [kW]\n01.02.2025;12:00;1.200\n;12:01;1.300\n",
	} {
		f.Add([]byte(s))
	}
	a := answers.Answers{Systems: []answers.System{logtest.Site, {ID: "CR-02", Zone: time.UTC, Rows: []register.Channel{
		{System: "CR-02", Column: "#2", Channel: "power", Unit: "W", Sign: -1},
	}}}}
	f.Fuzz(func(t *testing.T, b []byte) {
		r := readBytes(t, b, a)
		if want := countEnds(t, b); r.Lines.All != want {
			t.Errorf("%d lines, the file has %d", r.Lines.All, want)
		}
		again := readBytes(t, b, a)
		if again.Values != r.Values || again.Lines != r.Lines {
			t.Errorf("a second read differs: %+v %+v, %+v %+v", r.Lines, r.Values, again.Lines, again.Values)
		}
		for i, p := range r.Parts {
			checkOrder(t, p.Samples.Times("time"))
			if p.Samples.Rows() != again.Parts[i].Samples.Rows() {
				t.Errorf("system %d: %d samples, then %d", i, p.Samples.Rows(), again.Parts[i].Samples.Rows())
			}
		}
	})
}

func checkOrder(t *testing.T, times []int64) {
	for i := 1; i < len(times); i++ {
		if times[i] <= times[i-1] {
			t.Fatalf("times out of order at row %d", i)
		}
	}
}

// countEnds counts lines in the simplest way there is, for files of one byte a
// character.
func countEnds(t *testing.T, b []byte) int64 {
	f, err := look.File(context.Background(), logtest.SourceOf(b), limits.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if strings.HasPrefix(f.Encoding, "utf-16") || strings.HasPrefix(f.Encoding, "utf-32") {
		return f.Lines
	}
	b = bytes.TrimPrefix(b, []byte("\xEF\xBB\xBF"))
	b = bytes.ReplaceAll(bytes.ReplaceAll(b, []byte("\r\n"), []byte("\n")), []byte("\r"), []byte("\n"))
	n := int64(bytes.Count(b, []byte("\n")))
	if len(b) > 0 && b[len(b)-1] != '\n' {
		n++
	}
	return n
}
