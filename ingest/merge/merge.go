package merge

import (
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A feed is one of several sources that are merged. Of two values for one time that
// of the later feed counts.
type feed struct {
	Source
	rows *frame.Frame // read and not used; nil for none
}

// begin is the earliest time that is not used yet; false where nothing is left.
func (f *feed) begin() (int64, bool) {
	if f.rows != nil {
		return TimesOf(f.rows)[0], true
	}
	return f.First()
}

// more reads on. Rows of one time may lie in two row groups.
func (f *feed) more(t table.Table) error {
	next, err := f.Next()
	if err != nil {
		return err
	}
	if f.rows != nil {
		next, err = frame.Concat(f.rows.Widen(t), next.Widen(t))
	}
	f.rows = next
	return err
}

// before cuts off the rows before a time.
func (f *feed) before(limit int64) *frame.Frame {
	if f.rows == nil {
		return nil
	}
	name := f.rows.Table().Columns[0].Name
	n := f.rows.Between(name, -1<<63, limit).Rows()
	head := f.rows.Slice(0, n)
	if f.rows = f.rows.Slice(n, f.rows.Rows()); f.rows.Rows() == 0 {
		f.rows = nil
	}
	return head
}

// A merger brings the rows of several feeds into one order, window by window: it
// holds no more than the row groups that overlap.
type merger struct {
	table table.Table
	feeds []*feed
	join  func(window []*frame.Frame) (*frame.Frame, error) // by feed; nil for none
	out   Batch
}

func (m *merger) run() error {
	for {
		limit, ok, err := m.limit()
		if err != nil {
			return err
		}
		if !ok {
			return m.out.Flush()
		}
		window := make([]*frame.Frame, len(m.feeds))
		for i, f := range m.feeds {
			window[i] = f.before(limit)
		}
		rows, err := m.join(window)
		if err != nil {
			return err
		}
		if err := m.out.Put(rows); err != nil {
			return err
		}
	}
}

// limit reads on until all rows before some time are there, and gives that time.
func (m *merger) limit() (limit int64, ok bool, err error) {
	start := int64(1<<63 - 1)
	for _, f := range m.feeds {
		if t, some := f.begin(); some {
			start, ok = min(start, t), true
		}
	}
	limit = 1<<63 - 1
	for _, f := range m.feeds {
		for {
			first, some := f.First()
			if !some {
				break
			}
			if first > start {
				limit = min(limit, first)
				break
			}
			if err := f.more(m.table); err != nil {
				return 0, false, err
			}
		}
	}
	return limit, ok, nil
}

// Join brings sources into one order. Of two values for one time that of the later
// source counts; lost is told, by source, what it gave in vain: the column or header
// and how many values.
func Join(t table.Table, sources []Source, lost func(source int, column string, n Lost), to func(*frame.Frame) error) error {
	m := &merger{table: t, out: Batch{Table: t, To: to}}
	for _, s := range sources {
		m.feeds = append(m.feeds, &feed{Source: s})
	}
	m.join = func(window []*frame.Frame) (*frame.Frame, error) {
		if t.Name == extras.Name {
			return joinExtras(window, lost)
		}
		return joinSamples(window, lost)
	}
	return m.run()
}
