package merge

import (
	"context"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// Parts is a sink that writes the parts of a reading: rows are encoded and written
// while the next ones are read.
type Parts struct {
	Ctx     context.Context
	Data    *dataset.Dataset
	Reading *dataset.ReadingWriter
	Systems []string
	busy    chan error // what becomes of the rows under way; nil for none
}

// Put hands rows to the writer, once those before are written.
func (p *Parts) Put(system int, f *frame.Frame) error {
	if err := p.Wait(); err != nil {
		return err
	}
	done := make(chan error, 1)
	p.busy = done
	go func() { done <- p.Reading.Append(system, p.Systems[system], f) }()
	return nil
}

// Wait until all rows are written.
func (p *Parts) Wait() error {
	if p.busy == nil {
		return nil
	}
	err := <-p.busy
	p.busy = nil
	return err
}

// Restart forgets what was written.
func (p *Parts) Restart() {
	_ = p.Wait() // of rows that nobody wants any more
	p.Reading.Restart()
}

// Shelf is a scratch of the dataset's.
func (p *Parts) Shelf(t table.Table) (Shelf, error) {
	r, err := p.Data.NewRuns(p.Ctx, t)
	if err != nil {
		return nil, err
	}
	return diskShelf{r}, nil
}

// diskShelf keeps runs in a scratch of the dataset's.
type diskShelf struct{ *dataset.Runs }

// Sources reads the runs.
func (d diskShelf) Sources() (list []Source, err error) {
	readers, err := d.Read()
	for _, r := range readers {
		list = append(list, r)
	}
	return list, err
}
