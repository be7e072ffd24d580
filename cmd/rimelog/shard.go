package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"time"

	"rimelog/analysis"
	"rimelog/ingest"
	"rimelog/pipeline"
	"rimelog/pipeline/array"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/local"
)

// A part are the flags of a stage that one of several workers does.
type part struct{ shard, run string }

func (p *part) flags(fs *flag.FlagSet) {
	fs.StringVar(&p.shard, "shard", "", "do only shard `i/N` (i from 0) of what `rimelog plan` froze; may be run again, and twice at once")
	runFlag(fs, &p.run)
}

func runFlag(fs *flag.FlagSet, run *string) {
	fs.StringVar(run, "run", "", "the `name` of the run whose plan counts; the newest one if not given")
}

// do does a stage's jobs of one shard.
func (p part) do(ctx context.Context, out *console, w where, stage string, s stages, asOf string) error {
	switch {
	case p.shard == "":
		return usagef("-run %s: say which -shard i/N of it", p.run)
	case asOf != "":
		return usagef("-as-of goes with `rimelog fleet`: shards judge nothing by a date")
	case s.rehash:
		return usagef("-rehash goes with `rimelog plan`, which hashes for all shards")
	}
	return w.shared(ctx, func(ws *workspace) error {
		plan, err := array.Open(ctx, ws.store, p.run, ws.basis())
		if err != nil {
			return err
		}
		shard, err := plan.Shard(p.shard)
		if err != nil {
			return err
		}
		tally, err := ws.sharded(ctx, out, ws.shardOf(ctx, plan, shard, stage, s.since), local.Runner{Workers: w.workers})
		if err != nil {
			return err
		}
		if out.json {
			out.print(map[string]any{"stage": stage, "shard": shard.String(), "run": plan.Run, "jobs": tally.Done, "unchanged": tally.Skipped})
			return nil
		}
		fmt.Fprintf(out.out, "%s, shard %s of run %s: %s\n", stage, shard, plan.Run, done(tally))
		return nil
	})
}

// A share is what one worker does of a stage.
type share struct {
	ours   func(unit string) bool // units whose cut-off publications it finishes first
	rounds []pipeline.Round
	vouch  func(context.Context) error // says that all is done, and what was found; nil where nobody asks
}

// sharded does a worker's share. Others may be at work.
func (ws *workspace) sharded(ctx context.Context, out *console, s share, r pipeline.Runner) (pipeline.Tally, error) {
	if err := ws.data.Resume(ctx, s.ours); err != nil {
		return pipeline.Tally{}, err
	}
	bar := newProgress(out.err)
	tally, err := ws.goThrough(ctx, s.rounds, r, bar.hooks())
	bar.close()
	var wait *array.WaitError
	if errors.As(err, &wait) {
		err = wait // the round that found it says nothing more
	}
	if err == nil && s.vouch != nil {
		err = s.vouch(ctx)
	}
	return tally, err
}

// What is to be done about what a barrier finds missing.
const (
	askIngest  = "run `ingest -shard` of every shard"
	askAnalyse = "run `analyse -shard` of every shard"
	askFleet   = "run `fleet`"
)

// shardOf is the share of one shard in a stage.
func (ws *workspace) shardOf(ctx context.Context, plan array.Plan, shard array.Shard, stage string, since int) share {
	analyses := plan.Analyses(shard)
	switch stage {
	case "ingest":
		in := ws.ingestOf(ingest.Share{Files: filesOf(plan), Reads: plan.Reads(shard)})
		leave := func(ctx context.Context) error { return plan.Leave(ctx, ws.store, shard, in.Looked()) }
		return share{ours: none, rounds: in.ReadRounds(), vouch: leave}
	case "analyse":
		in := ws.informed(ctx, plan, ingest.Share{Files: filesOf(plan), Joins: analyses})
		a := ws.analysis(time.Time{}, nil)
		a.Owns, a.Excerpts = analyses, true
		rounds := append([]pipeline.Round{readBarrier(in)}, in.JoinRounds()...)
		systems := func(unit string) bool { return analyses(systemOf(unit)) }
		return share{
			ours: systems, rounds: append(rounds, a.SystemRounds()...),
			vouch: func(ctx context.Context) error {
				if err := plan.Excerpt(ctx, ws.store, shard, func(put putExcerpt) error { return a.WriteExcerpts(ctx, put) }); err != nil {
					return err
				}
				return plan.Vouch(ctx, ws.store, shard, a.Committed())
			},
		}
	}
	r := ws.report()
	r.Owns, r.Since = plan.Draws(shard), since
	return share{
		ours:   func(unit string) bool { return unit == dataset.ReportUnit },
		rounds: append([]pipeline.Round{array.Barrier("systems are not ranked as they are now", askFleet, r.Unranked)}, r.Rounds()...),
	}
}

// putExcerpt takes what the fleet's tables need of a system's generation.
type putExcerpt = func(system string, generation int, body []byte) error

func none(string) bool { return false }

func readBarrier(in *ingest.Stage) pipeline.Round {
	return array.Barrier("uploads are not read", askIngest, in.Unread)
}

func (ws *workspace) ingestOf(s ingest.Share) *ingest.Stage {
	in := ws.ingest(stages{})
	in.Share = s
	return in
}

// informed is the stage of a share that knows what shards of ingest found of uploads.
func (ws *workspace) informed(ctx context.Context, plan array.Plan, s ingest.Share) *ingest.Stage {
	in := ws.ingestOf(s)
	for _, looked := range plan.Left(ctx, ws.store) {
		in.Learn(looked)
	}
	return in
}

func (ws *workspace) analysis(asOf time.Time, account analysis.Account) *analysis.Stage {
	a := analysis.NewStage(ws.data, ws.register, ws.options.Analysis, asOf, account)
	a.Rules = ws.rules
	return a
}

// filesOf is the frozen list as ingest takes it.
func filesOf(p array.Plan) []ingest.File {
	files := make([]ingest.File, 0, len(p.Uploads))
	for _, u := range p.Uploads {
		files = append(files, ingest.File{Path: u.Path, Member: u.Member, Upload: u.ID, Size: u.Size, Lines: u.Lines, Modified: u.Modified})
	}
	return files
}
