package dataset

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"unsafe"

	"rimelog/pipeline/store"
)

// A note is what a step says of its file beside the rows. Where it stands follows from its
// length, so that nobody goes through more of it than he asks for:
//
//  1. a short one in the ledger and in the file's footer;
//  2. a long one in the footer alone, since the ledger is written anew every night;
//  3. long ones that are very long together behind the rows, where the footer tells who asks
//     for them: whoever reads rows reads the footer first. To other readers these bytes are
//     those of no column.
const (
	longNote     = 256     // bytes from which on a note is long
	longTogether = 1 << 17 // bytes from which on all long ones are very long together
)

// A place is where a note stands in a file.
type place struct {
	At    int64 `json:"at"`
	Bytes int64 `json:"bytes"`
}

// note takes what a step says of its file: short notes as they are, long ones by name.
func (f *File) note(foot footer) {
	f.Notes, f.Long = nil, slices.Collect(maps.Keys(foot.below))
	for name, text := range foot.notes {
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

// putNotes ends the rows of a file. Long notes that are very long together go behind them, in
// the order of their names; the others stay for the footer.
func (f *fileWriter) putNotes(foot *footer) error {
	if err := f.endGroup(); err != nil {
		return err
	}
	short, long, together := map[string]string{}, map[string]string{}, 0
	for name, text := range foot.notes {
		if len(text) < longNote {
			short[name] = text
		} else {
			long[name], together = text, together+len(text)
		}
	}
	if together < longTogether {
		return nil
	}
	foot.notes, foot.below = short, map[string]place{}
	for _, name := range slices.Sorted(maps.Keys(long)) {
		foot.below[name] = place{f.offset, int64(len(long[name]))}
		if err := f.write([]byte(long[name])); err != nil {
			return err
		}
	}
	return nil
}

// Note is what the step that made a file says of it under a name. It returns false where
// the step says nothing.
func (d *Dataset) Note(ctx context.Context, f File, name string) (string, bool, error) {
	if text, ok := f.Notes[name]; ok {
		return text, true, nil
	}
	if !slices.Contains(f.Long, name) {
		return "", false, nil
	}
	found, err := d.Notes(ctx, f, func(other string) bool { return other == name })
	text, ok := found[name]
	return text, ok, err
}

// Notes are what the step that made a file says of it under the names that are wanted: from
// the ledger where they are short, else from the staged or published file, which is opened once.
func (d *Dataset) Notes(ctx context.Context, f File, want func(name string) bool) (map[string]string, error) {
	out := map[string]string{}
	for name, text := range f.Notes {
		if want(name) {
			out[name] = text
		}
	}
	if !slices.ContainsFunc(f.Long, want) {
		return out, nil
	}
	err := d.longNotes(ctx, stagedName(f.Fingerprint, f.Path), f, want, out)
	if errors.Is(err, fs.ErrNotExist) {
		err = d.longNotes(ctx, f.Name(), f, want, out)
	}
	return out, err
}

// longNotes adds the long notes of the file at a name.
func (d *Dataset) longNotes(ctx context.Context, name string, f File, want func(name string) bool, out map[string]string) (err error) {
	_, foot, r, err := d.open(ctx, name)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	if foot.fingerprint != string(f.Fingerprint) {
		return &LostError{f.Name()}
	}
	for _, note := range f.Long {
		if !want(note) {
			continue
		}
		if text, ok := foot.notes[note]; ok {
			out[note] = text
		} else if out[note], err = noteAt(r, foot.below[note], f.Bytes); err != nil {
			return damaged(name, fmt.Errorf("note %s: %w", note, err))
		}
	}
	return nil
}

// noteAt reads a note behind the rows of a file of so many bytes.
func noteAt(r store.ReaderAtCloser, p place, size int64) (string, error) {
	if p.At < 0 || p.Bytes < 0 || p.At > size-p.Bytes {
		return "", fmt.Errorf("%d bytes at %d of a file of %d", p.Bytes, p.At, size)
	}
	text := make([]byte, p.Bytes)
	if _, err := r.ReadAt(text, p.At); err != nil {
		return "", err
	}
	return unsafe.String(unsafe.SliceData(text), len(text)), nil // nobody else has it, and a megabyte need not lie there twice
}

// placesText writes where notes stand behind the rows, in the order of their names.
func placesText(places map[string]place) string {
	text, err := json.Marshal(places)
	if err != nil {
		panic("dataset: " + err.Error()) // only types that cannot fail come here
	}
	return string(text)
}

// placesOf reads where notes stand behind the rows: nowhere, where it is damaged.
func placesOf(text string) (places map[string]place) {
	if json.Unmarshal([]byte(text), &places) != nil {
		return nil
	}
	return places
}
