package main

import (
	"bytes"
	"fmt"
	"strings"
	"sync"
	"testing"

	"rimelog/pipeline/array"
	"rimelog/pipeline/dataset"
)

// The contract of the shards: any number of them, killed, run again or twice at once, give
// the bytes of one process; the ledger says what is missing; the exit code says whether
// trying again helps.

// did runs a command and gives its exit code and what it said.
func did(t *testing.T, args ...string) (code int, said string) {
	t.Helper()
	var out bytes.Buffer
	code = run(t.Context(), args, &out, &out)
	return code, out.String()
}

func mustDo(t *testing.T, args ...string) string {
	t.Helper()
	code, said := did(t, args...)
	if code != exitDone {
		t.Fatalf("rimelog %s ended with %d: %s", strings.Join(args, " "), code, said)
	}
	return said
}

// inShards does a stage's shards, the last first.
func inShards(t *testing.T, folder, stage string, n int) {
	t.Helper()
	for i := range n {
		mustDo(t, stage, "-workspace", folder, "-shard", fmt.Sprintf("%d/%d", n-1-i, n))
	}
}

// Plan and report call the pages of all systems together alike.
func TestOneWordForTheFleetsPages(t *testing.T) {
	if array.Fleet != dataset.FleetUnit {
		t.Errorf("%q is the plan's word, %q the report's", array.Fleet, dataset.FleetUnit)
	}
}

func TestShardsGiveTheBytesOfOneProcess(t *testing.T) {
	whole := newFleet(t, allUploads()...)
	mustRun(t, whole)
	want := hashes(t, whole, func(name string) bool { return !strings.HasPrefix(name, "run/") })
	for _, n := range []int{1, 3} {
		folder := newFleet(t, allUploads()...)
		mustDo(t, "plan", "-workspace", folder, "-shards", fmt.Sprint(n))
		inShards(t, folder, "ingest", n)
		inShards(t, folder, "analyse", n)
		mustDo(t, "fleet", "-workspace", folder)
		inShards(t, folder, "report", n)
		what := fmt.Sprintf("%d shards", n)
		sameResults(t, what, hashes(t, folder, func(name string) bool { return !strings.HasPrefix(name, "run/") }), want)
		verified(t, what, folder)
		if tally := mustRun(t, folder); len(tally.Done) > 0 {
			t.Errorf("%s: a run after them did %v", what, tally.Done)
		}
	}
}

// Two copies of every shard at once: one of them loses each race, and both succeed.
func TestTwoCopiesOfAShard(t *testing.T) {
	whole := newFleet(t, allUploads()...)
	mustRun(t, whole)
	want := results(t, whole)
	for trial := range 5 {
		folder := newFleet(t, allUploads()...)
		mustDo(t, "plan", "-workspace", folder, "-shards", "2")
		for _, stage := range []string{"ingest", "analyse", "fleet", "report"} {
			twice(t, folder, stage)
		}
		sameResults(t, fmt.Sprintf("trial %d", trial), results(t, folder), want)
		verified(t, "twice at once", folder)
	}
}

func twice(t *testing.T, folder, stage string) {
	t.Helper()
	shards := [][]string{{"-shard", "0/2"}, {"-shard", "1/2"}}
	if stage == "fleet" {
		shards = [][]string{nil}
	}
	var wg sync.WaitGroup
	for range 2 {
		for _, shard := range shards {
			wg.Go(func() {
				if code, said := did(t, append([]string{stage, "-workspace", folder}, shard...)...); code != exitDone {
					t.Errorf("%s %v ended with %d: %s", stage, shard, code, said)
				}
			})
		}
	}
	wg.Wait()
}
