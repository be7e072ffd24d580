package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"syscall"
	"testing"

	"rimelog/pipeline/store"
)

func TestEveryErrorHasItsExitCode(t *testing.T) {
	ended, cancel := context.WithCancel(t.Context())
	cancel()
	for _, c := range []struct {
		what string
		ctx  context.Context
		err  error
		want int
	}{
		{"success", t.Context(), nil, exitDone},
		{"usage", t.Context(), usagef("no"), exitUsage},
		{"wrapped usage", t.Context(), fmt.Errorf("options: %w", usagef("no")), exitUsage},
		{"left out", t.Context(), errLeftOut, exitLeftOut},
		{"busy", t.Context(), &store.BusyError{Owner: "another"}, exitBusy},
		{"disk", t.Context(), fs.ErrPermission, exitFailed},
		{"interrupted", ended, errors.New("whatever came of it"), exitInterrupted},
	} {
		if got, _ := outcome(c.ctx, c.err); got != c.want {
			t.Errorf("%s: exit code %d, want %d", c.what, got, c.want)
		}
	}
}

// Whoever reads the error in the morning is told what to do, and programs have it by itself.
func TestErrorsOfTheDiskSayWhatToDo(t *testing.T) {
	for _, c := range []struct {
		err  error
		want string
	}{
		{&fs.PathError{Op: "write", Path: "x", Err: syscall.ENOSPC}, "make room"},
		{&fs.PathError{Op: "open", Path: "x", Err: syscall.EROFS}, "mount it for writing"},
		{&fs.PathError{Op: "open", Path: "x", Err: syscall.EACCES}, "may not read or write"},
		{&store.BusyError{Owner: "another"}, "when it has ended"},
		{errors.New("whatever it is"), ""},
	} {
		var text, programs, errOut bytes.Buffer
		(&console{out: &text, err: &errOut}).report(t.Context(), fmt.Errorf("join: %w", c.err))
		(&console{out: &programs, err: &errOut, json: true}).report(t.Context(), c.err)
		if has := strings.Contains(errOut.String(), "  -> "); has != (c.want != "") || !strings.Contains(errOut.String(), c.want) || text.Len() > 0 {
			t.Errorf("%v: %s", c.err, errOut.String())
		}
		if has := strings.Contains(programs.String(), `"remedy"`); has != (c.want != "") {
			t.Errorf("%v: %s", c.err, programs.String())
		}
	}
}

func TestBusyWorkspaceIsLeftAlone(t *testing.T) {
	folder := newFleet(t, allUploads()...)
	dir, err := store.OpenDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	unlock, err := dir.Lock("the night's run")
	if err != nil {
		t.Fatal(err)
	}
	defer unlock()
	var out, errOut bytes.Buffer
	if code := run(t.Context(), []string{"run", "-json", "-workspace", folder}, &out, &errOut); code != exitBusy {
		t.Errorf("exit code %d, want %d", code, exitBusy)
	}
	var answer struct {
		Error struct {
			Kind, Message string
			Exit          int
		}
	}
	if err := json.Unmarshal(out.Bytes(), &answer); err != nil {
		t.Fatalf("the error is no JSON: %v\n%s", err, out.String())
	}
	if answer.Error.Kind != "busy" || answer.Error.Exit != exitBusy {
		t.Errorf("error %+v", answer.Error)
	}
}

func TestInterruptedRunGoesOnLater(t *testing.T) {
	folder := newFleet(t, allUploads()...)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	var out, errOut bytes.Buffer
	if code := run(ctx, []string{"run", "-workspace", folder}, &out, &errOut); code != exitInterrupted {
		t.Errorf("exit code %d, want %d: %s", code, exitInterrupted, errOut.String())
	}
	mustRun(t, folder)
	verified(t, "after an interruption", folder)
}
