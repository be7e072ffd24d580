package merge

import (
	"errors"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A Pile is a sink for the tables of one file that stand below each other: each is a
// run of its own, until all are read.
type Pile struct {
	To      Sink
	shelves map[tableOfSystem]Shelf
	err     error // of a restart
}

// Put takes rows of the table under way.
func (p *Pile) Put(system int, f *frame.Frame) error {
	key := tableOfSystem{system, f.Table().Name}
	s := p.shelves[key]
	if s == nil {
		var err error
		if s, err = p.To.Shelf(TableOf(key.table)); err != nil {
			return err
		}
		if p.shelves == nil {
			p.shelves = map[tableOfSystem]Shelf{}
		}
		p.shelves[key] = s
	}
	return errors.Join(p.err, s.Append(f))
}

// Restart forgets what was put of the table under way.
func (p *Pile) Restart() {
	for _, s := range p.shelves {
		p.err = errors.Join(p.err, s.Drop())
	}
}

// Shelf is that of the sink behind.
func (p *Pile) Shelf(t table.Table) (Shelf, error) { return p.To.Shelf(t) }

// Next ends the table under way.
func (p *Pile) Next() error {
	for _, s := range p.shelves {
		if err := s.End(); err != nil {
			return err
		}
	}
	return p.err
}

// Measure tells what merging the tables will give: the extent of one system's rows,
// and how many values a later table gives again.
func (p *Pile) Measure(system int, t table.Table) (e Extent, lostValues int64, err error) {
	s := p.shelves[tableOfSystem{system, t.Name}]
	if s == nil {
		return e, 0, nil
	}
	err = Runs(t, s, p.To.Shelf,
		func(_ int, _ string, n Lost) { lostValues += n.Values },
		func(f *frame.Frame) error { e.note(TimesOf(f)); return nil })
	return e, lostValues, err
}

// Give replaces what the sink holds by the merged tables.
func (p *Pile) Give() error {
	p.To.Restart()
	for key, s := range p.shelves {
		err := Runs(TableOf(key.table), s, p.To.Shelf, func(int, string, Lost) {}, func(f *frame.Frame) error { return p.To.Put(key.system, f) })
		if err != nil {
			return err
		}
	}
	return nil
}

// Close frees the tables.
func (p *Pile) Close() error {
	var errs []error
	for _, s := range p.shelves {
		errs = append(errs, s.Close())
	}
	p.shelves = nil
	return errors.Join(errs...)
}
