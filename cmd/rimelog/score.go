package main

import (
	"context"
	"flag"
	"os"
	"path/filepath"

	"rimelog/analysis/score"
	"rimelog/analysis/trust"
)

func scoreCommand() command {
	return command{
		name: "score", takes: "[FLEET...]",
		short: "compares what was found in an invented fleet with the truth about it",
		long: `Reads the truth that simulate left beside a workspace and what run made of that
workspace, and prints how many leaks were found and when, how many alarms were false, which
causes were named right, how well windows and intervals hold, and how three naive rivals do
at the same rate of false alarms, and an oracle that knows all but the instruments' errors.
Beside coils found in time stands what such an oracle finds, and one that learns the machine.
Every share has the number it is of and its 95 % interval.
Several fleets, each a folder that simulate wrote and run worked on below workspace, are
scored as one. It changes nothing.`,
		setup: func(fs *flag.FlagSet) action {
			folder := fs.String("workspace", ".", "the `folder` that run worked on")
			truth := fs.String("truth", "", "the `folder` of truth beside it")
			return func(ctx context.Context, out *console, fleets []string) error {
				if len(fleets) == 0 {
					return scoreAgainst(ctx, out, scored{*folder, *truth})
				}
				if *truth != "" {
					return usagef("-truth %s: name either one truth or fleets", *truth)
				}
				return scoreAgainst(ctx, out, scoredOf(fleets)...)
			}
		},
	}
}

// A scored fleet is a workspace and the truth beside it.
type scored struct{ workspace, truth string }

// scoredOf are the fleets in folders that simulate wrote.
func scoredOf(folders []string) (list []scored) {
	for _, dir := range folders {
		list = append(list, scored{filepath.Join(dir, "workspace"), filepath.Join(dir, "truth")})
	}
	return list
}

func scoreAgainst(ctx context.Context, out *console, fleets ...scored) error {
	var inputs []score.Input
	for _, f := range fleets {
		in, err := f.read(ctx)
		if err != nil {
			return err
		}
		inputs = append(inputs, in)
	}
	s, err := score.Compare(score.Pool(inputs...))
	if err != nil {
		return usagef("%v", err)
	}
	if out.json {
		out.print(s)
		return nil
	}
	return s.Print(out.out)
}

// read takes truth and findings; what was observed of each system is read later.
func (f scored) read(ctx context.Context) (score.Input, error) {
	var none score.Input
	if f.truth == "" {
		return none, usagef("-truth: which folder? `rimelog simulate -out DIR` leaves it in DIR/truth")
	}
	if info, err := os.Stat(f.truth); err != nil || !info.IsDir() {
		return none, usagef("-truth %s: no such folder", f.truth)
	}
	w := where{folder: f.workspace}
	ws, err := w.open(ctx)
	if err != nil {
		return none, err
	}
	in, err := score.Read(ctx, os.DirFS(f.truth), ws.data)
	if err != nil {
		return none, err
	}
	if len(in.Uploads) == 0 {
		return none, usagef("-workspace %s: nothing was analysed yet; `rimelog run -workspace %s` first", f.workspace, f.workspace)
	}
	in.Classes = map[string]string{}
	for _, r := range trust.Rules() {
		in.Classes[r.ID] = string(r.Class)
	}
	return in, nil
}
