package dataset

import (
	"context"
	"errors"
	"io/fs"
	"slices"
)

// longNote is the length in bytes from which on a note stands in its file's footer alone.
const longNote = 256

// note takes what a step says of its file: short notes as they are, long ones by name.
func (f *File) note(all map[string]string) {
	f.Notes, f.Long = nil, nil
	for name, text := range all {
		if len(text) >= longNote {
			f.Long = append(f.Long, name)
			continue
		}
		if f.Notes == nil {
			f.Notes = map[string]string{}
		}
		f.Notes[name] = text
	}
	slices.Sort(f.Long)
}

// Note is what the step that made a file says of it under a name: from the ledger where it
// is short, else from the footer of the staged or published file. It returns false where
// the step says nothing.
func (d *Dataset) Note(ctx context.Context, f File, name string) (string, bool, error) {
	if text, ok := f.Notes[name]; ok {
		return text, true, nil
	}
	if !slices.Contains(f.Long, name) {
		return "", false, nil
	}
	foot, _, err := d.footer(ctx, stagedName(f.Fingerprint, f.Path))
	if errors.Is(err, fs.ErrNotExist) {
		foot, _, err = d.footer(ctx, f.Name())
	}
	if err != nil {
		return "", false, err
	}
	if foot.fingerprint != string(f.Fingerprint) {
		return "", false, &LostError{f.Name()}
	}
	text, ok := foot.notes[name]
	return text, ok, nil
}
