package main

import (
	"context"
	"flag"
	"fmt"

	"rimelog/pipeline/dataset"
)

func verifyCommand() command {
	return command{
		name:  "verify",
		short: "checks every file of the dataset against its ledger, and both accounts",
		long: `Reads every table file, compares it with the hash, rows and columns that the ledger
holds, and adds up where each line and each value of every upload went. It changes
nothing, unless -repair is given: then it finishes what a killed run left unpublished.
A file that is damaged or gone is named with what to do.`,
		setup: func(fs *flag.FlagSet) action {
			var w where
			w.flags(fs)
			repair := fs.Bool("repair", false, "first finish what a killed run left")
			return func(ctx context.Context, out *console, _ []string) error {
				return w.locked(ctx, "verify", func(ws *workspace) error { return verify(ctx, out, ws, *repair) })
			}
		},
	}
}

func verify(ctx context.Context, out *console, ws *workspace, repair bool) error {
	v, err := ws.data.Verify(ctx, repair)
	if err != nil {
		return err
	}
	if out.json {
		out.print(verdictJSON(v))
	} else {
		printVerdict(out, v)
	}
	if len(v.Problems) > 0 {
		return &corruptError{len(v.Problems), repair}
	}
	return nil
}

// A corruptError ends a verification that found something.
type corruptError struct {
	problems int
	repaired bool // as far as verify can
}

func (e *corruptError) Error() string {
	if e.repaired {
		return fmt.Sprintf("the dataset had %d problem(s); `rimelog run` makes again what was set aside or is missing", e.problems)
	}
	return fmt.Sprintf("the dataset has %d problem(s); `rimelog verify -repair` and then `rimelog run` re-make what can be re-made", e.problems)
}

func printVerdict(out *console, v dataset.Verdict) {
	for _, p := range v.Problems {
		fmt.Fprintf(out.out, "%s: %s\n  %s\n", p.File, p.Problem, p.Remedy)
	}
	fmt.Fprintf(out.out, "%d files of %d systems and the fleet, %d rows, %.1f MB; %d uploads\n",
		v.Files, v.Units, v.Rows, float64(v.Bytes)/1e6, v.Uploads)
	fmt.Fprintln(out.out, linesLaw(v.Lines))
	fmt.Fprintln(out.out, valuesLaw(v.Values))
	if len(v.Problems) == 0 {
		fmt.Fprintln(out.out, "all is as the ledger says")
	}
}

func verdictJSON(v dataset.Verdict) any {
	return struct {
		dataset.Verdict
		Laws lawsJSON `json:"laws"`
	}{v, laws(v.Lines, v.Values)}
}
