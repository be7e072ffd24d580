//go:build unix

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"rimelog/ingest/demofleet"
	"rimelog/pipeline/array"
)

// BenchmarkShards shares a run out to two processes at a time, over visits' logs of a simulated
// fleet: ten uploads of about 170 lines for each system.
//
// "overhead-%" is what sharing out takes of all processor time, in three parts: the plan;
// manifests, which is what each process needs to start, to open the workspace and to read the
// plan; and barriers. Where one process does the same beside it, "more-%" is what the shards
// take more than it, and "speed-up" its time over that of the longest way through the stages:
// by processor time, and by the clock, which counts on a machine that does nothing else and
// has two processors.
func BenchmarkShards(b *testing.B) {
	for _, systems := range []int{100, 1000} {
		b.Run(fmt.Sprintf("uploads=%d", 10*systems), func(b *testing.B) {
			for b.Loop() {
				benchmarkShards(b, systems, systems == 100)
			}
		})
	}
}

const twoShards = 2

// stageNames are the stages of a run that is shared out, in order.
var stageNames = []string{"plan", "ingest", "analyse", "fleet", "report"}

func benchmarkShards(b *testing.B, systems int, beside bool) {
	p, fleet := buildProgram(b), visitedFleet(b, systems)
	var one usage
	if beside {
		one = p.do(b, "run", "-workspace", copyOf(b, fleet), "-workers", "1")
	}
	start := p.do(b, "version").cpu
	var all, longest, wall time.Duration
	parts := map[string]time.Duration{}
	for _, stage := range stageNames {
		slowest, together, took := stageBeside(b, p, fleet, stage)
		all, longest, wall = all+together, longest+slowest, wall+took
		if stage == "plan" {
			parts["plan"] = together
			continue
		}
		for i := range shardsOfStage(stage, twoShards) {
			manifest, barrier := sharing(b, fleet, stage, i)
			parts["manifests"] += start + manifest
			parts["barriers"] += barrier
		}
		b.Logf("%-8s %6.2f s together, %6.2f s in the slower shard", stage, together.Seconds(), slowest.Seconds())
	}
	overhead := 0.0
	for part, took := range parts {
		share := 100 * took.Seconds() / all.Seconds()
		b.ReportMetric(share, part+"-%")
		overhead += share
	}
	b.ReportMetric(overhead, "overhead-%")
	b.ReportMetric(all.Seconds(), "cpu-s")
	if beside {
		b.ReportMetric(100*(all.Seconds()/one.cpu.Seconds()-1), "more-%")
		b.ReportMetric(one.cpu.Seconds()/longest.Seconds(), "speed-up/cpu")
		b.ReportMetric(one.wall.Seconds()/wall.Seconds(), "speed-up/clock")
	}
}

// stageBeside does the shards of a stage at the same time: the processor time of the slowest
// and of all together, and the time by the clock.
func stageBeside(b *testing.B, p program, fleet, stage string) (slowest, together, wall time.Duration) {
	b.Helper()
	spent := make([]usage, shardsOfStage(stage, twoShards))
	began := time.Now()
	var wg sync.WaitGroup
	for i := range spent {
		wg.Go(func() { spent[i] = p.stage(b, fleet, stage, i, twoShards) })
	}
	wg.Wait()
	wall = time.Since(began)
	for _, u := range spent {
		slowest, together = max(slowest, u.cpu), together+u.cpu
	}
	return slowest, together, wall
}

// sharing is what a shard of a stage that is done takes to open the workspace and the plan, and
// to ask its barriers, s of processor time.
func sharing(b *testing.B, fleet, stage string, i int) (manifest, barriers time.Duration) {
	b.Helper()
	before := processorTime(b)
	w := where{folder: fleet, workers: 1}
	ws, err := w.open(b.Context())
	if err != nil {
		b.Fatal(err)
	}
	plan, err := array.Open(b.Context(), ws.store, "", ws.basis())
	if err != nil {
		b.Fatal(err)
	}
	opened := processorTime(b)
	rounds := ws.fleetShare(plan, time.Time{}).rounds
	if stage != "fleet" {
		rounds = ws.shardOf(plan, array.Shard{Index: i, Count: twoShards}, stage, 0).rounds
	}
	for _, r := range rounds {
		if r.Name != "barrier" {
			continue
		}
		if _, err := r.Plan(b.Context()); err != nil {
			b.Fatal(err)
		}
	}
	return opened - before, processorTime(b) - opened
}

// visitedFleet is a workspace of systems with about ten visits each.
func visitedFleet(t testing.TB, systems int) string {
	t.Helper()
	folder := filepath.Join(t.TempDir(), "fleet")
	o := demofleet.Options{Systems: systems, Years: 1.25, Seed: 7, Logging: demofleet.ByVisits}
	if _, err := demofleet.Simulate(t.Context(), folder, o); err != nil {
		t.Fatal(err)
	}
	return filepath.Join(folder, "workspace")
}

// copyOf is a workspace in a folder of its own.
func copyOf(t testing.TB, workspace string) string {
	t.Helper()
	folder := filepath.Join(t.TempDir(), "workspace")
	if err := os.CopyFS(folder, os.DirFS(workspace)); err != nil {
		t.Fatal(err)
	}
	return folder
}
