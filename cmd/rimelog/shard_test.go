package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"rimelog/pipeline"
	"rimelog/pipeline/array"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/local"
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

// Shards of the report that are done at the same moment: whoever looks last for the pages of
// the others finds them all, and publishes.
func TestShardsOfTheReportThatEndTogether(t *testing.T) {
	folder := newFleet(t, allUploads()...)
	mustDo(t, "plan", "-workspace", folder, "-shards", "2")
	inShards(t, folder, "ingest", 2)
	inShards(t, folder, "analyse", 2)
	mustDo(t, "fleet", "-workspace", folder)
	var commits []func(context.Context) error
	for i := range 2 {
		ws, err := (&where{folder: folder, workers: 1}).open(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		plan, err := array.Open(t.Context(), ws.store, "", ws.basis())
		if err != nil {
			t.Fatal(err)
		}
		rounds := ws.shardOf(t.Context(), plan, array.Shard{Index: i, Count: 2}, "report", 0).rounds
		last := &rounds[len(rounds)-1]
		commits, last.Commit = append(commits, last.Commit), nil
		if _, err := pipeline.Run(t.Context(), rounds, local.Runner{Workers: 1}, pipeline.Hooks{}); err != nil {
			t.Fatal(err)
		}
	}
	for _, commit := range commits {
		if err := commit(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := os.Stat(filepath.Join(folder, "report", "index.html")); err != nil {
		t.Error(err)
	}
}

// What shards vouch for saves work and decides nothing: without it the fleet's bytes are the
// same, and a generation that nobody vouched for is asked what it lacks.
func TestVouchersDecideNothing(t *testing.T) {
	folder := newFleet(t, allUploads()...)
	mustDo(t, "plan", "-workspace", folder, "-shards", "2")
	inShards(t, folder, "ingest", 2)
	inShards(t, folder, "analyse", 2)
	unvouched := copyOf(t, folder)
	if err := os.RemoveAll(filepath.Join(unvouched, "run", "vouchers")); err != nil {
		t.Fatal(err)
	}
	mustDo(t, "fleet", "-workspace", unvouched)
	undone := copyOf(t, folder)
	analysed, err := filepath.Glob(filepath.Join(undone, "dataset", "ledger", "systems", "*", "000002.json"))
	if err != nil || len(analysed) == 0 {
		t.Fatalf("%v, %v", analysed, err)
	}
	if err := os.Remove(analysed[0]); err != nil {
		t.Fatal(err)
	}
	if code, said := did(t, "fleet", "-workspace", undone); code != exitFailed || !strings.Contains(said, "1 of ") || !strings.Contains(said, "not analysed") {
		t.Errorf("a system that lost its results: %d, %s", code, said)
	}
	damaged := copyOf(t, folder)
	for _, name := range leftIn(t, damaged, ".looked") {
		spoil(t, name)
	}
	inShards(t, damaged, "analyse", 2)
	for _, name := range leftIn(t, damaged, ".excerpts") {
		spoil(t, name)
	}
	mustDo(t, "fleet", "-workspace", damaged)
	mustDo(t, "fleet", "-workspace", folder)
	sameResults(t, "without vouchers", results(t, unvouched), results(t, folder))
	sameResults(t, "with damaged excerpts", results(t, damaged), results(t, folder))
}

// What a shard keeps of what it made is what stands in its files: when it is run again, and
// reads these, its excerpts are the same to the byte.
func TestExcerptsSayWhatFilesSay(t *testing.T) {
	folder := newFleet(t, allUploads()...)
	mustDo(t, "plan", "-workspace", folder, "-shards", "2")
	inShards(t, folder, "ingest", 2)
	inShards(t, folder, "analyse", 2)
	made := hashes(t, folder, func(name string) bool { return strings.HasSuffix(name, ".excerpts") })
	if len(made) != 2 {
		t.Fatalf("%d shards left excerpts, want 2", len(made))
	}
	inShards(t, folder, "analyse", 2)
	sameResults(t, "read again", hashes(t, folder, func(name string) bool { return strings.HasSuffix(name, ".excerpts") }), made)
}

// leftIn are the files of a kind that shards left beside their results.
func leftIn(t *testing.T, folder, kind string) []string {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(folder, "run", "vouchers", "*", "*"+kind))
	if err != nil || len(names) == 0 {
		t.Fatalf("%v, %v", names, err)
	}
	return names
}

// spoil changes a byte in the middle of a file.
func spoil(t *testing.T, name string) {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	b[len(b)/2] ^= 1
	if err := os.WriteFile(name, b, 0o600); err != nil {
		t.Fatal(err)
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

// copyOf is a workspace in a folder of its own.
func copyOf(t testing.TB, workspace string) string {
	t.Helper()
	folder := filepath.Join(t.TempDir(), "workspace")
	if err := os.CopyFS(folder, os.DirFS(workspace)); err != nil {
		t.Fatal(err)
	}
	return folder
}
