package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"rimelog/ingest/demofleet"
	"rimelog/ingest/demofleet/truth"
)

func simulateCommand() command {
	return command{
		name:  "simulate",
		short: "makes an invented fleet of any size together with the truth about it",
		long: `Writes DIR/workspace, as a firm with such machines and loggers would have it, and
DIR/truth: charge and faults by day, true operating points, what each file really is, and
what is wrong in the register. No analysis looks at the truth; rimelog score does. The same
flags give the same bytes. A folder that holds this fleet already is left as it is; any
other that is not empty is refused.`,
		setup: func(fs *flag.FlagSet) action {
			var s simulation
			s.flags(fs)
			return func(ctx context.Context, out *console, _ []string) error {
				if s.schema {
					return demofleet.Schema(out.out)
				}
				return s.run(ctx, out)
			}
		},
	}
}

// A simulation is what the flags ask for.
type simulation struct {
	folder, logging, mix string
	options              demofleet.Options
	schema               bool
}

func (s *simulation) flags(fs *flag.FlagSet) {
	fs.StringVar(&s.folder, "out", "", "the `folder` to write, new or empty")
	fs.IntVar(&s.options.Systems, "systems", 40, "simulate so many `systems`")
	fs.Float64Var(&s.options.Years, "years", 3, "`years` of record")
	fs.Uint64Var(&s.options.Seed, "seed", 0, "`number` that says which fleet of its kind")
	fs.StringVar(&s.logging, "logging", string(demofleet.Mixed), "`who` logs: visits, permanent or mixed")
	fs.DurationVar(&s.options.Interval, "interval", time.Minute, "`time` between samples of permanent loggers")
	fs.StringVar(&s.mix, "mix", "", "a JSON `file` that says how often and how strongly things happen; what it leaves out stays as usual")
	fs.BoolVar(&s.schema, "mix-schema", false, "print everything a mix can say, with defaults and limits")
}

// A made fleet is what simulate tells of it.
type made struct {
	Workspace string `json:"workspace"`
	Truth     string `json:"truth"`
	Systems   int    `json:"systems"`
	Files     int    `json:"files"`
	Rows      int    `json:"rows"`
}

func (s *simulation) run(ctx context.Context, out *console) error {
	if s.folder == "" {
		return usagef("-out: which folder? Name one that is new or empty")
	}
	if err := s.complete(); err != nil {
		return err
	}
	fleet, err := demofleet.Simulate(ctx, s.folder, s.options)
	var taken *demofleet.FolderError
	if errors.As(err, &taken) {
		return usagef("%v", err)
	}
	if err != nil {
		return err
	}
	return s.tell(out, fleet)
}

// complete reads the mix and checks all options before anything is written.
func (s *simulation) complete() error {
	s.options.Logging = demofleet.Logging(s.logging)
	mix := demofleet.DefaultMix()
	if s.mix != "" {
		f, err := os.Open(s.mix)
		if err != nil {
			return usagef("-mix: %v", err)
		}
		defer f.Close()
		if mix, err = demofleet.ReadMix(f); err != nil {
			return usagef("-mix %s: %v", s.mix, err)
		}
	}
	s.options.Mix = &mix
	if err := errors.Join(s.nothing(), s.options.Validate()); err != nil {
		return usagef("%v", err)
	}
	return nil
}

// nothing refuses a 0, which an option of the fleet would take for its default.
func (s *simulation) nothing() error {
	switch o := s.options; {
	case o.Systems == 0:
		return errors.New("systems 0: want 1 to 100000")
	case o.Years == 0:
		return errors.New("years 0: want more than 0, at most 20")
	case o.Interval == 0:
		return errors.New("interval 0s: want 1s to 1h")
	}
	return nil
}

// tell says what was made. Of a fleet that was there already the files are counted in its
// truth.
func (s *simulation) tell(out *console, fleet truth.Fleet) error {
	m := made{Workspace: filepath.Join(s.folder, "workspace"), Truth: filepath.Join(s.folder, "truth")}
	if len(fleet.Files) == 0 {
		var err error
		if fleet, err = truth.Load(os.DirFS(m.Truth)); err != nil {
			return fmt.Errorf("read back the truth: %w", err)
		}
	}
	m.Systems, m.Files = len(fleet.Systems), len(fleet.Files)
	for _, f := range fleet.Files {
		m.Rows += f.Rows
	}
	if out.json {
		out.print(m)
		return nil
	}
	fmt.Fprintf(out.out, "%d systems, %d files, %d rows\nworkspace: %s\ntruth:     %s\n", m.Systems, m.Files, m.Rows, m.Workspace, m.Truth)
	return nil
}
