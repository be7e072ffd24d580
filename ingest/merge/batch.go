package merge

import (
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A Batch puts short frames together, so that pages have their full length.
type Batch struct {
	Table table.Table
	To    func(*frame.Frame) error
	list  []*frame.Frame
	rows  int
}

// Put takes rows, and gives on the full pages among all that were taken.
func (b *Batch) Put(f *frame.Frame) error {
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
	return b.To(all.Slice(0, n))
}

func (b *Batch) whole() (*frame.Frame, error) {
	if len(b.list) == 1 {
		return b.list[0], nil
	}
	wide := make([]*frame.Frame, len(b.list))
	for i, f := range b.list {
		wide[i] = f.Widen(b.Table)
	}
	return frame.Concat(wide...)
}

// Flush gives on what is left.
func (b *Batch) Flush() error {
	if b.rows == 0 {
		return nil
	}
	all, err := b.whole()
	if err != nil {
		return err
	}
	b.list, b.rows = nil, 0
	return b.To(all)
}
