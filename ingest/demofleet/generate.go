package demofleet

import (
	"context"
	"fmt"
	"io"
	"path"
	"slices"
	"strings"

	"rimelog/ingest/demofleet/truth"
)

// A Put keeps one file of a workspace: its name with slashes, and what writes it.
type Put func(name string, write func(io.Writer) error) error

// A Watch is told what was true of a file when it has been written. It may be nil.
type Watch func(truth.File, []truth.Point) error

// Generate makes the fleet of the options and gives each file of its workspace to
// put, one after the other and in a fixed order: the register first, then the
// uploads. It returns the truth. The error is of the options, of put or watch, or
// of a context that ended.
func Generate(ctx context.Context, o Options, put Put, watch Watch) (truth.Fleet, error) {
	if err := o.Validate(); err != nil {
		return truth.Fleet{}, err
	}
	f, err := newFleet(o.withDefaults())
	if err != nil {
		return truth.Fleet{}, err
	}
	g := generator{ctx: ctx, fleet: f, truth: f.truthOf(), put: put, watch: watch}
	for _, step := range []func() error{g.register, g.logs, g.odd} {
		if err := step(); err != nil {
			return g.truth, err
		}
	}
	return g.truth, nil
}

// A generator hands out a fleet's files.
type generator struct {
	ctx   context.Context
	fleet *fleet
	truth truth.Fleet
	put   Put
	watch Watch
	buf   []byte // in which lines are made
}

func (g *generator) register() error {
	files, slips := g.fleet.register()
	g.truth.Slips = slips
	for _, f := range files {
		if err := g.write(path.Join("register", f.name), f.write); err != nil {
			return err
		}
	}
	return nil
}

func (g *generator) write(name string, write func(io.Writer) error) error {
	if err := g.ctx.Err(); err != nil {
		return err
	}
	if err := g.put(name, write); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return nil
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

// log makes the record of one visit, and a second copy where somebody uploaded it
// twice.
func (g *generator) log(m *machine, v *visit, i, n int) error {
	seed := g.fleet.options.Seed
	var made []mistake
	if !v.cycling {
		made = g.fleet.options.Mix.Mistakes.draw(chance(seed, "mistakes", i, n))
	}
	file := truth.File{Path: m.path(v), System: m.truth.ID, Logger: v.kit.dialect.logger, Kit: v.kit.name}
	if slices.ContainsFunc(made, func(k mistake) bool { return k.id == "D32" }) {
		other := g.fleet.machines[(i+1)%len(g.fleet.machines)]
		file.Path = path.Join(other.truth.ID, "x-"+path.Base(file.Path))
	}
	if err := g.record(m, v, file, made, i, n); err != nil {
		return err
	}
	if !slices.ContainsFunc(made, func(k mistake) bool { return k.id == "D16" }) {
		return nil
	}
	file.Path = path.Join(path.Dir(file.Path), "again-"+path.Base(file.Path))
	return g.record(m, v, file, made, i, n)
}

func (g *generator) record(m *machine, v *visit, file truth.File, made []mistake, i, n int) error {
	var odd []quirk
	if !v.cycling {
		odd = g.fleet.options.Mix.Quirks.draw(chance(g.fleet.options.Seed, "quirks", i, n))
	}
	rec, err := newRecorder(m, *v, chance(g.fleet.options.Seed, "log", i, n), made, &g.fleet.options.Mix.Sizes, odd)
	if err != nil {
		return err
	}
	rec.buf = g.buf
	defer func() { g.buf, m.spare = rec.buf, rec.trace.knots }()
	file.Start, file.End = rec.visit.start.UTC(), rec.visit.end().UTC()
	file.Mistakes, file.Quirks, file.Columns, file.Zone = rec.mistakes, rec.quirks, rec.columns(), rec.zone().String()
	file.Path += rec.suffix
	file.Unsound = rec.unsound()
	file.Heats = m.kind.Heats() || m.heats(rec.visit.start)
	if g.watch != nil {
		file.Steady, file.Effects = rec.trace.steady(), rec.trace.effects()
		if rec.visit.cycling && !rec.trace.tripped {
			file.Energy = rec.trace.days()
		}
	}
	file.Trap = rec.trap
	if rec.trace.tripped {
		file.Trap = safetyChain
	}
	points := rec.trace.points()
	if rec.split != nil {
		return g.parts(rec, file, points)
	}
	err = g.write(path.Join("uploads", file.Path), func(w io.Writer) (err error) {
		file.Rows, err = rec.write(w)
		return err
	})
	if err != nil {
		return err
	}
	return g.wrote(file, points)
}

// safetyChain is the trap of a log in which the machine never ran.
const safetyChain = "the safety chain had the compressor off"

// parts writes a record that is exported to several files. The operating points go
// with the first.
func (g *generator) parts(rec *recorder, file truth.File, points []truth.Point) error {
	list, rows, err := rec.parts()
	if err != nil {
		return err
	}
	file.Record = file.Path
	columns, day := file.Columns, path.Base(file.Path)
	at := strings.LastIndexByte(day, '-')
	for _, p := range list {
		file.Path = path.Join(path.Dir(file.Path), day[:at]+p.tag+day[at:])
		file.Columns, file.Rows = columns[p.from:p.to], rows
		err := g.write(path.Join("uploads", file.Path), func(w io.Writer) error {
			_, err := w.Write(p.file)
			return err
		})
		if err != nil {
			return err
		}
		if err := g.wrote(file, points); err != nil {
			return err
		}
		points = nil
	}
	return nil
}

// wrote keeps the truth about a file.
func (g *generator) wrote(file truth.File, points []truth.Point) error {
	g.truth.Files = append(g.truth.Files, file)
	if g.watch == nil {
		return nil
	}
	return g.watch(file, points)
}
