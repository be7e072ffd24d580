//go:build unix

package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// A program is the built rimelog, for tests that need it as a process of its own.
type program string

func buildProgram(t testing.TB) program {
	t.Helper()
	p := filepath.Join(t.TempDir(), "rimelog")
	if out, err := exec.Command("go", "build", "-o", p, ".").CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return program(p)
}

// A usage is how a process ended, and what it took.
type usage struct {
	code   int
	said   string
	cpu    time.Duration
	wall   time.Duration
	memory int64 // bytes, at most
}

func (p program) do(t testing.TB, args ...string) usage {
	t.Helper()
	return p.doUntil(t.Context(), t, args...)
}

// doUntil runs the program until it ends, or is killed with the context. It has one
// processor, as a scheduler binds a task that asks for one: its garbage is collected there
// too, and not on one that another task has.
func (p program) doUntil(ctx context.Context, t testing.TB, args ...string) usage {
	t.Helper()
	var said bytes.Buffer
	cmd := exec.CommandContext(ctx, string(p), args...)
	cmd.Stdout, cmd.Stderr = &said, &said
	cmd.Env = append(os.Environ(), "GOMAXPROCS=1")
	began := time.Now()
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	memory := watchMemory(cmd.Process.Pid)
	_ = cmd.Wait() // how it ended is in its state
	return usage{
		code: cmd.ProcessState.ExitCode(), said: said.String(), wall: time.Since(began),
		cpu:    cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime(),
		memory: memory(),
	}
}

// watchMemory asks the system every few milliseconds how much memory a process has had at
// most, and gives what it said last: 0 where there is no such file. What the system says of
// a process that ended counts what its parent had when it began, so a large test would be
// measured instead.
func watchMemory(pid int) (most func() int64) {
	var peak int64
	done, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		for tick := time.NewTicker(20 * time.Millisecond); ; {
			peak = max(peak, highWater(pid))
			select {
			case <-done:
				tick.Stop()
				return
			case <-tick.C:
			}
		}
	}()
	return func() int64 {
		close(done)
		<-ended
		return peak
	}
}

// highWater is the most memory that a living process has had resident, in bytes.
func highWater(pid int) (bytes int64) {
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return 0
	}
	_, line, _ := strings.Cut(string(status), "VmHWM:")
	_, _ = fmt.Sscan(line, &bytes)
	return bytes << 10
}

// whole does the whole job a job at a time, in one process.
func (p program) whole(t testing.TB, workspace string) usage {
	t.Helper()
	u := p.do(t, "run", "-workspace", workspace, "-workers", "1")
	if u.code != exitLeftOut {
		t.Fatalf("one process ended with %d: %s", u.code, u.said)
	}
	return u
}

// orLess is the shorter time of two, each by itself: what else a machine did fell on the other.
func (u usage) orLess(v usage) usage {
	u.cpu, u.wall = min(u.cpu, v.cpu), min(u.wall, v.wall)
	return u
}

// stageArgs are the arguments of one of n shards of a stage, a job at a time.
func stageArgs(workspace, stage string, i, n int) []string {
	args := []string{stage, "-workspace", workspace, "-workers", "1"}
	switch stage {
	case "plan":
		args = append(args, "-shards", fmt.Sprint(n))
	case "fleet":
	default:
		args = append(args, "-shard", fmt.Sprintf("%d/%d", i, n))
	}
	return args
}

// shardsOfStage is how many processes a stage has.
func shardsOfStage(stage string, n int) int {
	if stage == "plan" || stage == "fleet" {
		return 1
	}
	return n
}

// stage runs one shard of a stage that must succeed.
func (p program) stage(t testing.TB, workspace, stage string, i, n int) usage {
	t.Helper()
	args := stageArgs(workspace, stage, i, n)
	u := p.do(t, args...)
	if u.code != exitDone {
		t.Errorf("%v ended with %d: %s", args, u.code, u.said)
	}
	return u
}
