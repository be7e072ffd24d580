package main

import (
	"context"
	"flag"
	"fmt"
)

func pruneCommand() command {
	return command{
		name:  "prune",
		short: "removes what no kept generation of the dataset needs",
		long: `Nothing else ever deletes. What is removed: results of killed runs that nothing waits for, what
uploads said under readings that none of the last generations rests on (a corrected register
makes new readings), and older generations of the ledger. Tables, uploads, register and report stay as
they are; what is wanted again is read again from its upload. No shard may be at work.

  rimelog prune -dry-run         says what would go
  rimelog prune -keep 30         keeps a month of nights to look back on`,
		setup: func(fs *flag.FlagSet) action {
			var w where
			w.flags(fs)
			keep := fs.Int("keep", 10, "keep so many `generations` of each system and of the fleet, at least 2")
			dry := fs.Bool("dry-run", false, "only say what would be removed")
			return func(ctx context.Context, out *console, _ []string) error {
				if *keep < 2 {
					return usagef("-keep %d: want at least 2, the newest generation and the one before", *keep)
				}
				return w.locked(ctx, "prune", func(ws *workspace) error { return prune(ctx, out, ws, *keep, *dry) })
			}
		},
	}
}

func prune(ctx context.Context, out *console, ws *workspace, keep int, dry bool) error {
	p, err := ws.data.Prune(ctx, keep, dry)
	if err != nil {
		return err
	}
	if out.json {
		out.print(p)
		return nil
	}
	verb := "removed"
	if dry {
		verb = "would remove"
	}
	fmt.Fprintf(out.out, "%s %d staged results, %d parts and %d generations, %.1f MB\n", verb, p.Staged, p.Parts, p.Generations, float64(p.Bytes)/1e6)
	return nil
}
