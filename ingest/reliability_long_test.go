//go:build long

package ingest_test

import (
	"context"
	"fmt"
	"runtime"
	"sync/atomic"
	"testing"
	"time"

	"rimelog/ingest/read/readtest"
	"rimelog/pipeline/table"
)

// A hundred thousand small files in one folder, one in a thousand of a known
// system: each has its outcome, a second run does nothing, and memory stays bounded.
func TestAFolderOfAHundredThousandFiles(t *testing.T) {
	const files = 100_000
	b := newBench(t)
	for i := range files {
		folder := "inbox"
		if i%1000 == 0 {
			folder = "KA-07"
		}
		b.write(fmt.Sprintf("uploads/%s/log %06d.csv", folder, i), powerHeader+minutes(i, 2))
	}
	stop := watchHeap()
	s, d := b.stage()
	start := time.Now()
	tally := b.do(s.Rounds())
	took := time.Since(start)
	if tally.Done["look"] != files || tally.Done["read"] != files/1000 {
		t.Errorf("jobs done: %v", tally.Done)
	}
	uploads, _, err := s.Account(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	states := map[string]int{}
	for _, u := range uploads {
		states[u.Status]++
	}
	if states["waiting"] != files-files/1000 || states["read"] != files/1000 {
		t.Errorf("outcomes: %v", states)
	}
	rows := 0
	for _, month := range []string{"2025-03", "2025-04", "2025-05", "2025-06"} {
		if f, err := d.ReadTable(context.Background(), table.Samples().Path("KA-07", month)); err == nil {
			rows += f.Rows()
		}
	}
	if rows != 2*files/1000 {
		t.Errorf("%d samples, want %d", rows, 2*files/1000)
	}
	s, _ = b.stage()
	again := time.Now()
	if tally := b.do(s.Rounds()); len(tally.Done) != 0 {
		t.Errorf("a second run did %v", tally.Done)
	}
	peak := stop()
	t.Logf("%d files: first run %v, second %v, at most %d MB of heap", files, took.Round(time.Second), time.Since(again).Round(time.Millisecond), peak>>20)
	if peak > 600<<20 {
		t.Errorf("%d MB of heap", peak>>20)
	}
}

// watchHeap samples how much memory is in use until stop, which gives the most.
func watchHeap() (stop func() uint64) {
	var most atomic.Uint64
	done, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		for tick := time.NewTicker(20 * time.Millisecond); ; {
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			most.Store(max(most.Load(), m.HeapAlloc))
			select {
			case <-done:
				tick.Stop()
				return
			case <-tick.C:
			}
		}
	}()
	return func() uint64 { close(done); <-ended; return most.Load() }
}

// A line of two gigabytes needs no more memory than one of a hundred megabytes.
func TestALineOfTwoGigabytes(t *testing.T) {
	p := pattern{{text: powerHeader + minutes(0, 50)}, {fill: 'x', size: 2 << 30}, {text: "\n" + minutes(50, 50)}}
	stop := watchHeap()
	r := readtest.File(t, p.source(), home)
	peak := stop()
	t.Logf("at most %d MB of heap", peak>>20)
	if r.Lines.Data != 100 || r.Lines.Quarantined != 1 || peak > 400<<20 {
		t.Errorf("%d MB of heap, %+v", peak>>20, r.Lines)
	}
}
