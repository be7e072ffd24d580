package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"time"

	"rimelog/ingest"
	"rimelog/pipeline/array"
	"rimelog/pipeline/dataset"
)

func statusCommand() command {
	return command{
		name: "status", short: "shows what is done, missing and rejected of a planned run, by stage and shard",
		long: `Asks the ledger, not the scheduler, about the run that was planned last or the one that -run names:
uploads in ingest, systems in analyse, the fleet, pages in report. Rejected are uploads that cannot be
read, or that changed since the plan: the report's data quality section says why, and the others
go on. The time left follows from the pace of the stage so far. Looks only, and locks nothing.`,
		setup: func(fs *flag.FlagSet) action {
			var w where
			w.flags(fs)
			var run string
			runFlag(fs, &run)
			return func(ctx context.Context, out *console, _ []string) error {
				ws, err := w.open(ctx)
				if err != nil {
					return err
				}
				return errors.Join(ws.tellStatus(ctx, out, run, time.Now()), ws.close())
			}
		},
	}
}

// tellStatus says how far a run is. now is the clock.
func (ws *workspace) tellStatus(ctx context.Context, out *console, run string, now time.Time) error {
	plan, err := array.Open(ctx, ws.store, run, ws.basis())
	if err != nil {
		return err
	}
	list, err := ws.status(ctx, plan, now)
	if err != nil {
		return err
	}
	printStatus(out, plan, list)
	return nil
}

// status counts every stage of a plan.
func (ws *workspace) status(ctx context.Context, plan array.Plan, now time.Time) ([]array.Stage, error) {
	in := ws.ingestOf(ingest.Share{Files: filesOf(plan)})
	var list []array.Stage
	began := plan.Frozen
	for _, stage := range []struct {
		name   string
		shards int
		units  func(context.Context, *ingest.Stage, array.Plan) ([]array.Unit, error)
	}{
		{"ingest", plan.Shards, ws.uploadUnits}, {"analyse", plan.Shards, ws.systemUnits},
		{"fleet", 1, ws.fleetUnits}, {"report", plan.Shards, ws.pageUnits},
	} {
		units, err := stage.units(ctx, in, plan)
		if err != nil {
			return nil, err
		}
		s := array.Count(stage.name, stage.shards, units, began, now)
		list, began = append(list, s), s.Ended
	}
	return list, nil
}

func (ws *workspace) uploadUnits(ctx context.Context, in *ingest.Stage, plan array.Plan) ([]array.Unit, error) {
	shards := map[string]int{}
	for _, u := range plan.Uploads {
		shards[u.ID] = u.Shard
	}
	progress, err := in.Progress(ctx)
	var units []array.Unit
	for _, p := range progress {
		units = append(units, array.Unit{Shard: shards[p.Upload], Weight: p.Size, State: stateOf(p.State), At: p.At})
	}
	return units, err
}

func stateOf(s ingest.State) array.State {
	switch s {
	case ingest.Taken:
		return array.Done
	case ingest.Rejected:
		return array.Rejected
	}
	return array.Missing
}

// systemUnits are the systems that uploads belong to: done where they are joined and
// analysed.
func (ws *workspace) systemUnits(ctx context.Context, in *ingest.Stage, plan array.Plan) ([]array.Unit, error) {
	ids, err := in.Systems(ctx)
	if err != nil {
		return nil, err
	}
	missing := map[string]bool{}
	for _, ask := range []func(context.Context) ([]string, int, error){in.Unjoined, ws.analysis(time.Time{}, nil).Unfinished} {
		left, _, err := ask(ctx)
		if err != nil {
			return nil, err
		}
		for _, id := range left {
			missing[id] = true
		}
	}
	var units []array.Unit
	for _, id := range ids {
		u := array.Unit{Shard: plan.Systems.Of(id, plan.Shards)}
		if !missing[id] {
			u.State = array.Done
			if u.At, err = ws.data.CommittedAt(ctx, dataset.SystemUnit(id)); err != nil {
				return nil, err
			}
		}
		units = append(units, u)
	}
	return units, nil
}

func (ws *workspace) fleetUnits(ctx context.Context, _ *ingest.Stage, _ array.Plan) ([]array.Unit, error) {
	at, err := ws.data.CommittedAt(ctx, dataset.FleetUnit)
	if err != nil {
		return nil, err
	}
	unranked, _, err := ws.report().Unranked(ctx)
	u := array.Unit{At: at}
	if !at.IsZero() && len(unranked) == 0 {
		u.State = array.Done
	}
	return []array.Unit{u}, err
}

func (ws *workspace) pageUnits(ctx context.Context, _ *ingest.Stage, plan array.Plan) ([]array.Unit, error) {
	pages, err := ws.report().Pages(ctx)
	var units []array.Unit
	for _, p := range pages {
		u := array.Unit{Shard: plan.Pages.Of(p.Unit, plan.Shards)}
		if p.Drawn {
			u.State = array.Done
		}
		units = append(units, u)
	}
	return units, err
}

func printStatus(out *console, plan array.Plan, list []array.Stage) {
	if out.json {
		out.print(statusJSON(plan, list))
		return
	}
	line := func(stage, shard string, r array.Row, more string) {
		fmt.Fprintf(out.out, "%-8s %6s %8d %8d %8d%s\n", stage, shard, r.Done, r.Missing, r.Rejected, more)
	}
	fmt.Fprintf(out.out, "run %s: %d uploads, %d shards\n\n%-8s %6s %8s %8s %8s\n", plan.Run, len(plan.Uploads), plan.Shards, "stage", "shard", "done", "missing", "rejected")
	for _, s := range list {
		if len(s.Rows) > 1 {
			for _, r := range s.Rows {
				line(s.Name, fmt.Sprint(r.Shard), r, "")
			}
		}
		line(s.Name, "all", s.Sum(), leftText(s))
	}
}

func statusJSON(plan array.Plan, list []array.Stage) map[string]any {
	var stages []map[string]any
	for _, s := range list {
		one := map[string]any{"stage": s.Name, "total": s.Sum(), "shards": s.Rows}
		if s.Left >= 0 {
			one["left_seconds"] = s.Left.Seconds()
		}
		stages = append(stages, one)
	}
	return map[string]any{"run": plan.Run, "shards": plan.Shards, "uploads": len(plan.Uploads), "stages": stages}
}

// leftText says how long a stage that is under way will take.
func leftText(s array.Stage) string {
	if s.Left <= 0 {
		return ""
	}
	return fmt.Sprintf("   about %s left", max(time.Second, s.Left.Round(time.Second)))
}
