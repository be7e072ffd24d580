package main

import (
	"context"
	"errors"
	"flag"
	"fmt"

	"rimelog/ingest"
)

func forgetCommand() command {
	return command{
		name: "forget", takes: "FILE",
		short: "withdraws an upload: the next run takes what it said out of the dataset",
		long: `FILE is a file below the workspace's uploads/, or the path below it of one that lies there no
longer. The file itself stays where it is. What it said leaves the tables with the
next run; the ledger keeps that it was withdrawn, by the hash of its bytes, so that the same file under
another name stays withdrawn too.`,
		setup: func(fs *flag.FlagSet) action {
			var w where
			w.flags(fs)
			return func(ctx context.Context, out *console, operands []string) error {
				if len(operands) != 1 {
					return usagef("forget takes one file, as in `rimelog forget uploads/Cold-1/visit.csv`")
				}
				return w.locked(ctx, "forget", func(ws *workspace) error { return forget(ctx, out, ws, operands[0]) })
			}
		},
	}
}

func forget(ctx context.Context, out *console, ws *workspace, file string) error {
	path := belowUploads(ws.folder, file)
	upload, err := ingest.NewStage(ws.data, ws.store, ws.register, ws.options.Ingest).Forget(ctx, path)
	var unknown *ingest.UnknownUploadError
	if errors.As(err, &unknown) {
		return usagef("%v", err)
	}
	if err != nil {
		return err
	}
	if out.json {
		out.print(map[string]string{"path": path, "upload": upload})
		return nil
	}
	fmt.Fprintf(out.out, "withdrawn: %s (%s)\nThe next `rimelog run` takes it out of the dataset.\n", path, upload)
	return nil
}
