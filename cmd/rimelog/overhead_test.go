//go:build unix

package main

import (
	"fmt"
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
// has two processors. Every process has one of them; the one process runs before and after
// the shards, and the time that counts is the shorter.
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
	raw := copyOf(b, fleet)
	if beside {
		one = p.whole(b, copyOf(b, raw))
	}
	shared := sharedOut{start: p.do(b, "version").cpu}
	for _, stage := range stageNames {
		spent, wall := stageBeside(b, p, fleet, stage)
		shared.add(b, stage, spent, wall)
		for i := range spent {
			if stage == "plan" {
				shared.plan = spent[i].cpu
				continue
			}
			manifest, barrier := sharing(b, fleet, stage, i)
			shared.manifests += shared.start + manifest
			shared.barriers += barrier
		}
	}
	shared.report(b)
	if beside {
		one = one.orLess(p.whole(b, raw))
		b.ReportMetric(100*(shared.all.Seconds()/one.cpu.Seconds()-1), "more-%")
		b.ReportMetric(one.cpu.Seconds()/shared.longest.Seconds(), "speed-up/cpu")
		b.ReportMetric(one.wall.Seconds()/shared.wall.Seconds(), "speed-up/clock")
	}
}

// A sharedOut is what the processes of a run that is shared out took together.
type sharedOut struct {
	start                     time.Duration // of a process that does nothing
	plan, manifests, barriers time.Duration // processor time, of all
	all                       time.Duration // processor time
	longest                   time.Duration // processor time of the slowest shard of each stage
	wall                      time.Duration // by the clock
	memory                    int64         // of a process, bytes at most
}

// add adds the shards of a stage.
func (s *sharedOut) add(b *testing.B, stage string, spent []usage, wall time.Duration) {
	b.Helper()
	var slowest, together time.Duration
	for _, u := range spent {
		slowest, together, s.memory = max(slowest, u.cpu), together+u.cpu, max(s.memory, u.memory)
	}
	s.all, s.longest, s.wall = s.all+together, s.longest+slowest, s.wall+wall
	b.Logf("%-8s %6.2f s together, %6.2f s in the slower shard", stage, together.Seconds(), slowest.Seconds())
}

func (s *sharedOut) report(b *testing.B) {
	b.Helper()
	share := func(d time.Duration) float64 { return 100 * d.Seconds() / s.all.Seconds() }
	b.ReportMetric(share(s.plan), "plan-%")
	b.ReportMetric(share(s.manifests), "manifests-%")
	b.ReportMetric(share(s.barriers), "barriers-%")
	b.ReportMetric(share(s.plan+s.manifests+s.barriers), "overhead-%")
	b.ReportMetric(s.all.Seconds(), "cpu-s")
	b.ReportMetric(float64(s.memory>>20), "MB/task")
}

// stageBeside does the shards of a stage at the same time, and gives what each took and the
// time by the clock.
func stageBeside(b *testing.B, p program, fleet, stage string) (spent []usage, wall time.Duration) {
	b.Helper()
	spent = make([]usage, shardsOfStage(stage, twoShards))
	began := time.Now()
	var wg sync.WaitGroup
	for i := range spent {
		wg.Go(func() { spent[i] = p.stage(b, fleet, stage, i, twoShards) })
	}
	wg.Wait()
	return spent, time.Since(began)
}

// sharing is what a shard of a stage that is done takes to open the workspace and the plan, and
// to ask its barriers, in processor time.
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
	vouched, err := plan.Vouched(b.Context(), ws.store)
	if err != nil {
		b.Fatal(err)
	}
	rounds := ws.fleetShare(b.Context(), plan, told{vouched: vouched}, time.Time{}).rounds
	if stage != "fleet" {
		rounds = ws.shardOf(b.Context(), plan, array.Shard{Index: i, Count: twoShards}, stage, 0).rounds
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
