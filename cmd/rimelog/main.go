// Command rimelog reads the CSV exports of refrigeration and air-conditioning
// loggers, works out the cycle behind every sample, and tells which machines get
// worse. See the README, or run
//
//	rimelog help
package main

import (
	"context"
	"io"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	paceOf(os.Args[1:]).set()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// run does one command and returns the program's exit code.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	out := &console{out: stdout, err: stderr}
	err := dispatch(ctx, args, out)
	return out.report(ctx, err)
}
