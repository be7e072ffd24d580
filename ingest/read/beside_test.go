package read

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/logtest"
)

// pasted is the downloads of two loggers side by side: n lines of one, m of the other,
// every minute and every 50 s.
func pasted(header string, n, m int, layout string, line func(i int, a, b string) string) string {
	cells := func(i, n int, step time.Duration, value int) string {
		if i >= n {
			return strings.Repeat(";", strings.Count(layout, ";")+1)
		}
		at := time.Date(2025, 3, 14, 12, 0, 0, 0, time.UTC).Add(time.Duration(i) * step)
		return fmt.Sprintf("%s;%d.5", at.Format(layout), value+i)
	}
	return lines(header, max(n, m), func(i int) string {
		return line(i, cells(i, n, time.Minute, 1), cells(i, m, 50*time.Second, 30)) + "\n"
	})
}

func beside(_ int, a, b string) string { return a + ";" + b }

func TestTablesSideBySideWithClocksOfTheirOwn(t *testing.T) {
	for name, c := range map[string]struct {
		file string
		n, m int
	}{
		"alike":                 {pasted("Time;Suction temp [°C];Time;Liquid temp [°C]\n", 30, 30, "02.01.2006 15:04:05", beside), 30, 30},
		"the second is shorter": {pasted("Time;Suction temp [°C];Time;Liquid temp [°C]\n", 30, 12, "02.01.2006 15:04:05", beside), 30, 12},
		"the first is shorter":  {pasted("Time;Suction temp [°C];Time;Liquid temp [°C]\n", 20, 30, "2006-01-02 15:04:05", beside), 20, 30},
		"date and time apart":   {pasted("Date;Time;Suction temp [°C];Date;Time;Liquid temp [°C]\n", 30, 25, "02.01.2006;15:04:05", beside), 30, 25},
		"numbered names":        {pasted("Time 1;Suction temp [°C];Time 2;Liquid temp [°C]\n", 30, 30, "2006-01-02 15:04:05", beside), 30, 30},
		"a gap between": {pasted("Time;Suction temp [°C];;Time;Liquid temp [°C]\n", 30, 30, "2006-01-02 15:04:05",
			func(_ int, a, b string) string { return a + ";;" + b }), 30, 30},
	} {
		t.Run(name, func(t *testing.T) {
			r := readBytes(t, []byte(c.file), logtest.InZone(time.UTC))
			if r.Lines.Data != int64(max(c.n, c.m)) || r.Values.Stored != int64(c.n+c.m) || r.Lines.Check() != nil || r.Values.Check() != nil {
				t.Fatalf("%+v %+v %s", r.Lines, r.Values, r.Understanding.Unreadable)
			}
			f := r.Parts[0].Samples
			for channel, want := range map[string]struct {
				n, value int
				step     time.Duration
			}{"suction_temp_c": {c.n, 1, time.Minute}, "liquid_temp_c": {c.m, 30, 50 * time.Second}} {
				v, valid := f.Fixed32(channel)
				k := 0
				for i, at := range f.Times("time") {
					if !valid.At(i) {
						continue
					}
					if due := time.Date(2025, 3, 14, 12, 0, 0, 0, time.UTC).Add(time.Duration(k) * want.step); at != due.UnixMicro() || v[i] != int32(1000*(want.value+k)+500) {
						t.Fatalf("%s: value %d is %d at %v, want it at %v", channel, k, v[i], time.UnixMicro(at).UTC(), due)
					}
					k++
				}
				if k != want.n {
					t.Errorf("%s: %d values, want %d", channel, k, want.n)
				}
			}
		})
	}
}

// A time that cannot be told refuses the values of its own table only; another column of
// time that is no clock of the columns behind it is not taken for one.
func TestColumnsBehindAnotherColumnOfTime(t *testing.T) {
	file := pasted("Time;Suction temp [°C];Time;Liquid temp [°C]\n", 30, 30, "2006-01-02 15:04:05", func(i int, a, b string) string {
		if i == 7 {
			b = "2025-13-45 12:00:00;37.5"
		}
		return a + ";" + b
	})
	r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
	if r.Lines.Data != 30 || r.Values.Stored != 59 || r.Values.Refused != 1 || r.Values.Check() != nil {
		t.Errorf("%+v %+v", r.Lines, r.Values)
	}
	r = readBytes(t, []byte(pasted("Time;Suction temp [°C];Last defrost;Liquid temp [°C]\n", 30, 30, "2006-01-02 15:04:05", beside)), logtest.InZone(time.UTC))
	if r.Values.Stored != 30 || r.Values.Refused != 60 {
		t.Errorf("%+v", r.Values)
	}
}
