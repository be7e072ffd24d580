package dataset

import (
	"context"
	"errors"
	"io/fs"

	"rimelog/pipeline/frame"
)

// ReadTable returns the rows of the published file at a path (a table's Path),
// of all columns or those named. A file that is not there gives an error that
// matches fs.ErrNotExist.
func (d *Dataset) ReadTable(ctx context.Context, path string, cols ...string) (*frame.Frame, error) {
	return d.read(ctx, root+"/"+path, cols...)
}

// ReadFile returns the rows of a file that is staged or published.
func (d *Dataset) ReadFile(ctx context.Context, f File, cols ...string) (*frame.Frame, error) {
	rows, err := d.read(ctx, stagedName(f.Fingerprint, f.Path), cols...)
	if errors.Is(err, fs.ErrNotExist) {
		return d.ReadTable(ctx, f.Path, cols...)
	}
	return rows, err
}
