//go:build unix

package demofleet

import (
	"path/filepath"
	"syscall"
	"testing"
	"time"
)

// BenchmarkSimulate is the whole of `rimelog simulate -systems 100 -years 3 -seed 5
// -logging visits`, with the truth and the files on disk: rows written in a second of one
// processor, which a busy machine does not change as the wall clock does.
func BenchmarkSimulate(b *testing.B) {
	mix := DefaultMix()
	o := Options{Seed: 5, Systems: 100, Years: 3, Logging: ByVisits, Mix: &mix}
	rows, before := 0, processorTime(b)
	for b.Loop() {
		fleet, err := Simulate(b.Context(), filepath.Join(b.TempDir(), "fleet"), o)
		if err != nil {
			b.Fatal(err)
		}
		for _, f := range fleet.Files {
			rows += f.Rows
		}
	}
	b.ReportMetric(float64(rows)/(processorTime(b)-before).Seconds(), "rows/cpu-s")
}

// processorTime is what this process has taken of processors, in the kernel too.
func processorTime(b *testing.B) time.Duration {
	b.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
