package dataset

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"slices"

	"rimelog/pipeline"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/store"
	"rimelog/pipeline/table"
)

// A ReadingWriter writes what an upload says, under one reading, as a stream: parts
// first, at the end the entry. Nothing is there before Commit. It is not for use by
// several goroutines.
type ReadingWriter struct {
	d     *Dataset
	ctx   context.Context
	entry Entry  // names what is written: Upload, Reading and Step
	ahead string // stands for the name of the upload where nobody knew it at the beginning
	parts map[partKey]*partWriter
}

// partKey names a part of a reading: of which system, counted from 0, and table.
type partKey struct {
	system int
	table  string
}

// BeginReading starts to write a reading. Discard it, or Commit.
func (d *Dataset) BeginReading(ctx context.Context, step pipeline.Step, upload, reading string) (*ReadingWriter, error) {
	w := d.BeginAhead(ctx, step, "")
	return w, w.Name(upload, reading)
}

// BeginAhead starts to write a reading of an upload whose bytes are still being hashed.
// What is written waits where results are staged, under a name made from the key, which
// nobody else uses at the time. Name it, and Commit; or Discard it.
func (d *Dataset) BeginAhead(ctx context.Context, step pipeline.Step, key string) *ReadingWriter {
	return &ReadingWriter{d, ctx, Entry{Step: step.String()}, key, map[partKey]*partWriter{}}
}

// Name says which upload was read, under which reading.
func (w *ReadingWriter) Name(upload, reading string) error {
	if len(reading) != 64 {
		return fmt.Errorf("put reading of %s: %q is not 64 hex digits", upload, reading)
	}
	w.entry.Upload, w.entry.Reading = upload, reading
	return nil
}

// Append writes rows of the n-th system, counted from 0, behind those before: of
// the tables samples, extras or refusals, by the frame's own. Samples and extras come
// in order of time. Columns that the frame does not have are null. The frame may be
// changed afterwards.
func (w *ReadingWriter) Append(n int, system string, f *frame.Frame) error {
	if f.Rows() == 0 {
		return nil
	}
	key := partKey{n, f.Table().Name}
	p := w.parts[key]
	if p == nil {
		var err error
		if p, err = w.beginPart(n, system, tableOfName(key.table)); err != nil {
			return fmt.Errorf("part of upload %s: %w", w.entry.Upload, err)
		}
		w.parts[key] = p
	}
	if err := p.file.append(f); err != nil {
		return fmt.Errorf("part of upload %s: %w", w.entry.Upload, err)
	}
	return nil
}

// Restart forgets what was appended: the upload is read once more.
func (w *ReadingWriter) Restart() {
	for _, p := range w.parts {
		p.pending.discard()
	}
	clear(w.parts)
}

// Discard forgets what was not committed.
func (w *ReadingWriter) Discard() { w.Restart() }

// Commit makes the parts and then the entry, and returns the entry with its Parts.
// What is there already, from a run that was killed or one that does the same now,
// is used as it is. An upload without rows has an entry without parts.
func (w *ReadingWriter) Commit(e Entry) (Entry, error) {
	e.Upload, e.Reading, e.Step, e.Parts = w.entry.Upload, w.entry.Reading, w.entry.Step, []PartFile{}
	keys := slices.SortedFunc(maps.Keys(w.parts), func(a, b partKey) int {
		return cmp.Or(cmp.Compare(a.system, b.system), cmp.Compare(tableOrder[a.table], tableOrder[b.table]))
	})
	for _, k := range keys {
		p, err := w.parts[k].commit(w)
		if err != nil {
			return Entry{}, fmt.Errorf("part of upload %s: %w", e.Upload, err)
		}
		e.Parts = append(e.Parts, p)
	}
	clear(w.parts)
	err := store.StageRecord(w.ctx, w.d.st, entryName(e.Upload, e.Reading), store.Bytes(canonical(e)))
	if err != nil && !errors.Is(err, store.ErrExists) {
		return Entry{}, fmt.Errorf("entry of upload %s: %w", e.Upload, err)
	}
	return e, nil
}

// tableOrder is the order of a system's parts in an entry.
var tableOrder = map[string]int{table.Samples().Name: 0, table.Extras().Name: 1, table.Refusals().Name: 2}

func tableOfName(name string) table.Table {
	if t, ok := table.Named(name); ok {
		return t
	}
	return table.Table{Name: name}
}

// A partWriter writes one part. No row group of it holds rows of two months, so that
// what is joined by month reads that month only.
type partWriter struct {
	n       int // of the system
	system  string
	table   table.Table
	waiting string // where it is written, unless under its own name
	pending *pending
	file    *fileWriter
}

func (w *ReadingWriter) beginPart(n int, system string, t table.Table) (*partWriter, error) {
	p := &partWriter{n: n, system: system, table: t}
	if w.ahead == "" {
		p.pending = w.d.begin(w.ctx, partName(w.entry, n, t), w.d.stageName)
	} else {
		p.waiting = waitingName(w.ahead, n, t)
		p.pending = w.d.begin(w.ctx, p.waiting, w.d.st.Put)
	}
	var err error
	if p.file, err = newFileWriter(p.pending, t, footer{table: t.Name}, w.d.codec); err != nil {
		p.pending.discard()
		return nil, err
	}
	p.file.byMonth = t.Partition == table.BySystemMonth
	return p, nil
}

func (p *partWriter) commit(w *ReadingWriter) (PartFile, error) {
	p.file.meta.KeyValueMetadata = footer{table: p.table.Name, step: w.entry.Step, fingerprint: w.entry.Reading}.keyValues()
	if err := p.file.close(); err != nil {
		p.pending.discard()
		return PartFile{}, err
	}
	f := PartFile{
		System: p.system, Table: p.table.Name, Name: partName(w.entry, p.n, p.table),
		Rows: p.file.meta.NumRows, Months: p.file.months,
	}
	s := p.pending.commit()
	if s.err == nil && p.waiting != "" {
		s.err = w.d.moveIfAbsent(w.ctx, p.waiting, f.Name)
	}
	f.SHA256, f.Bytes = s.sum, s.size
	if errors.Is(s.err, store.ErrExists) {
		f.SHA256, f.Bytes, s.err = w.d.sum(w.ctx, f.Name) // made from the same upload under the same reading
	}
	return f, s.err
}

// moveIfAbsent gives what waits its name, or removes it where the name is taken. Who takes
// the name between the two looks made the same.
func (d *Dataset) moveIfAbsent(ctx context.Context, from, to string) error {
	_, err := d.st.Stat(ctx, to)
	switch {
	case err == nil:
		if err := d.st.Remove(ctx, from); err != nil {
			return err
		}
		return store.ErrExists
	case errors.Is(err, fs.ErrNotExist):
		return d.st.Move(ctx, from, to)
	}
	return err
}
