//go:build unix

package main

import (
	"bytes"
	"context"
	"fmt"
	"os/exec"
	"path/filepath"
	"syscall"
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

// doUntil runs the program until it ends, or is killed with the context.
func (p program) doUntil(ctx context.Context, t testing.TB, args ...string) usage {
	t.Helper()
	var said bytes.Buffer
	cmd := exec.CommandContext(ctx, string(p), args...)
	cmd.Stdout, cmd.Stderr = &said, &said
	began := time.Now()
	err := cmd.Run()
	if cmd.ProcessState == nil {
		t.Fatal(err)
	}
	u := usage{
		code: cmd.ProcessState.ExitCode(), said: said.String(), wall: time.Since(began),
		cpu: cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime(),
	}
	if r, ok := cmd.ProcessState.SysUsage().(*syscall.Rusage); ok {
		u.memory = r.Maxrss << 10
	}
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
