package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"reflect"
	"strings"
	"time"

	"rimelog/analysis/digest"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/table"
)

func digestCommand() command {
	return command{
		name:  "digest",
		short: "tells each group of people what is new since they were last told, by mail or to a URL",
		long: `What is new: findings that are new, worsened beyond the interval that was told, answered or closed;
uploads that were refused; checks due this month or never done. The groups stand in rimelog.json,
section digest (rimelog help options): each has its sites, addresses for a mail, a URL for JSON, or both. Nothing
new: nothing sent. nightly does it by itself after each run that went through.

  rimelog digest -dry-run       prints what would be sent, and sends and remembers nothing

Mail goes through SMTP with STARTTLS; the password comes from a file or from the environment. When
sending fails, nothing is remembered for that group, so that it is told the next time.`,
		setup: func(fs *flag.FlagSet) action {
			var w where
			w.flags(fs)
			dry := fs.Bool("dry-run", false, "print what would be sent, send nothing")
			always := fs.Bool("always", false, "send even when nothing is new")
			return func(ctx context.Context, out *console, _ []string) error {
				return w.locked(ctx, "digest", func(ws *workspace) error { return ws.digest(ctx, out, *dry, *always) })
			}
		},
	}
}

// digest tells every group what is new for it. One that cannot be told does not keep
// the others from it.
func (ws *workspace) digest(ctx context.Context, out *console, dry, always bool) error {
	fleet, err := ws.told(ctx)
	if err != nil {
		return err
	}
	groups := ws.options.Digest.Groups
	if len(groups) == 0 && dry {
		groups = []group{{Name: "all"}}
	}
	var errs []error
	for _, g := range groups {
		if err := ws.tellGroup(ctx, out, fleet, g, dry, always); err != nil {
			errs = append(errs, fmt.Errorf("digest for %s: %w; the group is told by the next run that reaches it", g.Name, err))
		}
	}
	return errors.Join(errs...)
}

func (ws *workspace) tellGroup(ctx context.Context, out *console, fleet digest.Fleet, g group, dry, always bool) error {
	if len(g.Sites) > 0 {
		fleet = fleet.Of(ws.at(g.Sites))
	}
	var before digest.Told
	n, err := ws.data.Told(ctx, g.Name, &before)
	if err != nil {
		return err
	}
	d, now := fleet.Since(g.Name, before)
	l, err := ws.options.speech(g)
	if err != nil {
		return err
	}
	if dry {
		if out.json {
			out.print(d)
			return nil
		}
		fmt.Fprintf(out.out, "for %s:\n", g.Name)
		return d.Text(out.out, l)
	}
	if !d.Empty() || always {
		if err := ws.options.Digest.send(ctx, g, d, l); err != nil {
			return err
		}
		fmt.Fprintf(out.err, "digest for %s: %s\n", g.Name, d.Subject(l))
	}
	before.AsOf = now.AsOf
	if reflect.DeepEqual(before, now) {
		return nil
	}
	return ws.data.PutTold(ctx, g.Name, n, now)
}

// at tells which systems are at sites.
func (ws *workspace) at(sites []string) func(system string) bool {
	there := map[string]bool{}
	for _, s := range ws.register.Systems {
		for _, site := range sites {
			if strings.EqualFold(s.Site, site) {
				there[s.ID] = true
			}
		}
	}
	return func(system string) bool { return there[system] }
}

// told is what the newest ranking of the fleet has to tell.
func (ws *workspace) told(ctx context.Context) (f digest.Fleet, err error) {
	g, err := ws.data.Newest(ctx, dataset.FleetUnit)
	if err != nil {
		return f, err
	}
	if f.AsOf, err = time.Parse(time.DateOnly, g.Inputs["as of"]); err != nil && g.N > 0 {
		return f, fmt.Errorf("the fleet's generation %d has no day: %w", g.N, err)
	}
	var errs [3]error
	f.Findings, errs[0] = rows[table.Finding](ctx, ws.data, table.Findings())
	f.Uploads, errs[1] = rows[table.Upload](ctx, ws.data, table.Uploads())
	f.Checks, errs[2] = rows[table.LeakCheck](ctx, ws.data, table.LeakChecks())
	return f, errors.Join(errs[:]...)
}
