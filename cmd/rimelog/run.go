package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"path"
	"path/filepath"
	"strings"
	"time"

	"rimelog/analysis/report"
	"rimelog/ingest"
	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/local"
)

// stages says which parts of the job a command does, and how.
type stages struct {
	ingest, analyse, report bool
	rehash                  bool
	since                   int // the fleet's generation that the report compares with
}

func runCommand() command {
	return stageCommand("run", stages{ingest: true, analyse: true, report: true}, "does the whole job: reads new uploads, analyses, writes the report",
		`Reads what is new below uploads/ and register/, works out windows, visits, trends and
findings of the systems it touches, and draws the report. What did not change is not
done again; a run that was killed is simply run again. Open report/index.html after it.`)
}

func ingestCommand() command {
	return stageCommand("ingest", stages{ingest: true}, "only reads new uploads into the dataset",
		`Reads what is new below uploads/ and register/ into dataset/samples and dataset/extras.`)
}

func analyseCommand() command {
	return stageCommand("analyse", stages{analyse: true}, "only works out windows, visits, trends and findings",
		`Works on what ingest left in the dataset.`)
}

func reportCommand() command {
	return stageCommand("report", stages{report: true}, "only draws the report",
		`Draws report/ from what analyse left in the dataset.`)
}

func stageCommand(name string, s stages, short, long string) command {
	return command{
		name: name, short: short, long: long,
		setup: func(fs *flag.FlagSet) action {
			var w where
			w.working(fs)
			asOf := fs.String("as-of", "", "judge as on this `day` (YYYY-MM-DD); the day of the newest sample or register row if not given")
			var in readers
			if s.report {
				in.flags(fs)
			}
			var one part
			if name != "run" {
				one.flags(fs)
			}
			if s.ingest {
				fs.BoolVar(&s.rehash, "rehash", false, "hash every upload again, whatever its size and time say")
			}
			if s.report {
				fs.IntVar(&s.since, "since", 0, "say on the fleet page what changed since this `generation` of the fleet; that of the report before if not given")
			}
			return func(ctx context.Context, out *console, _ []string) error {
				on, err := day("as-of", *asOf)
				if err != nil {
					return err
				}
				if one.shard != "" || one.run != "" {
					if in != (readers{}) {
						return usagef("-language, -units, -pressure and -single-file are not for one of several workers: write them into %s, section report", optionsFile)
					}
					return one.do(ctx, out, w, name, s, *asOf)
				}
				return w.locked(ctx, name, func(ws *workspace) error {
					if err := in.apply(&ws.options.Report); err != nil {
						return err
					}
					return ws.run(ctx, out, s, on, local.Runner{Workers: w.workers})
				})
			}
		},
	}
}

// run does the stages, tells what came out, and says with its error whether
// something was left out.
func (ws *workspace) run(ctx context.Context, out *console, s stages, asOf time.Time, r pipeline.Runner) error {
	bar := newProgress(out.err)
	sum, tally, err := ws.summed(ctx, s, asOf, r, bar.hooks())
	bar.close()
	if err != nil {
		return err
	}
	ws.tell(out, sum, tally, s)
	if s.analyse && asOf.IsZero() {
		if err := ws.warnAhead(ctx, out, time.Now()); err != nil {
			return err
		}
	}
	if sum.LeftOut > 0 {
		return errLeftOut
	}
	return nil
}

// warnAhead says that the day the fleet was judged on, which the data gave, is still to come.
func (ws *workspace) warnAhead(ctx context.Context, out *console, now time.Time) error {
	g, err := ws.data.Newest(ctx, dataset.FleetUnit)
	if err != nil {
		return err
	}
	on, err := time.Parse(time.DateOnly, g.Inputs["as of"])
	if err != nil || !on.After(now.AddDate(0, 0, 1)) {
		return nil // nothing was judged, or in its time
	}
	fmt.Fprintf(out.err, "judged as on %s, the day of the newest sample or register row, which is still to come: a logger's clock was ahead, or a row has a slip; -as-of gives the day, and the data-quality page then says whose samples are later\n", on.Format(time.DateOnly))
	return nil
}

// summed does the stages and sums up what came out. With an error the tally says what
// was done until then.
func (ws *workspace) summed(ctx context.Context, s stages, asOf time.Time, r pipeline.Runner, h pipeline.Hooks) (summary, pipeline.Tally, error) {
	in := ws.ingest(s)
	tally, err := ws.do(ctx, in, s, asOf, r, h)
	if err != nil {
		return summary{}, tally, err
	}
	account := ws.ranked
	if s.ingest && !s.analyse { // nobody ranked what came in: its account is taken as it is
		account = ws.accountOf(in)
	}
	sum, err := summarise(ctx, ws.data, tally, account)
	return sum, tally, err
}

// do recovers what a killed run left, then does the rounds of the stages.
func (ws *workspace) do(ctx context.Context, in *ingest.Stage, s stages, asOf time.Time, r pipeline.Runner, h pipeline.Hooks) (pipeline.Tally, error) {
	if err := ws.data.Recover(ctx); err != nil {
		return pipeline.Tally{}, err
	}
	return ws.goThrough(ctx, ws.rounds(in, s, asOf), r, h)
}

// goThrough does rounds. What the jobs of a round that failed staged is kept too.
func (ws *workspace) goThrough(ctx context.Context, rounds []pipeline.Round, r pipeline.Runner, h pipeline.Hooks) (pipeline.Tally, error) {
	tally, err := pipeline.Run(ctx, rounds, r, h)
	if unsettled := ws.data.Settle(context.WithoutCancel(ctx)); unsettled != nil {
		err = errors.Join(err, unsettled)
	}
	return tally, err
}

func (ws *workspace) ingest(s stages) *ingest.Stage {
	in := ingest.NewStage(ws.data, ws.store, ws.register, ws.options.Ingest)
	in.Rehash = s.rehash
	return in
}

func (ws *workspace) rounds(in *ingest.Stage, s stages, asOf time.Time) (rounds []pipeline.Round) {
	if s.ingest {
		rounds = append(rounds, in.Rounds()...)
	}
	if s.analyse {
		rounds = append(rounds, ws.analysis(asOf, in.Account).Rounds()...)
	}
	if s.report {
		r := ws.report()
		r.Since = s.since
		rounds = append(rounds, r.Rounds()...)
	}
	return rounds
}

// report is the stage that draws the pages.
func (ws *workspace) report() *report.Stage {
	r := report.NewStage(ws.data, ws.register, ws.options.Report)
	r.Reading = ingest.Steps()
	return r
}

func (ws *workspace) tell(out *console, sum summary, tally pipeline.Tally, s stages) {
	if out.json {
		out.print(sum)
		return
	}
	page := ""
	if s.report {
		page = ws.place("report", "index.html")
	}
	sum.print(out, tally, page)
}

// place is where a name of the workspace lies, for people.
func (ws *workspace) place(parts ...string) string {
	if strings.Contains(ws.folder, "://") {
		return path.Join(parts...) + " in " + ws.folder
	}
	return filepath.Join(append([]string{ws.folder}, parts...)...)
}
