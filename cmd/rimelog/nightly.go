package main

import (
	"context"
	"flag"
	"log/slog"
	"time"

	"rimelog/pipeline"
	"rimelog/pipeline/local"
)

// A nightly is what `rimelog nightly` was asked for.
type nightly struct {
	where
	readers
	until   string // "05:00"; empty: to the end
	asOf    string
	log     string // text or json
	metrics string // file for the metrics; empty: none
}

func nightlyCommand() command {
	return command{
		name:  "nightly",
		short: "does what run does, unattended: by the calendar day, with a time to stop, a log and metrics",
		long: `The same job as run, judged as on today's date, for a timer. The log goes to standard error, a line for
each round and each failed job; the summary to standard output. With -until no job begins after
that time of day (the machine's clock): those under way are finished, the exit code is 5, and the
next night goes on. A night in which nothing is new lists the uploads and reads little else. One run
at a time: another finds the workspace held, says by whom and since when, and ends with 4.

  rimelog nightly -workspace /srv/rimelog -until 05:00 -metrics /var/lib/node-exporter/rimelog.prom

After a run that went through, the groups of section digest in rimelog.json are told what is new.
The metrics are a Prometheus text file, replaced in one step after each run, failed ones too:
rimelog_exit_code, rimelog_last_success_timestamp_seconds, rimelog_findings_open and others.`,
		setup: func(fs *flag.FlagSet) action {
			var n nightly
			n.working(fs)
			n.readers.flags(fs)
			fs.StringVar(&n.until, "until", "", "begin no job after this `time` of day, such as 05:00")
			fs.StringVar(&n.asOf, "as-of", "", "judge as on this `day` (YYYY-MM-DD) instead of today")
			fs.StringVar(&n.log, "log", "text", "log to standard error in this `form`: text or json")
			fs.StringVar(&n.metrics, "metrics", "", "write Prometheus metrics to this `file`")
			return func(ctx context.Context, out *console, _ []string) error { return n.run(ctx, out, time.Now) }
		},
	}
}

// run does one night. now is the clock.
func (n *nightly) run(ctx context.Context, out *console, now func() time.Time) error {
	began := now()
	log, err := logger(out, n.log)
	if err != nil {
		return err
	}
	on, err := day("as-of", n.asOf)
	if err != nil {
		return err
	}
	if on.IsZero() {
		on = time.Date(began.Year(), began.Month(), began.Day(), 0, 0, 0, 0, time.UTC)
	}
	end, err := nextTime(n.until, began)
	if err != nil {
		return err
	}
	r := local.Runner{Workers: n.workers, Closed: func() bool { return !end.IsZero() && !now().Before(end) }}
	m := metrics{began: began}
	log.Info("night begins", "workspace", n.folder, "as_of", on.Format(time.DateOnly), "until", n.until)
	err = n.locked(ctx, "nightly", func(ws *workspace) error {
		if err := n.apply(&ws.options.Report); err != nil {
			return err
		}
		return m.fill(ctx, ws, out, on, r, logHooks(log))
	})
	m.code, _ = outcome(ctx, err)
	m.took = now().Sub(began)
	m.log(log, err)
	if n.metrics == "" {
		return err
	}
	if wrong := m.write(n.metrics); wrong != nil {
		log.Error("metrics were not written", "file", n.metrics, "error", wrong)
		if err == nil {
			return wrong
		}
	}
	return err
}

// fill does the whole job, tells the summary, and keeps both for the metrics.
func (m *metrics) fill(ctx context.Context, ws *workspace, out *console, on time.Time, r pipeline.Runner, h pipeline.Hooks) (err error) {
	whole := stages{ingest: true, analyse: true, report: true}
	if m.sum, m.tally, err = ws.summed(ctx, whole, on, r, h); err != nil {
		return err
	}
	m.summed = true
	ws.tell(out, m.sum, m.tally, whole)
	if err := ws.digest(ctx, &console{out: out.err, err: out.err}, false, false); err != nil {
		return err
	}
	if m.sum.LeftOut > 0 {
		return errLeftOut
	}
	return nil
}

// nextTime is the first moment after a start at which the clock shows a time of day;
// zero where none is given.
func nextTime(text string, after time.Time) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	t, err := time.Parse("15:04", text)
	if err != nil {
		return time.Time{}, usagef("-until %q: want a time of day as HH:MM, such as 05:00", text)
	}
	end := time.Date(after.Year(), after.Month(), after.Day(), t.Hour(), t.Minute(), 0, 0, after.Location())
	if !end.After(after) {
		end = end.AddDate(0, 0, 1)
	}
	return end, nil
}

// logger writes structured lines to standard error.
func logger(out *console, form string) (*slog.Logger, error) {
	switch form {
	case "text":
		return slog.New(slog.NewTextHandler(out.err, nil)), nil
	case "json":
		return slog.New(slog.NewJSONHandler(out.err, nil)), nil
	}
	return nil, usagef("-log %q: want text or json", form)
}

func logHooks(log *slog.Logger) pipeline.Hooks {
	return pipeline.Hooks{
		RoundPlanned: func(round string, jobs, skipped int, bytes int64) {
			log.Info("round", "name", round, "jobs", jobs, "unchanged", skipped, "bytes", bytes)
		},
		JobFailed: func(k pipeline.Key, err error) {
			log.Error("job failed", "step", k.Step, "unit", k.Unit, "part", k.Part, "error", err)
		},
	}
}
