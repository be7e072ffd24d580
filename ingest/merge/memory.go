package merge

import (
	"io"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// Memory is a sink that keeps everything: for people who look at one file.
type Memory struct {
	rows map[tableOfSystem][]*frame.Frame
}

// Put keeps a copy.
func (m *Memory) Put(system int, f *frame.Frame) error {
	own, err := frame.Concat(f.Widen(TableOf(f.Table().Name)), frame.Empty(TableOf(f.Table().Name))) // copied
	if err != nil {
		return err
	}
	if m.rows == nil {
		m.rows = map[tableOfSystem][]*frame.Frame{}
	}
	key := tableOfSystem{system, f.Table().Name}
	m.rows[key] = append(m.rows[key], own)
	return nil
}

// Restart forgets all rows.
func (m *Memory) Restart() { clear(m.rows) }

// Shelf is in memory too.
func (m *Memory) Shelf(table.Table) (Shelf, error) { return &MemoryShelf{}, nil }

// Rows gives all rows of a system's table.
func (m *Memory) Rows(system int, t table.Table) (*frame.Frame, error) {
	return frame.Concat(append([]*frame.Frame{frame.Empty(t)}, m.rows[tableOfSystem{system, t.Name}]...)...)
}

// MemoryShelf keeps runs in memory.
type MemoryShelf struct {
	runs []*memoryRun
	run  memoryRun
}

// Append takes rows of the run under way.
func (m *MemoryShelf) Append(f *frame.Frame) error {
	t := TableOf(f.Table().Name)
	own, err := frame.Concat(f.Widen(t), frame.Empty(t))
	m.run.frames = append(m.run.frames, own)
	return err
}

// End ends it.
func (m *MemoryShelf) End() error {
	run := m.run
	m.runs, m.run = append(m.runs, &run), memoryRun{}
	return nil
}

// Drop forgets it.
func (m *MemoryShelf) Drop() error {
	m.run = memoryRun{}
	return nil
}

// Sources reads the runs, as often as asked.
func (m *MemoryShelf) Sources() (list []Source, err error) {
	for _, r := range m.runs {
		again := *r // a shelf may be read more than once
		list = append(list, &again)
	}
	return list, nil
}

// Close does nothing.
func (m *MemoryShelf) Close() error { return nil }

type memoryRun struct{ frames []*frame.Frame }

// First is the time of the first row left.
func (m *memoryRun) First() (int64, bool) {
	if len(m.frames) == 0 {
		return 0, false
	}
	return TimesOf(m.frames[0])[0], true
}

// Next gives a frame.
func (m *memoryRun) Next() (*frame.Frame, error) {
	if len(m.frames) == 0 {
		return nil, io.EOF
	}
	f := m.frames[0]
	m.frames = m.frames[1:]
	return f, nil
}
