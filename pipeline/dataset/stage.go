package dataset

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"

	"rimelog/pipeline"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/store"
	"rimelog/pipeline/table"
)

// StageFrame writes a job's result for the partition at a path (a table's Path).
// The frame must have every column of its table. Notes go into the footer and
// into the File. Where the same job staged it before, that file is used as it is.
func (d *Dataset) StageFrame(ctx context.Context, fp pipeline.Fingerprint, step pipeline.Step, path string, f *frame.Frame, notes map[string]string) (File, error) {
	t := f.Table()
	if err := whole(t); err != nil {
		return File{}, err
	}
	return d.StageRows(ctx, fp, step, path, t, func(w *TableWriter) (map[string]string, error) { return notes, w.Append(f) })
}

// A TableWriter writes the rows of a staged file as a stream.
type TableWriter struct {
	d    *Dataset
	ctx  context.Context
	file *fileWriter
}

// Append writes rows behind those before. Columns that the frame does not have are
// null. The frame may be changed afterwards.
func (w *TableWriter) Append(f *frame.Frame) error { return w.file.append(f) }

// CopyPart writes the rows that a part has of a month, as they are stored: nothing
// is decoded.
func (w *TableWriter) CopyPart(p PartFile, m Month) (err error) {
	r, err := w.d.OpenPart(w.ctx, p, m)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	src, ok := r.closer.(io.ReaderAt)
	if !ok || r.table.Name != w.file.table.Name {
		return fmt.Errorf("%s: is of table %s", p.Name, r.table.Name)
	}
	for _, i := range r.groups {
		if err := w.file.copyGroup(src, r.file.Metadata().RowGroups[i]); err != nil {
			return fmt.Errorf("copy %s: %w", p.Name, err)
		}
	}
	return nil
}

// StageRows writes a job's result as write gives it, row group by row group. The
// notes that write returns are known only once all rows are. A result that is staged
// already is used as it is.
func (d *Dataset) StageRows(ctx context.Context, fp pipeline.Fingerprint, step pipeline.Step, path string, t table.Table,
	write func(*TableWriter) (notes map[string]string, err error)) (File, error) {
	file := File{Path: path, Table: t.Name, Step: step.String(), Fingerprint: fp}
	return d.stage(ctx, file, func(w io.Writer, made *File) error {
		foot := footer{table: t.Name, step: file.Step, fingerprint: string(fp)}
		out, err := newFileWriter(w, t, foot, d.codec)
		if err != nil {
			return err
		}
		if foot.notes, err = write(&TableWriter{d, ctx, out}); err != nil {
			return err
		}
		if err := out.putNotes(&foot); err != nil {
			return err
		}
		out.meta.KeyValueMetadata = foot.keyValues()
		made.note(foot)
		err = out.close()
		made.Rows = out.meta.NumRows
		return err
	})
}

// StageBytes writes a job's page at a path below report/.
func (d *Dataset) StageBytes(ctx context.Context, fp pipeline.Fingerprint, step pipeline.Step, path string, b []byte) (File, error) {
	file := File{Path: path, Step: step.String(), Fingerprint: fp}
	return d.stage(ctx, file, func(w io.Writer, _ *File) error { return store.Bytes(b)(w) })
}

// stage writes a file that write also completes, or completes it from what is staged.
func (d *Dataset) stage(ctx context.Context, f File, write func(io.Writer, *File) error) (File, error) {
	if len(f.Fingerprint) != 64 {
		return File{}, fmt.Errorf("stage %s: fingerprint %q is not 64 hex digits", f.Path, f.Fingerprint)
	}
	made, err := d.putOrTake(ctx, f, write)
	if errors.Is(err, fs.ErrNotExist) { // another run published it between the two looks
		made, err = d.putOrTake(ctx, f, write)
	}
	if err != nil {
		return File{}, fmt.Errorf("stage %s: %w", f.Path, err)
	}
	d.made.Store(stagedName(f.Fingerprint, f.Path), made)
	return made, nil
}

// putOrTake writes a file, or completes it from what is staged.
func (d *Dataset) putOrTake(ctx context.Context, f File, write func(io.Writer, *File) error) (File, error) {
	var err error
	f.SHA256, f.Bytes, err = summed(ctx, stagedName(f.Fingerprint, f.Path), d.stageName, func(w io.Writer) error { return write(w, &f) })
	if errors.Is(err, store.ErrExists) {
		return d.staged(ctx, f)
	}
	return f, err
}

// Settle makes all that was staged and told the ledger durable, and seen by others. What is
// committed is settled before.
func (d *Dataset) Settle(ctx context.Context) error { return store.Settle(ctx, d.st) }

// stageName stages a name in the store.
func (d *Dataset) stageName(ctx context.Context, name string, write func(io.Writer) error) error {
	return store.Stage(ctx, d.st, name, write)
}

// A putFunc makes a name: a store's Put, or stageName.
type putFunc func(ctx context.Context, name string, write func(io.Writer) error) error

// summed makes a name, and gives the hash and the size of what was written.
func summed(ctx context.Context, name string, put putFunc, write func(io.Writer) error) (sum string, size int64, err error) {
	s := &summer{h: sha256.New()}
	err = put(ctx, name, func(w io.Writer) error { return write(io.MultiWriter(w, s)) })
	return s.sum(), s.n, err
}

// Staged returns what a job staged for a path, if it did. What this Dataset staged
// itself is not read again to be told.
func (d *Dataset) Staged(ctx context.Context, fp pipeline.Fingerprint, step pipeline.Step, path string) (File, bool, error) {
	f, err := d.staged(ctx, File{Path: path, Step: step.String(), Fingerprint: fp})
	if errors.Is(err, fs.ErrNotExist) {
		return File{}, false, nil
	}
	return f, err == nil, err
}

// staged completes a File from the staged bytes.
func (d *Dataset) staged(ctx context.Context, f File) (File, error) {
	name := stagedName(f.Fingerprint, f.Path)
	known, ok := d.made.Load(name)
	if !ok {
		return d.describe(ctx, name, f)
	}
	info, err := d.st.Stat(ctx, name)
	if made := known.(File); err != nil || info.Size == made.Bytes && made.Step == f.Step {
		return made, err
	}
	return d.describe(ctx, name, f)
}

// describe completes a File from the bytes at a name.
func (d *Dataset) describe(ctx context.Context, name string, f File) (File, error) {
	var err error
	if f.SHA256, f.Bytes, err = d.sum(ctx, name); err != nil {
		return File{}, err
	}
	if !isTable(f.Path) {
		return f, nil
	}
	foot, rows, err := d.footer(ctx, name)
	if err != nil {
		return File{}, err
	}
	f.Table, f.Rows = foot.table, rows
	f.note(foot)
	return f, nil
}

// sum gives the SHA-256 and the size of a name's bytes.
func (d *Dataset) sum(ctx context.Context, name string) (hex string, size int64, err error) {
	r, err := d.st.Open(ctx, name)
	if err != nil {
		return "", 0, err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	s := &summer{h: sha256.New()}
	if _, err := io.Copy(s, r); err != nil {
		return "", 0, fmt.Errorf("read %s: %w", name, err)
	}
	return s.sum(), s.n, nil
}

// summer hashes and counts what is written to it.
type summer struct {
	h hash.Hash
	n int64
}

func (s *summer) Write(p []byte) (int, error) {
	s.n += int64(len(p))
	return s.h.Write(p)
}

func (s *summer) sum() string { return hex.EncodeToString(s.h.Sum(nil)) }
