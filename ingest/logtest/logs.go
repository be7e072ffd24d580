// Package logtest makes small logs for the tests of the reader: a few hours of a machine, written as a table by any
// delimiter, decimal mark and layout of time.
package logtest

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"testing/fstest"
	"time"

	"rimelog/ingest/answers"
	"rimelog/ingest/merge"
	"rimelog/ingest/raw"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// SlowProcess writes rows of eight channels, three with two decimals and five
// with one, a second apart: a lagging process with noise, hard to compress. Comma
// and point with an ISO time, or semicolon and decimal comma with a dotted date.
func SlowProcess(rows int, german bool) []byte {
	rng := rand.New(rand.NewPCG(1, 1))
	delim, mark, layout := ",", ".", ISO
	if german {
		delim, mark, layout = ";", ",", "02.01.2006 15:04:05"
	}
	var b bytes.Buffer
	b.WriteString(strings.Join([]string{"Time", "Suction pressure [bar(g)]", "Discharge pressure [bar(g)]", "Power [kW]", "Suction temp [°C]", "Discharge temp [°C]", "Liquid temp [°C]", "Outdoor temp [°C]", "Room temp [°C]"}, delim) + "\n")
	level := []float64{2.6, 14.2, 3.4, 8.5, 71.2, 33.1, 18.4, 4.2}
	at := time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC)
	for range rows {
		b.WriteString(at.Format(layout))
		at = at.Add(time.Second)
		for k := range level {
			level[k] += 0.002 * rng.NormFloat64()
			digits := 1
			if k < 3 {
				digits = 2
			}
			m := int64(math.Round((level[k] + 0.05*rng.NormFloat64()) * math.Pow10(digits)))
			b.WriteString(delim)
			b.WriteString(DecimalText(m, digits, mark))
		}
		b.WriteString("\n")
	}
	return b.Bytes()
}

// WithOffsets lets each time of a file say how far it is from UTC.
func WithOffsets(file []byte) []byte {
	return regexp.MustCompile(`(?m)(:\d\d),`).ReplaceAll(file, []byte("$1+01:00,"))
}

// PerCPU reports megabytes for each second of processor time, all threads and the
// collector included: it does not depend on what else the machine does.
func PerCPU(b *testing.B, size int) (stop func()) {
	start := processorTime(b)
	return func() {
		b.ReportMetric(float64(size)*float64(b.N)/1e6/(processorTime(b)-start), "MB/cpu-s")
	}
}

func processorTime(b *testing.B) float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano()).Seconds()
}

// LongFile writes a line for each value.
func LongFile(n int, mark string) string {
	var b strings.Builder
	b.WriteString("Time;Channel;Value;Unit\n")
	for i := range n {
		at := Noon.Add(time.Duration(i) * time.Minute).Format("02.01.2006 15:04:05")
		fmt.Fprintf(&b, "%s;Suction pressure;%s;bar(g)\n", at, DecimalText(int64(262+i%7), 2, mark))
		fmt.Fprintf(&b, "%s;Liquid temp;%s;°C\n", at, DecimalText(int64(352+i%5), 1, mark))
		if i%2 == 0 {
			fmt.Fprintf(&b, "%s;Power;%d;W\n", at, 1200+i)
		}
	}
	return b.String()
}

// Thirty writes a header and thirty lines; row gives the line of a minute.
func Thirty(head string, row func(i int) string) string {
	var b strings.Builder
	b.WriteString(head + "\n")
	for i := range 30 {
		b.WriteString(row(i) + "\n")
	}
	return b.String()
}

// Stamped is thirty lines that differ in the minute of their stamp only.
func Stamped(head, format string) string {
	return Thirty(head, func(i int) string { return fmt.Sprintf(format, i) })
}

// Nowhere is a sink that forgets.
type Nowhere struct{}

func (Nowhere) Put(int, *frame.Frame) error { return nil }

func (Nowhere) Restart() {}

func (Nowhere) Shelf(table.Table) (merge.Shelf, error) { return &merge.MemoryShelf{}, nil }

// BenchLog is the shape of a laboratory's log: columns laid out by blanks, comment
// lines with the header again every few rows, elapsed seconds, exponents of two or
// three digits. Its rows are invented.
func BenchLog(rows int, exponent string) string {
	var b strings.Builder
	b.WriteString("# Run number  7 on Tue 2025-06-10T09:30:00 BST\n")
	head := "# Time (s)      Tw1 (C)       Tr1 (C)       P1 (bar)      P2 (bar)      Flow (l/min)    \n"
	for i := range rows {
		if i%25 == 0 {
			b.WriteString(head)
		}
		for _, v := range []float64{0.25 + 0.5*float64(i), 41.5, 12.25, 3.5, 15.75, 11.5} {
			fmt.Fprintf(&b, " %s   ", scientific(v, exponent))
		}
		b.WriteString("\n")
	}
	return b.String()
}

// scientific writes 4.1500E+01, or with three digits of exponent 4.1500E+001.
func scientific(v float64, digits string) string {
	e := int(math.Floor(math.Log10(v)))
	return fmt.Sprintf("%.4fE%s", v/math.Pow10(e), fmt.Sprintf(digits, e))
}

func RegisterOf(t *testing.T, systems, channels string) *register.Register {
	t.Helper()
	reg, err := register.Load(context.Background(), fstest.MapFS{"systems.csv": {Data: []byte(systems)}, "channels.csv": {Data: []byte(channels)}})
	if err != nil {
		t.Fatal(err)
	}
	return reg
}

var Noon = time.Date(2025, 3, 4, 12, 0, 0, 0, time.UTC)

// ClockFile writes a sample each step, in the local time that the format shows.
func ClockFile(layout string, times []time.Time) string {
	var b strings.Builder
	b.WriteString("Date Time;Power [W]\n")
	for i, t := range times {
		fmt.Fprintf(&b, "%s;%d\n", t.Format(layout), 1000+i)
	}
	return b.String()
}

func Every(step time.Duration, from time.Time, n int) []time.Time {
	times := make([]time.Time, n)
	for i := range times {
		times[i] = from.Add(time.Duration(i) * step)
	}
	return times
}

func InZone(loc *time.Location) answers.Answers {
	return answers.Answers{Systems: []answers.System{{ID: "CR-01", Zone: loc, Altitude: 0}}}
}

// A Truth is one row as it really was.
type Truth struct {
	Utc       time.Time
	Suction   int64 // hundredths of a bar, gauge
	Liquid    int64 // tenths of a degree Celsius
	Power     int64 // W
	NoSuction bool
	NoLiquid  bool
	NoPower   bool
}

func Truths(n int, start time.Time, step time.Duration) []Truth {
	rows := make([]Truth, n)
	for i := range rows {
		wave := math.Sin(float64(i) / 9)
		rows[i] = Truth{
			Utc: start.Add(time.Duration(i) * step), Suction: 262 + int64(40*wave), Liquid: 352 + int64(21*wave), Power: 1195 + int64(30*wave),
		}
	}
	return rows
}

const header = "Date Time;Suction pressure [bar(g)];Liquid temp [°C];Power [W]"

// CSVTable writes rows with a delimiter, a decimal mark and a layout of time, in the
// zone of the test's site.
func CSVTable(rows []Truth, delim, mark, layout string, zone *time.Location) string {
	var b strings.Builder
	for _, r := range rows {
		fmt.Fprintf(&b, "%s%s%s%s%s%s%d\n", r.Utc.In(zone).Format(layout), delim, DecimalText(r.Suction, 2, mark), delim, DecimalText(r.Liquid, 1, mark), delim, r.Power)
	}
	return b.String()
}

func DecimalText(m int64, digits int, mark string) string {
	s := fmt.Sprintf("%0*d", digits+1, max(m, -m))
	s = s[:len(s)-digits] + mark + s[len(s)-digits:]
	if m < 0 {
		s = "-" + s
	}
	return s
}

func WithDelim(delim string) string { return strings.ReplaceAll(header, ";", delim) + "\n" }

const ISO = "2006-01-02 15:04:05"

var Site = answers.System{ID: "CR-01", Zone: time.UTC, Altitude: 0}

func SourceOf(b []byte) raw.Source {
	return raw.Source{ReaderAt: bytes.NewReader(b), Size: int64(len(b))}
}
