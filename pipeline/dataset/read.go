package dataset

import (
	"context"
	"errors"
	"io"
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

func (d *Dataset) read(ctx context.Context, name string, cols ...string) (*frame.Frame, error) {
	return nil, errors.ErrUnsupported
}

type footer struct {
	table, step, fingerprint string
	notes                    map[string]string
}

func encode(w io.Writer, f *frame.Frame, foot footer) error { return errors.ErrUnsupported }

func (d *Dataset) footer(ctx context.Context, name string) (footer, int64, error) {
	return footer{}, 0, errors.ErrUnsupported
}

// Publish moves a committed generation's staged files to where readers look.
// Files published before are left; one that is gone gives a *LostError.
func (d *Dataset) Publish(ctx context.Context, g Generation) error { return errors.ErrUnsupported }

// Recover finishes publications that a killed run left, and sweeps its
// temporary files. Call it at the start of a run, under the lock.
func (d *Dataset) Recover(ctx context.Context) error { return errors.ErrUnsupported }

// A Verdict is what Verify found.
type Verdict struct {
	Problems []Corrupt `json:"problems"`
	Units    int       `json:"units"`
	Files    int       `json:"files"`   // live files
	Parts    int       `json:"parts"`   // parts they rest on
	Uploads  int       `json:"uploads"` // uploads behind the newest generations
	Rows     int64     `json:"rows"`    // of live files
	Bytes    int64     `json:"bytes"`   // of live files
	Lines    Lines     `json:"lines"`   // sum over the uploads
	Values   Values    `json:"values"`  // sum over the uploads
}

// Verify checks every live file against the ledger, and the accounts. An error
// means that it could not look; what it found is in the Verdict. With repair it
// first finishes publications.
func (d *Dataset) Verify(ctx context.Context, repair bool) (Verdict, error) {
	return Verdict{}, errors.ErrUnsupported
}
