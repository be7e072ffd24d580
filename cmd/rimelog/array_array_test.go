//go:build array

package main

import (
	"context"
	"encoding/json"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"rimelog/pipeline/array/slurmtest"
	"rimelog/pipeline/store/bucket/s3test"
)

// These tests run shards as a cluster does: as processes, on a real Slurm cluster, over a
// real S3 server. `make test-array` runs them, as root; their figures stand in the README.

const versitygw = "../../.cache/bin/versitygw"

// A manyLogs is about 1,000 uploads of 100 invented systems, and what one process makes of them.
type manyLogs struct {
	program
	fleet string // a workspace with the uploads and the register alone
	want  map[string]string
}

func newManyLogs(t *testing.T) manyLogs {
	t.Helper()
	m := manyLogs{program: buildProgram(t), fleet: visitedFleet(t, 100)}
	whole := copyOf(t, m.fleet)
	m.whole(t, whole)
	m.want = results(t, whole)
	return m
}

// A node that is lost in the middle of the longest stage: its task is requeued on another, and
// the bytes are those of one process.
func TestArrayOnSlurmLosesANode(t *testing.T) {
	m := newManyLogs(t)
	url := s3test.Start(t, versitygw)
	fill(t, url, m.fleet)
	c := slurmtest.Start(t, filepath.Dir(string(m.program)))
	c.Setenv("RIMELOG_WORKSPACE", url)
	c.Setenv("RIMELOG_AS_OF", "")
	script, err := filepath.Abs("kit/slurm.sh")
	if err != nil {
		t.Fatal(err)
	}
	began := time.Now()
	t.Log(c.Do("sh", script, "6"))
	c.Await(5*time.Minute, "w1 is in the middle of analyse", func() bool {
		s := m.status(t, url)
		running := c.Do("squeue", "-h", "-r", "-t", "R", "-w", "w1", "-o", "%A")
		return s != nil && s["analyse"].Done > 10 && s["analyse"].Missing > 10 && running != ""
	})
	c.KillNode("w1")
	t.Logf("w1 killed after %v", time.Since(began).Round(time.Second))
	c.Await(3*time.Minute, "Slurm sees that w1 is down", func() bool { return strings.Contains(c.Do("sinfo", "-h", "-n", "w1", "-o", "%T"), "down") })
	c.StartNode("w1")
	c.Await(20*time.Minute, "all tasks ended", func() bool { return c.Do("squeue", "-h", "-r") == "" })
	states, requeued := c.Tasks()
	t.Logf("%v: tasks %v, %d requeued", time.Since(began).Round(time.Second), states, requeued)
	if states["COMPLETED"] != 1+6+6+1+6 || len(states) != 1 || requeued == 0 {
		t.Errorf("tasks %v, %d requeued", states, requeued)
	}
	for stage, row := range m.status(t, url) {
		if row.Missing > 0 {
			t.Errorf("%s: %+v", stage, row)
		}
	}
	sameResults(t, "on Slurm", results(t, copied(t, url)), m.want)
}

type statusRow struct{ Done, Missing, Rejected int }

// status is what `rimelog status` says of each stage; nil while there is no plan.
func (m manyLogs) status(t *testing.T, workspace string) map[string]statusRow {
	t.Helper()
	u := m.do(t, "status", "-workspace", workspace, "-json")
	if u.code != exitDone {
		return nil
	}
	var said struct {
		Stages []struct {
			Stage string
			Total statusRow
		}
	}
	if err := json.Unmarshal([]byte(u.said), &said); err != nil {
		t.Fatalf("%v: %s", err, u.said)
	}
	rows := map[string]statusRow{}
	for _, s := range said.Stages {
		rows[s.Stage] = s.Total
	}
	return rows
}

// Shards that are killed and run again, run twice at once and run once more: over a real S3
// server, in another order each time.
func TestArrayShardsKilledAndDoubled(t *testing.T) {
	m := newManyLogs(t)
	url := s3test.Start(t, versitygw)
	fill(t, url, m.fleet)
	const n = 3
	m.stage(t, url, "plan", 0, n)
	killed := 0
	for _, stage := range stageNames[1:] {
		for i := range shardsOfStage(stage, n) {
			for _, after := range []time.Duration{300 * time.Millisecond, 2 * time.Second} {
				killed += m.kill(t, url, stage, i, n, after)
			}
			var wg sync.WaitGroup
			for range 2 {
				wg.Go(func() { m.stage(t, url, stage, i, n) })
			}
			wg.Wait()
			m.stage(t, url, stage, i, n)
		}
	}
	t.Logf("%d processes were killed", killed)
	if killed < 5 {
		t.Errorf("only %d processes were at work when they were to be killed", killed)
	}
	sameResults(t, "killed and doubled", results(t, copied(t, url)), m.want)
}

// kill runs a shard and kills it after a while; it counts 1 if it was still at work.
func (m manyLogs) kill(t *testing.T, workspace, stage string, i, n int, after time.Duration) int {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), after)
	defer cancel()
	if m.doUntil(ctx, t, stageArgs(workspace, stage, i, n)...).code < 0 {
		return 1
	}
	return 0
}
