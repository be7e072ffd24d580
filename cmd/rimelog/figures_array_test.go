//go:build array && linux

package main

import (
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

// figureRounds is how often each way is gone: twice for each processor that one shard has, by
// each order of one shard and two.
const figureRounds = 2 * 2 * 2

// How much faster two shards are than one where each has a processor for itself, which must be
// 1.8 times, and than one process, which saves what the stages read again; by the clock. What
// else a machine does only ever adds to a time, so the shortest of the rounds says what the work
// itself takes: the manual of Python's timeit tells to take the minimum of repetitions for this
// reason (docs.python.org/3/library/timeit.html, note on Timer.repeat). It is taken of each stage,
// and the stages are summed; one shard and two do a stage right after each other, so that a slow
// spell meets both. Two shards need both processors free at once, so what is left of it is to
// their disadvantage.
func TestArrayFigures(t *testing.T) {
	if runtime.NumCPU() < twoShards {
		t.Skip("two shards need two processors")
	}
	m := newManyLogs(t)
	var spent [ways]stageTimes
	for w := range spent {
		spent[w] = stageTimes{}
	}
	for round := range figureRounds {
		m.round(t, round, &spent)
	}
	var clock [ways]time.Duration
	for w := range ways {
		clock[w] = spent[w].tell(t, w)
	}
	speed := func(over way) float64 { return clock[over].Seconds() / clock[sideBySide].Seconds() }
	t.Logf("two shards are %.2f times as fast as one shard, %.2f times as fast as one process", speed(oneShard), speed(oneProcess))
	if speed(oneShard) < 1.8 {
		t.Error("want 1.8 over one shard")
	}
}

// A spending is what all tasks of a stage took.
type spending struct {
	wall   time.Duration // by the clock
	cpu    time.Duration // of processor time, together
	longer time.Duration // of processor time, in the slower task
	memory int64         // of a task, bytes at most
}

// stageTimes are what each stage took in all rounds; one process has one stage, "run".
type stageTimes map[string][]spending

// wholeJob is the stage of one process.
const wholeJob = "run"

// tell tells what each stage of a way took, and gives the sum of their shortest times by the clock.
func (s stageTimes) tell(t *testing.T, w way) (shortest time.Duration) {
	t.Helper()
	var cpu, longer, middle time.Duration
	for _, stage := range append([]string{wholeJob}, stageNames...) {
		all := s[stage]
		if len(all) == 0 {
			continue
		}
		clock := sorted(all, func(s spending) time.Duration { return s.wall })
		least, most, usual := clock[0], clock[len(clock)-1], clock[len(clock)/2]
		together := sorted(all, func(s spending) time.Duration { return s.cpu })[0]
		slower := sorted(all, func(s spending) time.Duration { return s.longer })[0]
		t.Logf("%-11v %-8s %6.2f s by the clock (median %6.2f, longest %6.2f), %6.2f s of processor time, %6.2f s in the slower task; at most %d MB",
			w, stage, least.Seconds(), usual.Seconds(), most.Seconds(), together.Seconds(), slower.Seconds(), s.memory(t, w, stage)>>20)
		shortest, middle, cpu, longer = shortest+least, middle+usual, cpu+together, longer+slower
	}
	t.Logf("%-11v %-8s %6.2f s by the clock (median %6.2f), %6.2f s of processor time, %6.2f s in the slower tasks",
		w, "together", shortest.Seconds(), middle.Seconds(), cpu.Seconds(), longer.Seconds())
	return shortest
}

// memory is the most that a task of a stage took, which is bounded where a scheduler bounds it.
func (s stageTimes) memory(t *testing.T, w way, stage string) (most int64) {
	t.Helper()
	for _, one := range s[stage] {
		most = max(most, one.memory)
	}
	if w != oneProcess && most > 512<<20 {
		t.Errorf("a task of %s of %v took %d MB, want less than 512", stage, w, most>>20)
	}
	return most
}

func sorted(all []spending, of func(spending) time.Duration) (times []time.Duration) {
	for _, s := range all {
		times = append(times, of(s))
	}
	slices.Sort(times)
	return times
}

// round goes each way once, on copies that lie on the disk before any of them begins, and
// holds the results against those of one process.
func (m manyLogs) round(t *testing.T, round int, spent *[ways]stageTimes) {
	t.Helper()
	scratch := t.TempDir()
	folder := func(w way) string { return filepath.Join(scratch, fmt.Sprint(int(w))) }
	for w := range ways {
		if err := os.CopyFS(folder(w), os.DirFS(m.fleet)); err != nil {
			t.Fatal(err)
		}
	}
	note := func(w way, stage string, s spending) {
		t.Logf("round %d, %-11v %-8s %6.2f s by the clock, %6.2f s of processor time, %6.2f s in the slower task", round, w, stage, s.wall.Seconds(), s.cpu.Seconds(), s.longer.Seconds())
		spent[w][stage] = append(spent[w][stage], s)
	}
	for _, stage := range stageNames {
		for _, w := range shardedIn(round) {
			note(w, stage, m.stageBound(t, folder(w), stage, int(w), round))
		}
	}
	syscall.Sync()
	u := m.boundTo(t, round%twoShards).whole(t, folder(oneProcess))
	note(oneProcess, wholeJob, spending{u.wall, u.cpu, u.cpu, u.memory})
	for w := range ways {
		sameResults(t, w.String(), results(t, folder(w)), m.want)
	}
	if err := os.RemoveAll(scratch); err != nil {
		t.Fatal(err)
	}
}

// shardedIn is the order of one shard and two in a round: another every second round, since
// one shard changes its processor every round.
func shardedIn(round int) []way {
	if round/2%2 == 1 {
		return []way{sideBySide, oneShard}
	}
	return []way{oneShard, sideBySide}
}

// stageBound does all shards of a stage at the same time, each on a processor of its own; the
// first or only one has the round's. Nothing that was done before is still on its way to the disk.
func (m manyLogs) stageBound(t *testing.T, folder, stage string, n, round int) (s spending) {
	t.Helper()
	used := make([]usage, shardsOfStage(stage, n))
	bound := make([]program, len(used))
	for i := range bound {
		bound[i] = m.boundTo(t, (i+round)%twoShards)
	}
	syscall.Sync()
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
