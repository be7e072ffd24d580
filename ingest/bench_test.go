//go:build unix

package ingest

import (
	"bytes"
	"context"
	"math"
	"math/rand/v2"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"rimelog/pipeline/register"
)

// slowProcess writes rows of eight channels, three with two decimals and five
// with one, a second apart: a lagging process with noise, hard to compress. Comma
// and point with an ISO time, or semicolon and decimal comma with a dotted date.
func slowProcess(rows int, german bool) []byte {
	rng := rand.New(rand.NewPCG(1, 1))
	delim, mark, layout := ",", ".", iso
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
			b.WriteString(decimalText(m, digits, mark))
		}
		b.WriteString("\n")
	}
	return b.Bytes()
}

// withOffsets lets each time of a file say how far it is from UTC.
func withOffsets(file []byte) []byte {
	return regexp.MustCompile(`(?m)(:\d\d),`).ReplaceAll(file, []byte("$1+01:00,"))
}

// BenchmarkRead reads the same process in both dialects, and with offsets from UTC, from bytes to sorted
// columns, every cell validated.
func BenchmarkRead(b *testing.B) {
	for _, c := range []struct {
		name string
		file []byte
	}{{"comma", slowProcess(200_000, false)}, {"semicolon", slowProcess(200_000, true)}, {"offsets", withOffsets(slowProcess(200_000, false))}} {
		file := c.file
		b.Run(c.name, func(b *testing.B) {
			b.SetBytes(int64(len(file)))
			b.ReportAllocs()
			defer perCPU(b, len(file))()
			for b.Loop() {
				r, err := Read(context.Background(), sourceOf(file), "bench", Answers{Systems: []SystemAnswers{site}}, Options{})
				if err != nil || r.Values.Stored != 1_600_000 {
					b.Fatalf("%v %+v", err, r.Values)
				}
			}
		})
	}
}

// perCPU reports megabytes for each second of processor time, all threads and the
// collector included: it does not depend on what else the machine does.
func perCPU(b *testing.B, size int) (stop func()) {
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

// BenchmarkReadWithCare reads lines that need splitting: quotes around every cell.
func BenchmarkReadWithCare(b *testing.B) {
	lines := strings.Split(string(slowProcess(50_000, true)), "\n")
	for i, l := range lines {
		if l != "" {
			lines[i] = `"` + strings.ReplaceAll(l, ";", `";"`) + `"`
		}
	}
	file := []byte(strings.Join(lines, "\n"))
	a := Answers{Systems: []SystemAnswers{{ID: "CR-01", Zone: time.UTC, Altitude: 0, Rows: []register.Channel{}}}}
	b.SetBytes(int64(len(file)))
	b.ReportAllocs()
	defer perCPU(b, len(file))()
	for b.Loop() {
		r, err := Read(context.Background(), sourceOf(file), "bench", a, Options{})
		if err != nil || r.Values.Stored != 400_000 {
			b.Fatalf("%v %+v", err, r.Values)
		}
	}
}
