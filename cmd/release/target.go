package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"strings"
)

// A target is a system and a processor, by Go's names.
type target struct{ system, processor string }

func parseTarget(name string) (target, error) {
	system, processor, ok := strings.Cut(strings.TrimSpace(name), "/")
	if !ok || system == "" || processor == "" {
		return target{}, fmt.Errorf("target %q: want SYSTEM/PROCESSOR, such as linux/amd64", name)
	}
	return target{system, processor}, nil
}

func (t target) folder() string { return "rimelog-" + t.system + "-" + t.processor }

// program is the file name of the program.
func (t target) program() string {
	if t.system == "windows" {
		return "rimelog.exe"
	}
	return "rimelog"
}

// archive is the file name of the archive, of the kind that the system opens by itself.
func (t target) archive() string {
	if t.system == "windows" {
		return t.folder() + ".zip"
	}
	return t.folder() + ".tar.gz"
}

func (t target) env() []string {
	return []string{"CGO_ENABLED=0", "GOOS=" + t.system, "GOARCH=" + t.processor}
}

func (t target) build(ctx context.Context, program string) error {
	_, err := command(ctx, t.env(), "go", "build", "-trimpath", "-ldflags=-s -w", "-o", program, "./cmd/rimelog")
	return err
}

// command runs a program with more environment, and returns what it printed.
func command(ctx context.Context, env []string, name string, args ...string) ([]byte, error) {
	cmd := exec.CommandContext(ctx, name, args...)
	cmd.Env = append(os.Environ(), env...)
	var errOut bytes.Buffer
	cmd.Stderr = &errOut
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("%s %s: %w\n%s", name, strings.Join(args, " "), err, errOut.Bytes())
	}
	return out, nil
}
