package dataset

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/format"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/store"
	"rimelog/pipeline/table"
)

// A RowReader reads the rows of a file a row group at a time, in their order.
type RowReader struct {
	name   string
	table  table.Table
	file   *parquet.File
	groups []int
	closer io.Closer
}

// OpenPart reads the rows that a part has of a month, or all of them where the
// month is the zero Month. Close it.
func (d *Dataset) OpenPart(ctx context.Context, p PartFile, m Month) (*RowReader, error) {
	f, foot, closer, err := d.open(ctx, p.Name)
	if err != nil {
		return nil, d.needed(ctx, p, err)
	}
	t, err := tableOf(f, foot)
	if err != nil {
		return nil, errors.Join(damaged(p.Name, err), closer.Close())
	}
	r := &RowReader{p.Name, t, f, nil, closer}
	for i, g := range f.Metadata().RowGroups {
		if first, ok := firstTime(g); m == (Month{}) || ok && first >= m.From && first < m.To {
			r.groups = append(r.groups, i)
		}
	}
	return r, nil
}

// firstTime is the least of a row group's first column, where its bounds are known.
func firstTime(g format.RowGroup) (int64, bool) {
	return bound(g.Columns[0].MetaData.Statistics.MinValue)
}

func bound(b []byte) (v int64, ok bool) {
	if len(b) != 8 {
		return 0, false
	}
	for i := range b {
		v |= int64(b[i]) << (8 * i)
	}
	return v, true
}

// First is the earliest time that is not read yet; false where nothing is left.
func (r *RowReader) First() (int64, bool) {
	if len(r.groups) == 0 {
		return 0, false
	}
	return firstTime(r.file.Metadata().RowGroups[r.groups[0]])
}

// Last is the latest time; false where nothing is left.
func (r *RowReader) Last() (int64, bool) {
	if len(r.groups) == 0 {
		return 0, false
	}
	return bound(r.file.Metadata().RowGroups[r.groups[len(r.groups)-1]].Columns[0].MetaData.Statistics.MaxValue)
}

// Next returns the next rows, with the columns that hold a value in any of them,
// and io.EOF at the end.
func (r *RowReader) Next() (rows *frame.Frame, err error) {
	if len(r.groups) == 0 {
		return nil, io.EOF
	}
	i := r.groups[0]
	r.groups = r.groups[1:]
	if rows, err = decodeGroup(r.file, i, r.table); err != nil {
		return nil, damaged(r.name, err)
	}
	return rows, nil
}

// Close closes the file.
func (r *RowReader) Close() error { return r.closer.Close() }

// decodeGroup reads one row group.
func decodeGroup(f *parquet.File, i int, t table.Table) (rows *frame.Frame, err error) {
	defer tame(&err)
	g, meta := f.RowGroups()[i], f.Metadata().RowGroups[i]
	var names []string
	for k, c := range t.Columns {
		if !c.Null || meta.Columns[k].MetaData.Statistics.NullCount < meta.NumRows {
			names = append(names, c.Name)
		}
	}
	if len(names) == 0 {
		return nil, errors.New("has a row group without any value")
	}
	b, room := frame.NewBuilder(frame.Columns(t, names...), int(meta.NumRows)), &spreading{}
	for k, c := range t.Columns {
		if len(names) == 0 || c.Name != names[0] {
			continue
		}
		names = names[1:]
		if err := decodeChunk(g.ColumnChunks()[k], c, room, b.Column(c.Name)); err != nil {
			return nil, fmt.Errorf("column %s: %w", c.Name, err)
		}
	}
	return b.Build()
}

// Runs keeps rows of one table that are not in order, as sorted runs in a scratch:
// Append the rows of a run, End it, and begin the next; at last Read them all. Close
// frees the scratch.
type Runs struct {
	scratch store.Scratch
	table   table.Table
	file    *fileWriter
	ends    []int         // the row group behind the last of each run
	whole   *parquet.File // once it is read
}

// NewRuns makes room for runs of a table whose first column is the time.
func (d *Dataset) NewRuns(ctx context.Context, t table.Table) (*Runs, error) {
	s, err := store.NewScratch(ctx, d.st)
	if err != nil {
		return nil, fmt.Errorf("scratch for %s: %w", t.Name, err)
	}
	r := &Runs{scratch: s, table: t}
	if r.file, err = newFileWriter(s, t, footer{table: t.Name}, d.codec); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return r, nil
}

// Append writes rows of the run under way, in order of time.
func (r *Runs) Append(f *frame.Frame) error { return r.file.append(f) }

// End ends the run under way.
func (r *Runs) End() error {
	if err := r.file.endGroup(); err != nil {
		return err
	}
	r.ends = append(r.ends, len(r.file.meta.RowGroups))
	return nil
}

// Drop forgets the run under way.
func (r *Runs) Drop() error {
	from := 0
	if n := len(r.ends); n > 0 {
		from = r.ends[n-1]
	}
	r.file.drop(from)
	return nil
}

// Read gives the runs, in the order in which they were written. Nothing can be
// appended any more. The readers need not be closed.
func (r *Runs) Read() ([]*RowReader, error) {
	if r.whole == nil {
		if err := r.file.close(); err != nil {
			return nil, err
		}
		var err error
		if r.whole, err = openFile(r.scratch, r.file.offset); err != nil {
			return nil, fmt.Errorf("scratch for %s: %w", r.table.Name, err)
		}
	}
	var list []*RowReader
	from := 0
	for _, to := range r.ends {
		one := &RowReader{name: "scratch for " + r.table.Name, table: r.table, file: r.whole, closer: io.NopCloser(nil)}
		for ; from < to; from++ {
			one.groups = append(one.groups, from)
		}
		list = append(list, one)
	}
	return list, nil
}

// Close frees the scratch.
func (r *Runs) Close() error { return r.scratch.Close() }
