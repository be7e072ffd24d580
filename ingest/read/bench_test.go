//go:build unix

package read

import (
	"context"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/answers"
	"rimelog/ingest/limits"
	"rimelog/ingest/logtest"
	"rimelog/pipeline/register"
)

// BenchmarkRead reads the same process in both dialects, and with offsets from UTC, from bytes to sorted
// columns, every cell validated.
func BenchmarkRead(b *testing.B) {
	for _, c := range []struct {
		name string
		file []byte
	}{{"comma", logtest.SlowProcess(200_000, false)}, {"semicolon", logtest.SlowProcess(200_000, true)}, {"offsets", logtest.WithOffsets(logtest.SlowProcess(200_000, false))}} {
		file := c.file
		b.Run(c.name, func(b *testing.B) {
			b.SetBytes(int64(len(file)))
			b.ReportAllocs()
			defer logtest.PerCPU(b, len(file))()
			for b.Loop() {
				r, err := File(context.Background(), logtest.SourceOf(file), "bench", answers.Answers{Systems: []answers.System{logtest.Site}}, limits.Options{})
				if err != nil || r.Values.Stored != 1_600_000 {
					b.Fatalf("%v %+v", err, r.Values)
				}
			}
		})
	}
}

// BenchmarkReadWithCare reads lines that need splitting: quotes around every cell.
func BenchmarkReadWithCare(b *testing.B) {
	lines := strings.Split(string(logtest.SlowProcess(50_000, true)), "\n")
	for i, l := range lines {
		if l != "" {
			lines[i] = `"` + strings.ReplaceAll(l, ";", `";"`) + `"`
		}
	}
	file := []byte(strings.Join(lines, "\n"))
	a := answers.Answers{Systems: []answers.System{{ID: "CR-01", Zone: time.UTC, Altitude: 0, Rows: []register.Channel{}}}}
	b.SetBytes(int64(len(file)))
	b.ReportAllocs()
	defer logtest.PerCPU(b, len(file))()
	for b.Loop() {
		r, err := File(context.Background(), logtest.SourceOf(file), "bench", a, limits.Options{})
		if err != nil || r.Values.Stored != 400_000 {
			b.Fatalf("%v %+v", err, r.Values)
		}
	}
}
