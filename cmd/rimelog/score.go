package main

import (
	"context"
	"flag"
	"os"

	"rimelog/analysis/score"
	"rimelog/analysis/trust"
)

func scoreCommand() command {
	return command{
		name:  "score",
		short: "compares what was found in an invented fleet with the truth about it",
		long: `Reads the truth that simulate left beside a workspace and what run made of that
workspace, and prints how many leaks were found and when, how many alarms were false, which
causes were named right, how well windows and intervals hold, and how three naive rivals do
at the same rate of false alarms. Every share has the number it is of and its 95 % interval.
It changes nothing.`,
		setup: func(fs *flag.FlagSet) action {
			folder := fs.String("workspace", ".", "the `folder` that run worked on")
			truth := fs.String("truth", "", "the `folder` of truth beside it")
			return func(ctx context.Context, out *console, _ []string) error {
				return scoreAgainst(ctx, out, *folder, *truth)
			}
		},
	}
}

func scoreAgainst(ctx context.Context, out *console, folder, truth string) error {
	if truth == "" {
		return usagef("-truth: which folder? `rimelog simulate -out DIR` leaves it in DIR/truth")
	}
	if info, err := os.Stat(truth); err != nil || !info.IsDir() {
		return usagef("-truth %s: no such folder", truth)
	}
	w := where{folder: folder, workers: 1}
	ws, err := w.open(ctx)
	if err != nil {
		return err
	}
	in, err := score.Read(ctx, os.DirFS(truth), ws.data)
	if err != nil {
		return err
	}
	if len(in.Uploads) == 0 {
		return usagef("-workspace %s: nothing was analysed yet; `rimelog run -workspace %s` first", folder, folder)
	}
	in.Classes = map[string]string{}
	for _, r := range trust.Rules() {
		in.Classes[r.ID] = string(r.Class)
	}
	s, err := score.Compare(in)
	if err != nil {
		return usagef("%v", err)
	}
	if out.json {
		out.print(s)
		return nil
	}
	return s.Print(out.out)
}
