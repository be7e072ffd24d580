package main

import (
	"os"
	"runtime"
	"runtime/debug"
	collector "runtime/metrics"
)

// When the garbage collector runs. What lives is small beside what many small files leave
// behind, so most of a run has room to spare, and collecting less often takes a tenth less
// processor time. Only where much lives does memory come before time.
const (
	collectAt = 400       // growth of the heap, in percent, at which the collector runs
	roomy     = 320 << 20 // bytes of memory: nearer to them it runs sooner
	roomier   = 640 << 20 // the same of run, which has a machine to itself: years of permanent loggers take 1 to 3 % less processor time than with half of it
	early     = 320 << 20 // bytes of heap below which run collects nothing: a night of four permanent loggers would collect three times after a year, five after three
	sparing   = 2         // times what lives: where that is more, it counts instead; three took 737 MB for 500 systems in a task, two 415 MB at the same time
)

// A pace is when to collect, in bytes.
type pace struct{ early, room int64 }

// paceOf is that of a command. Shards of a run share a machine.
func paceOf(args []string) pace {
	if len(args) > 0 && args[0] == "run" {
		return pace{early, roomier}
	}
	return pace{0, roomy}
}

// set paces the collector, unless the user did.
func (p pace) set() {
	if os.Getenv("GOGC") != "" || os.Getenv("GOMEMLIMIT") != "" {
		return
	}
	p.follow(0)
	afterCollection(func() { p.follow(alive()) })
}

// follow paces the collector by how many bytes live.
func (p pace) follow(alive int64) {
	debug.SetGCPercent(p.percent(alive))
	debug.SetMemoryLimit(max(p.room, sparing*alive))
}

// least is the heap at which Go collects with a growth of 100 %, whatever lives: it goes along
// with the percentage.
const least = 4 << 20

// percent is the growth at which the heap has early bytes, or collectAt where that is more.
func (p pace) percent(alive int64) int {
	return max(collectAt, int(100*(p.early-alive)/max(alive, least)))
}

// afterCollection calls do after each run of the collector.
func afterCollection(do func()) {
	watched := new([16]byte)
	runtime.AddCleanup(watched, func(struct{}) {
		do()
		afterCollection(do)
	}, struct{}{})
}

// alive is how many bytes of the heap were in use at the last collection.
func alive() int64 {
	live := []collector.Sample{{Name: "/gc/heap/live:bytes"}}
	collector.Read(live)
	return int64(live[0].Value.Uint64())
}
