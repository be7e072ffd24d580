package demofleet

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"maps"
	"slices"

	"rimelog/ingest/demofleet/truth"
)

// Generate makes the fleet of the options and gives each file of its workspace to
// put, in a fixed order: the register first, then the uploads. It returns the
// truth. The error is of the options, of put, or of a context that ended.
func Generate(ctx context.Context, o Options, put func(name string, content []byte) error) (truth.Fleet, error) {
	if err := o.Validate(); err != nil {
		return truth.Fleet{}, err
	}
	f, err := newFleet(o.withDefaults())
	if err != nil {
		return truth.Fleet{}, err
	}
	g := generator{ctx, f, f.truthOf(), put}
	if err := g.register(); err != nil {
		return g.truth, err
	}
	if err := g.logs(); err != nil {
		return g.truth, err
	}
	return g.truth, g.odd()
}

// A generator hands out a fleet's files.
type generator struct {
	ctx   context.Context
	fleet *fleet
	truth truth.Fleet
	put   func(name string, content []byte) error
}

func (g *generator) register() error {
	files := g.fleet.register().files()
	for _, name := range slices.Sorted(maps.Keys(files)) {
		if err := g.write(underRegister(name), files[name]); err != nil {
			return err
		}
	}
	return nil
}

func (g *generator) write(name string, write func(io.Writer) error) error {
	if err := g.ctx.Err(); err != nil {
		return err
	}
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return g.put(name, b.Bytes())
}

// logs makes the record of every visit.
func (g *generator) logs() error {
	for i, m := range g.fleet.machines {
		for n, v := range g.fleet.visits[m] {
			if err := g.log(m, v, i, n); err != nil {
				return err
			}
		}
	}
	return nil
}

func (g *generator) log(m *machine, v visit, i, n int) error {
	r := chance(g.fleet.options.Seed, "log", i, n)
	t, err := newTrace(m, v, r)
	if err != nil {
		return err
	}
	s := v.kit.attach(r, m.site.altitude, m.conditions(v.start, 0).Surround)
	file := truth.File{
		Path: m.path(v), System: m.truth.ID, Logger: v.kit.dialect.logger, Kit: v.kit.name,
		Start: v.start.UTC(), End: v.end().UTC(),
	}
	if t.tripped {
		file.Trap = "the safety chain had the compressor off"
	}
	err = g.write(underUploads(file.Path), func(w io.Writer) (err error) {
		file.Rows, err = m.writeLog(w, v, t, s)
		return err
	})
	g.truth.Files = append(g.truth.Files, file)
	return err
}
