//go:build array && linux

package main

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"sync"
	"syscall"
	"testing"
	"time"
)

// A way is how the whole job is done.
type way int

const (
	oneProcess way = iota // by `run`
	oneShard              // by the stages of a run that is shared out to as many shards
	sideBySide            // by the same, in two shards at the same time
	ways
)

func (w way) String() string { return [...]string{"one process", "one shard", "two shards"}[w] }

// figureRounds is how often each way is gone: twice each as first, second and last of a round,
// since what comes first after copying is slower.
const figureRounds = 2 * int(ways)

// How much faster two shards are than one where each has a processor for itself, which must be
// 1.8 times, and than one process, which saves what the stages read again; by the clock, the
// medians of all rounds.
func TestArrayFigures(t *testing.T) {
	if runtime.NumCPU() < twoShards {
		t.Skip("two shards need two processors")
	}
	m := newManyLogs(t)
	var spent [ways][]spending
	for round := range figureRounds {
		m.round(t, round, &spent)
	}
	var clock [ways]time.Duration
	for w := range ways {
		clock[w] = tell(t, w, spent[w])
	}
	speed := func(over way) float64 { return clock[over].Seconds() / clock[sideBySide].Seconds() }
	t.Logf("two shards are %.2f times as fast as one shard, %.2f times as fast as one process", speed(oneShard), speed(oneProcess))
	if speed(oneShard) < 1.8 {
		t.Error("want 1.8 over one shard")
	}
}

// tell tells what a way took, and gives the median of its times by the clock.
func tell(t *testing.T, w way, all []spending) time.Duration {
	t.Helper()
	clock := median(all, func(s spending) time.Duration { return s.wall })
	cpu, longer := median(all, func(s spending) time.Duration { return s.cpu }), median(all, func(s spending) time.Duration { return s.longer })
	memory := slices.MaxFunc(all, func(a, b spending) int { return cmp.Compare(a.memory, b.memory) }).memory
	t.Logf("%-11v %6.2f s by the clock, %6.2f s of processor time, %6.2f s of it the longer way (medians of %d); a task takes at most %d MB",
		w, clock.Seconds(), cpu.Seconds(), longer.Seconds(), len(all), memory>>20)
	if w != oneProcess && memory > 512<<20 {
		t.Errorf("a task of %v took %d MB, want less than 512", w, memory>>20)
	}
	return clock
}

// A spending is what a run took.
type spending struct {
	wall   time.Duration
	cpu    time.Duration // of processor time, in all tasks
	longer time.Duration // of processor time, in the slower task of each stage
	memory int64         // of a task, bytes at most
}

func median(all []spending, of func(spending) time.Duration) time.Duration {
	var times []time.Duration
	for _, s := range all {
		times = append(times, of(s))
	}
	slices.Sort(times)
	return (times[(len(times)-1)/2] + times[len(times)/2]) / 2
}

// round goes each way once, in another order each time, on copies that lie on the disk before
// any of them begins, and holds the results against those of one process.
func (m manyLogs) round(t *testing.T, round int, spent *[ways][]spending) {
	t.Helper()
	scratch := t.TempDir()
	folder := func(w way) string { return filepath.Join(scratch, fmt.Sprint(int(w))) }
	for w := range ways {
		if err := os.CopyFS(folder(w), os.DirFS(m.fleet)); err != nil {
			t.Fatal(err)
		}
	}
	for i := range ways {
		w := (i + way(round)) % ways
		syscall.Sync()
		s := m.goes(t, w, folder(w), round)
		t.Logf("round %d, %-11v %6.2f s by the clock, %6.2f s of processor time, %6.2f s of it the longer way", round, w, s.wall.Seconds(), s.cpu.Seconds(), s.longer.Seconds())
		spent[w] = append(spent[w], s)
		sameResults(t, w.String(), results(t, folder(w)), m.want)
	}
	if err := os.RemoveAll(scratch); err != nil {
		t.Fatal(err)
	}
}

// goes does the whole job a way. The first or only task of a stage has the round's processor.
func (m manyLogs) goes(t *testing.T, w way, folder string, round int) (s spending) {
	t.Helper()
	if w == oneProcess {
		u := m.boundTo(t, round%twoShards).whole(t, folder)
		return spending{u.wall, u.cpu, u.cpu, u.memory}
	}
	for _, stage := range stageNames {
		s.add(m.stageBound(t, folder, stage, int(w), round))
	}
	return s
}

// stageBound does all shards of a stage at the same time, each on a processor of its own.
func (m manyLogs) stageBound(t *testing.T, folder, stage string, n, round int) (s spending) {
	t.Helper()
	used := make([]usage, shardsOfStage(stage, n))
	bound := make([]program, len(used))
	for i := range bound {
		bound[i] = m.boundTo(t, (i+round)%twoShards)
	}
	began := time.Now()
	var all sync.WaitGroup
	for i, p := range bound {
		all.Go(func() { used[i] = p.stage(t, folder, stage, i, n) })
	}
	all.Wait()
	s.wall = time.Since(began)
	for _, u := range used {
		s.cpu, s.longer, s.memory = s.cpu+u.cpu, max(s.longer, u.cpu), max(s.memory, u.memory)
	}
	return s
}

// add adds what the next stage took.
func (s *spending) add(next spending) {
	s.wall, s.cpu, s.longer, s.memory = s.wall+next.wall, s.cpu+next.cpu, s.longer+next.longer, max(s.memory, next.memory)
}

// boundTo is the program on one of the machine's processors and no other, as a scheduler
// binds a task that asks for one.
func (p program) boundTo(t *testing.T, processor int) program {
	t.Helper()
	script := filepath.Join(t.TempDir(), "rimelog")
	text := fmt.Sprintf("#!/bin/sh\nexec taskset -c %d '%s' \"$@\"\n", processor, p)
	if err := os.WriteFile(script, []byte(text), 0o700); err != nil {
		t.Fatal(err)
	}
	return program(script)
}
