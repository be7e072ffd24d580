package ingest

import (
	"errors"

	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A feed is one of several sources that are merged. Of two values for one time that
// of the later feed counts.
type feed struct {
	source
	rows *frame.Frame // read and not used; nil for none
}

// begin is the earliest time that is not used yet; false where nothing is left.
func (f *feed) begin() (int64, bool) {
	if f.rows != nil {
		return timesOf(f.rows)[0], true
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
	out   batch
}

func (m *merger) run() error {
	for {
		limit, ok, err := m.limit()
		if err != nil {
			return err
		}
		if !ok {
			return m.out.flush()
		}
		window := make([]*frame.Frame, len(m.feeds))
		for i, f := range m.feeds {
			window[i] = f.before(limit)
		}
		rows, err := m.join(window)
		if err != nil {
			return err
		}
		if err := m.out.put(rows); err != nil {
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

// A batch puts short frames together, so that pages have their full length.
type batch struct {
	table table.Table
	to    func(*frame.Frame) error
	list  []*frame.Frame
	rows  int
}

func (b *batch) put(f *frame.Frame) error {
	if f.Rows() == 0 {
		return nil
	}
	b.list, b.rows = append(b.list, f), b.rows+f.Rows()
	if b.rows < dataset.PageRows {
		return nil
	}
	all, err := b.whole()
	if err != nil {
		return err
	}
	n := all.Rows() / dataset.PageRows * dataset.PageRows
	rest := all.Slice(n, all.Rows())
	b.list, b.rows = nil, 0
	if rest.Rows() > 0 {
		b.list, b.rows = []*frame.Frame{rest}, rest.Rows()
	}
	return b.to(all.Slice(0, n))
}

func (b *batch) whole() (*frame.Frame, error) {
	if len(b.list) == 1 {
		return b.list[0], nil
	}
	wide := make([]*frame.Frame, len(b.list))
	for i, f := range b.list {
		wide[i] = f.Widen(b.table)
	}
	return frame.Concat(wide...)
}

func (b *batch) flush() error {
	if b.rows == 0 {
		return nil
	}
	all, err := b.whole()
	if err != nil {
		return err
	}
	b.list, b.rows = nil, 0
	return b.to(all)
}

// merge brings sources into one order. Of two values for one time that of the later
// source counts; lost is told, by source, what it gave in vain: the column or header
// and how many values.
func merge(t table.Table, sources []source, lost func(source int, column string, n lost), to func(*frame.Frame) error) error {
	m := &merger{table: t, out: batch{table: t, to: to}}
	for _, s := range sources {
		m.feeds = append(m.feeds, &feed{source: s})
	}
	m.join = func(window []*frame.Frame) (*frame.Frame, error) {
		if t.Name == extrasTable.Name {
			return joinExtras(window, lost)
		}
		return joinSamples(window, lost)
	}
	return m.run()
}

// mostMerged is how many runs are merged at once: each holds a row group in memory
// while it is read.
const mostMerged = 16

// mergeRuns brings the runs of a shelf into one order. Where too many overlap, it
// merges neighbours into longer runs first.
func mergeRuns(t table.Table, from shelf, room func(table.Table) (shelf, error), lost func(int, string, lost), to func(*frame.Frame) error) (err error) {
	runs, err := from.Sources()
	if err != nil {
		return err
	}
	if len(runs) <= mostMerged || !crowded(runs) {
		return merge(t, runs, lost, to)
	}
	next, err := room(t)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, next.Close()) }()
	for len(runs) > 0 {
		n := min(mostMerged, len(runs))
		if err := merge(t, runs[:n], lost, next.Append); err != nil {
			return err
		}
		if err := next.End(); err != nil {
			return err
		}
		runs = runs[n:]
	}
	return mergeRuns(t, next, room, lost, to)
}

// crowded tells whether more runs overlap at some time than are merged at once.
func crowded(runs []source) bool {
	type bounded interface{ Last() (int64, bool) }
	for _, r := range runs {
		begin, _ := r.First()
		open := 0
		for _, o := range runs {
			b, ok := o.(bounded)
			if !ok {
				return false // in memory already
			}
			first, _ := o.First()
			if last, _ := b.Last(); first <= begin && last >= begin {
				open++
			}
		}
		if open > mostMerged {
			return true
		}
	}
	return false
}
