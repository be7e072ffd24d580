package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"rimelog/analysis/report"
	"rimelog/pipeline/array"
	"rimelog/pipeline/local"
	"rimelog/pipeline/store"
	"rimelog/pipeline/store/bucket"
)

// The program's exit codes.
const (
	exitDone        = 0
	exitFailed      = 1 // disk, store: trying again may help
	exitUsage       = 2 // usage, options: trying again does not help
	exitLeftOut     = 3 // done, something was left out
	exitBusy        = 4 // another run holds the workspace
	exitStopped     = 5 // stopped at -until, the rest next time
	exitInterrupted = 130
)

// errLeftOut ends a run that is done but for things the report lists.
var errLeftOut = errors.New("something was left out")

// A usageError is the caller's mistake: trying again does not help.
type usageError struct{ msg string }

func (e *usageError) Error() string { return e.msg }

func usagef(format string, args ...any) error {
	return &usageError{fmt.Sprintf(format, args...)}
}

// A console is where a command writes: results to out, all else to err.
type console struct {
	out, err io.Writer
	json     bool
}

// A failure is how an error is told to programs.
type failure struct {
	Error failed `json:"error"`
}

type failed struct {
	Exit    int    `json:"exit"`
	Kind    string `json:"kind"`
	Message string `json:"message"`
	Remedy  string `json:"remedy,omitempty"` // what to do, where more can be said than the message does
}

// report prints how a command ended and returns its exit code.
func (c *console) report(ctx context.Context, err error) int {
	code, kind := outcome(ctx, err)
	if err == nil || code == exitLeftOut {
		return code
	}
	if code == exitInterrupted {
		err = errors.New("interrupted; what was committed stays, run again to go on")
	}
	todo := remedy(err)
	if c.json {
		c.print(failure{failed{Kind: kind, Message: err.Error(), Remedy: todo, Exit: code}})
		return code
	}
	fmt.Fprintf(c.err, "rimelog: %v\n", err)
	if todo != "" {
		fmt.Fprintf(c.err, "  -> %s\n", todo)
	}
	return code
}

// outcome is the one place that maps errors to exit codes.
func outcome(ctx context.Context, err error) (code int, kind string) {
	var usage *usageError
	var plan *array.PlanError
	var access *bucket.AccessError
	var busy *store.BusyError
	var since *report.SinceError
	switch {
	case err == nil:
		return exitDone, ""
	case ctx.Err() != nil || errors.Is(err, context.Canceled):
		return exitInterrupted, "interrupted"
	case errors.Is(err, local.ErrClosed):
		return exitStopped, "stopped"
	case errors.Is(err, errLeftOut):
		return exitLeftOut, "left out"
	case errors.As(err, &usage), errors.As(err, &since), errors.As(err, &plan):
		return exitUsage, "usage"
	case errors.As(err, &access):
		return exitUsage, "access"
	case errors.As(err, &busy):
		return exitBusy, "busy"
	}
	return exitFailed, "failed"
}

// print writes one JSON object to the results.
func (c *console) print(v any) {
	enc := json.NewEncoder(c.out)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		fmt.Fprintf(c.err, "rimelog: %v\n", err)
	}
}
