package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"time"

	"rimelog/ingest/demofleet"
	"rimelog/pipeline/local"
)

func demoCommand() command {
	return command{
		name:  "demo",
		short: "writes an invented fleet's logs and register, and does the whole job on them",
		long: `Writes uploads/ and register/ of an invented fleet into the workspace, with a few of
the mistakes that real ones have, then does what run does. The same seed gives the same
fleet; a folder that holds it already is used again, any other folder that is not empty is
refused. What the demo leaves out is part of the show: it ends with 0.`,
		setup: func(fs *flag.FlagSet) action {
			var w where
			w.working(fs)
			var in readers
			in.flags(fs)
			seed := fs.Uint64("seed", 0, "`number` that says which invented fleet")
			return func(ctx context.Context, out *console, _ []string) error {
				if err := writeFleet(ctx, out, w.folder, *seed); err != nil {
					return err
				}
				err := w.locked(ctx, "demo", func(ws *workspace) error {
					if err := in.apply(&ws.options.Report); err != nil {
						return err
					}
					return ws.run(ctx, out, stages{ingest: true, analyse: true, report: true}, time.Time{}, local.Runner{Workers: w.workers})
				})
				if errors.Is(err, errLeftOut) {
					return nil
				}
				return err
			}
		},
	}
}

func writeFleet(ctx context.Context, out *console, folder string, seed uint64) error {
	fmt.Fprintf(out.err, "fleet    writing invented logs and register into %s\n", folder)
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	_, err := demofleet.Write(ctx, folder, demofleet.Options{Seed: seed})
	var taken *demofleet.FolderError
	if errors.As(err, &taken) {
		return usagef("%v", err)
	}
	return err
}
