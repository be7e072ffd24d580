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
	sparing   = 2         // times what lives: where that is more, it counts instead; three took 737 MB for 500 systems in a task, two 415 MB at the same time
)

// paceCollector sets the collector for a run, unless the user did.
func paceCollector() {
	if os.Getenv("GOGC") != "" || os.Getenv("GOMEMLIMIT") != "" {
		return
	}
	debug.SetGCPercent(collectAt)
	debug.SetMemoryLimit(roomy)
	afterCollection(func() { debug.SetMemoryLimit(max(roomy, sparing*alive())) })
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
