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
	sparing   = 2         // times what lives: where that is more, it counts instead; three took 737 MB for 500 systems in a task, two 415 MB at the same time
)

// roomFor is how much memory a command may fill. Shards of a run share a machine.
func roomFor(args []string) int64 {
	if len(args) > 0 && args[0] == "run" {
		return roomier
	}
	return roomy
}

// paceCollector sets the collector for so much room, unless the user did.
func paceCollector(room int64) {
	if os.Getenv("GOGC") != "" || os.Getenv("GOMEMLIMIT") != "" {
		return
	}
	debug.SetGCPercent(collectAt)
	debug.SetMemoryLimit(room)
	afterCollection(func() { debug.SetMemoryLimit(max(room, sparing*alive())) })
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
