package corpustest

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"rimelog/ingest"
	"rimelog/ingest/answers"
	"rimelog/ingest/limits"
	"rimelog/ingest/pass"
	"rimelog/ingest/raw"
	"rimelog/ingest/read"
	"rimelog/ingest/understood"
	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/local"
	"rimelog/pipeline/register"
	"rimelog/pipeline/store"
	"rimelog/pipeline/table"
)

// packed tells whether a file lies in an archive, which only a run over a
// workspace opens.
func (f File) packed() bool { return f.Recipe.is("container", "gz", "zip") }

// run reads a file as the product does: from a workspace into its dataset, and the
// samples back.
func run(ctx context.Context, f File, reg *register.Register) (r pass.Reading, err error) {
	folder, err := os.MkdirTemp("", "corpus")
	if err != nil {
		return r, err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(folder)) }()
	path := filepath.Join(folder, "uploads", filepath.FromSlash(f.Path))
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		return r, err
	}
	if err := os.WriteFile(path, f.Bytes, 0o666); err != nil {
		return r, err
	}
	st, err := store.OpenDir(folder)
	if err != nil {
		return r, err
	}
	d := dataset.New(st)
	stage := ingest.NewStage(d, st, reg, limits.Options{})
	if _, err := pipeline.Run(ctx, stage.Rounds(), local.Runner{Workers: 1}, pipeline.Hooks{}); err != nil {
		return r, err
	}
	uploads, problems, err := stage.Account(ctx)
	for _, p := range problems {
		r.Understanding.OpenQuestions = append(r.Understanding.OpenQuestions, understood.Question{Question: p.Problem, RegisterLine: p.Remedy})
	}
	for _, u := range uploads {
		l, v := dataset.Accounts(u)
		r.Lines, r.Values = r.Lines.Add(l), r.Values.Add(v)
		if u.Status == "unreadable" {
			r.Understanding.Unreadable = u.Reason
		}
	}
	r.Parts = parts(ctx, d, f, &err)
	return r, err
}

// parts reads what the dataset holds of the file's months.
func parts(ctx context.Context, d *dataset.Dataset, f File, failed *error) (list []pass.PartRows) {
	months := map[string]bool{}
	for _, v := range f.Values {
		months[time.UnixMicro(v.UTC).UTC().Format("2006-01")] = true
	}
	rows := func(t table.Table, month string) *frame.Frame {
		got, err := d.ReadTable(ctx, t.Path(f.System.ID, month))
		if errors.Is(err, fs.ErrNotExist) {
			return frame.Empty(t)
		}
		*failed = errors.Join(*failed, err)
		return got
	}
	for m := range months {
		list = append(list, pass.PartRows{Samples: rows(table.Samples(), m), Extras: rows(table.Extras(), m), Refusals: frame.Empty(table.Refusals())})
	}
	if len(list) > 0 {
		list[0].Refusals = rows(table.Refusals(), "")
	}
	return list
}

// readWhole gives the reading of a file under the register's answers.
func readWhole(ctx context.Context, f File, reg *register.Register) (pass.Reading, error) {
	if f.packed() {
		return run(ctx, f, reg)
	}
	a := answers.For(reg, f.Path, []string{f.System.ID})
	return read.File(ctx, raw.Source{ReaderAt: bytes.NewReader(f.Bytes), Size: int64(len(f.Bytes))}, "corpus", a, limits.Options{})
}
