package ingest

import (
	"errors"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A pile is a sink for the tables of one file that stand below each other: each is a
// run of its own, until all are read.
type pile struct {
	to      sink
	shelves map[memoryKey]shelf
	err     error // of a restart
}

func (p *pile) put(system int, f *frame.Frame) error {
	key := memoryKey{system, f.Table().Name}
	s := p.shelves[key]
	if s == nil {
		var err error
		if s, err = p.to.shelf(tableOf(key.table)); err != nil {
			return err
		}
		if p.shelves == nil {
			p.shelves = map[memoryKey]shelf{}
		}
		p.shelves[key] = s
	}
	return errors.Join(p.err, s.Append(f))
}

// restart forgets what was put of the table under way.
func (p *pile) restart() {
	for _, s := range p.shelves {
		p.err = errors.Join(p.err, s.Drop())
	}
}

func (p *pile) shelf(t table.Table) (shelf, error) { return p.to.shelf(t) }

// next ends the table under way.
func (p *pile) next() error {
	for _, s := range p.shelves {
		if err := s.End(); err != nil {
			return err
		}
	}
	return p.err
}

// measure tells what merging the tables will give: the extent of one system's rows,
// and how many values a later table gives again.
func (p *pile) measure(system int, t table.Table) (e extent, lostValues int64, err error) {
	s := p.shelves[memoryKey{system, t.Name}]
	if s == nil {
		return e, 0, nil
	}
	err = mergeRuns(t, s, p.to.shelf,
		func(_ int, _ string, n lost) { lostValues += n.Values },
		func(f *frame.Frame) error { e.note(timesOf(f)); return nil })
	return e, lostValues, err
}

// give replaces what the sink holds by the merged tables.
func (p *pile) give() error {
	p.to.restart()
	for key, s := range p.shelves {
		err := mergeRuns(tableOf(key.table), s, p.to.shelf, func(int, string, lost) {}, func(f *frame.Frame) error { return p.to.put(key.system, f) })
		if err != nil {
			return err
		}
	}
	return nil
}

// close frees the tables.
func (p *pile) close() error {
	var errs []error
	for _, s := range p.shelves {
		errs = append(errs, s.Close())
	}
	p.shelves = nil
	return errors.Join(errs...)
}
