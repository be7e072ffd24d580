package main

import (
	"context"
	"errors"
	"flag"
	"time"

	"rimelog/ingest"
	"rimelog/pipeline"
	"rimelog/pipeline/array"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/local"
)

func fleetCommand() command {
	return command{
		name: "fleet", short: "ranks, compares and keeps the records of a fleet that shards analysed",
		long: `Follows ` + "`analyse -shard`" + ` of all shards of a plan, and asks the ledger whether they are done. What
systems do not need of each other (trends among it) the shards worked out already.`,
		setup: func(fs *flag.FlagSet) action {
			var w where
			w.working(fs)
			var run string
			runFlag(fs, &run)
			asOf := fs.String("as-of", "", "judge as on this `day` (YYYY-MM-DD); the day of the newest sample or register row if not given")
			return func(ctx context.Context, out *console, _ []string) error {
				on, err := day("as-of", *asOf)
				if err != nil {
					return err
				}
				return w.shared(ctx, func(ws *workspace) error { return ws.rankFleet(ctx, out, run, on, local.Runner{Workers: w.workers}) })
			}
		},
	}
}

// rankFleet does the rounds on all systems together, and tells what came out. What was
// left out is told and no failure: the scheduler goes on.
func (ws *workspace) rankFleet(ctx context.Context, out *console, run string, asOf time.Time, r pipeline.Runner) error {
	plan, err := array.Open(ctx, ws.store, run, ws.basis())
	if err != nil {
		return err
	}
	vouched, err := plan.Vouched(ctx, ws.store)
	if err != nil {
		return err
	}
	excerpts := plan.Excerpts(ws.store)
	tally, err := ws.sharded(ctx, out, ws.fleetShare(ctx, plan, told{vouched, excerpts.Of}, asOf), r)
	if err = errors.Join(err, excerpts.Close()); err != nil {
		return err
	}
	sum, err := summarise(ctx, ws.data, tally, ws.ranked)
	if err == nil {
		ws.tell(out, sum, tally, stages{})
	}
	return err
}

// A told is what the shards of analyse left for the fleet, beside their results.
type told struct {
	vouched array.Generations
	excerpt func(ctx context.Context, system string, generation int) ([]byte, bool)
}

// fleetShare is what is done of all systems together, once the ledger has what shards do.
func (ws *workspace) fleetShare(ctx context.Context, plan array.Plan, by told, asOf time.Time) share {
	in := ws.informed(ctx, plan, ingest.Share{Files: filesOf(plan)})
	in.Vouched = by.vouched
	a := ws.analysis(asOf, in.Account)
	a.Vouched, a.Excerpted = by.vouched, by.excerpt
	return share{
		ours: func(unit string) bool { return unit == dataset.FleetUnit },
		rounds: append([]pipeline.Round{
			readBarrier(in),
			array.Barrier("systems are not joined", askAnalyse, in.Unjoined),
			array.Barrier("systems are not analysed", askAnalyse, a.Unfinished),
		}, a.FleetRounds()...),
	}
}
