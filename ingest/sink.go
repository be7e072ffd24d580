package ingest

import (
	"context"
	"errors"
	"io"

	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A sink takes what is read of each system, in frames of bounded size.
type sink interface {
	// put takes rows of samples or extras of a system, behind those before: in order
	// of time, samples with each time once. The frame must stay as it is until the
	// next call.
	put(system int, f *frame.Frame) error
	// restart forgets what was put: the file is read once more.
	restart()
	// shelf makes room for rows that are not in order yet.
	shelf(t table.Table) (shelf, error)
}

// A shelf keeps sorted runs of rows until they are merged.
type shelf interface {
	Append(f *frame.Frame) error
	End() error                 // of a run
	Drop() error                // the run under way
	Sources() ([]source, error) // of the runs, in their order; as often as asked
	Close() error
}

// A source gives rows in order of time, some at a time.
type source interface {
	// First is the time of the first row that Next gives; false where none is left.
	First() (int64, bool)
	Next() (*frame.Frame, error)
}

// memory is a sink that keeps everything: for people who look at one file.
type memory struct {
	rows map[memoryKey][]*frame.Frame
}

type memoryKey struct {
	system int
	table  string
}

func (m *memory) put(system int, f *frame.Frame) error {
	own, err := frame.Concat(f.Widen(tableOf(f.Table().Name)), frame.Empty(tableOf(f.Table().Name))) // copied
	if err != nil {
		return err
	}
	if m.rows == nil {
		m.rows = map[memoryKey][]*frame.Frame{}
	}
	key := memoryKey{system, f.Table().Name}
	m.rows[key] = append(m.rows[key], own)
	return nil
}

func (m *memory) restart() { clear(m.rows) }

func (m *memory) shelf(table.Table) (shelf, error) { return &memoryShelf{}, nil }

// of gives all rows of a system's table.
func (m *memory) of(system int, t table.Table) (*frame.Frame, error) {
	return frame.Concat(append([]*frame.Frame{frame.Empty(t)}, m.rows[memoryKey{system, t.Name}]...)...)
}

// memoryShelf keeps runs in memory.
type memoryShelf struct {
	runs []*memoryRun
	run  memoryRun
}

func (m *memoryShelf) Append(f *frame.Frame) error {
	t := tableOf(f.Table().Name)
	own, err := frame.Concat(f.Widen(t), frame.Empty(t))
	m.run.frames = append(m.run.frames, own)
	return err
}

func (m *memoryShelf) End() error {
	run := m.run
	m.runs, m.run = append(m.runs, &run), memoryRun{}
	return nil
}

func (m *memoryShelf) Drop() error {
	m.run = memoryRun{}
	return nil
}

func (m *memoryShelf) Sources() (list []source, err error) {
	for _, r := range m.runs {
		again := *r // a shelf may be read more than once
		list = append(list, &again)
	}
	return list, nil
}

func (m *memoryShelf) Close() error { return nil }

type memoryRun struct{ frames []*frame.Frame }

func (m *memoryRun) First() (int64, bool) {
	if len(m.frames) == 0 {
		return 0, false
	}
	return timesOf(m.frames[0])[0], true
}

func (m *memoryRun) Next() (*frame.Frame, error) {
	if len(m.frames) == 0 {
		return nil, io.EOF
	}
	f := m.frames[0]
	m.frames = m.frames[1:]
	return f, nil
}

// timesOf is the first column of samples and extras.
func timesOf(f *frame.Frame) []int64 { return f.Times(f.Table().Columns[0].Name) }

// parts is a sink that writes the parts of a reading: rows are encoded and written
// while the next ones are read.
type parts struct {
	ctx     context.Context
	data    *dataset.Dataset
	reading *dataset.ReadingWriter
	systems []string
	busy    chan error // what becomes of the rows under way; nil for none
}

func (p *parts) put(system int, f *frame.Frame) error {
	if err := p.wait(); err != nil {
		return err
	}
	done := make(chan error, 1)
	p.busy = done
	go func() { done <- p.reading.Append(system, p.systems[system], f) }()
	return nil
}

// wait until all rows are written.
func (p *parts) wait() error {
	if p.busy == nil {
		return nil
	}
	err := <-p.busy
	p.busy = nil
	return err
}

func (p *parts) restart() {
	_ = p.wait() // of rows that nobody wants any more
	p.reading.Restart()
}

func (p *parts) shelf(t table.Table) (shelf, error) {
	r, err := p.data.NewRuns(p.ctx, t)
	if err != nil {
		return nil, err
	}
	return diskShelf{r}, nil
}

// diskShelf keeps runs in a scratch of the dataset's.
type diskShelf struct{ *dataset.Runs }

func (d diskShelf) Sources() (list []source, err error) {
	readers, err := d.Read()
	for _, r := range readers {
		list = append(list, r)
	}
	return list, err
}

// errUnordered says that rows do not come in order of time.
var errUnordered = errors.New("rows are not in order of time")
