package dataset

import (
	"cmp"
	"context"
	"errors"
	"fmt"
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
	entry Entry // names what is written: Upload, Reading and Step
	parts map[partKey]*partWriter
}

// partKey names a part of a reading: of which system, counted from 0, and table.
type partKey struct {
	system int
	table  string
}

// BeginReading starts to write a reading. Discard it, or Commit.
func (d *Dataset) BeginReading(ctx context.Context, step pipeline.Step, upload, reading string) (*ReadingWriter, error) {
	if len(reading) != 64 {
		return nil, fmt.Errorf("put reading of %s: %q is not 64 hex digits", upload, reading)
	}
	e := Entry{Upload: upload, Reading: reading, Step: stepText(step)}
	return &ReadingWriter{d, ctx, e, map[partKey]*partWriter{}}, nil
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
		if p, err = w.d.beginPart(w.ctx, w.entry, n, system, tableOfName(key.table)); err != nil {
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
		p, err := w.parts[k].commit(w.ctx, w.d)
		if err != nil {
			return Entry{}, fmt.Errorf("part of upload %s: %w", e.Upload, err)
		}
		e.Parts = append(e.Parts, p)
	}
	clear(w.parts)
	err := w.d.st.PutIfAbsent(w.ctx, entryName(e.Upload, e.Reading), store.Bytes(canonical(e)))
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
	part    PartFile
	pending *pending
	file    *fileWriter
}

func (d *Dataset) beginPart(ctx context.Context, e Entry, n int, system string, t table.Table) (*partWriter, error) {
	w := &partWriter{part: PartFile{System: system, Table: t.Name, Name: partName(e, n, t)}}
	w.pending = d.begin(ctx, w.part.Name)
	var err error
	if w.file, err = newFileWriter(w.pending, t, footer{table: t.Name, step: e.Step, fingerprint: e.Reading}, d.codec); err != nil {
		w.pending.discard()
		return nil, err
	}
	w.file.byMonth = t.Partition == table.BySystemMonth
	return w, nil
}

func (w *partWriter) commit(ctx context.Context, d *Dataset) (PartFile, error) {
	if err := w.file.close(); err != nil {
		w.pending.discard()
		return PartFile{}, err
	}
	p := w.part
	p.Rows, p.Months = w.file.meta.NumRows, w.file.months
	s := w.pending.commit()
	p.SHA256, p.Bytes = s.sum, s.size
	if errors.Is(s.err, store.ErrExists) {
		p.SHA256, p.Bytes, s.err = d.sum(ctx, p.Name) // made from the same upload under the same reading
	}
	return p, s.err
}
