package demofleet

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"rimelog/ingest/demofleet/truth"
)

// MarkerFile is the name of the file in a workspace that says a fleet was made
// there, and which.
const MarkerFile = "demofleet.json"

// A FolderError is a folder the fleet was not written to, because it holds
// something else.
type FolderError struct {
	Dir, Problem, Remedy string
}

func (e *FolderError) Error() string { return e.Dir + ": " + e.Problem + "; " + e.Remedy }

// A marker is the content of the marker file.
type marker struct {
	Fleet   string  `json:"fleet"` // what this folder is
	Version int     `json:"version"`
	Options Options `json:"options"`
	Done    bool    `json:"done"` // everything was written
}

const markerText = "an invented fleet for demonstration"

// Write makes the fleet's workspace in a folder: uploads, register and a marker
// with seed and version. A folder that already has it is left as it is; one that
// a killed call left half-way is finished. Any other folder that is not empty is
// refused with a *FolderError. The truth is returned, never written there; its list
// of files only by the call that writes them.
func Write(ctx context.Context, dir string, o Options) (truth.Fleet, error) {
	return once(dir, o, func(o Options) (truth.Fleet, error) {
		put := func(name string, write func(io.Writer) error) error { return save(dir, name, write) }
		return Generate(ctx, o, put, nil)
	})
}

// once makes a fleet in a folder of its own: not again where it is complete, and
// marked as complete when made.
func once(dir string, o Options, generate func(Options) (truth.Fleet, error)) (truth.Fleet, error) {
	if err := o.Validate(); err != nil {
		return truth.Fleet{}, err
	}
	o = o.withDefaults()
	done, err := claim(dir, o)
	if err != nil {
		return truth.Fleet{}, err
	}
	if done {
		return drawn(o)
	}
	fleet, err := generate(o)
	if err != nil {
		return fleet, err
	}
	return fleet, mark(dir, o, true)
}

// claim takes possession of a folder. It reports whether the fleet is complete.
func claim(dir string, o Options) (done bool, err error) {
	found, err := readMarker(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return false, takeEmpty(dir, o)
	}
	if err != nil {
		return false, err
	}
	switch {
	case found.Version != Version:
		return false, &FolderError{dir,
			fmt.Sprintf("holds a fleet that version %d of the simulator made; this is version %d", found.Version, Version),
			"name a new folder, or delete this one"}
	case !same(found.Options, o):
		return false, &FolderError{dir,
			fmt.Sprintf("holds another fleet (seed %d, %d systems)", found.Options.Seed, found.Options.Systems),
			"name another folder, or the same seed and options"}
	}
	return found.Done, nil
}

// same tells whether two sets of options make the same fleet.
func same(a, b Options) bool {
	x, errX := json.Marshal(a)
	y, errY := json.Marshal(b)
	return errX == nil && errY == nil && bytes.Equal(x, y)
}

// takeEmpty marks a folder that does not exist or is empty.
func takeEmpty(dir string, o Options) error {
	entries, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if len(entries) > 0 {
		return &FolderError{dir, "holds something else (" + entries[0].Name() + ")", "name a new or an empty folder"}
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return err
	}
	return mark(dir, o, false)
}

func readMarker(dir string) (marker, error) {
	var m marker
	b, err := os.ReadFile(filepath.Join(dir, MarkerFile))
	if err != nil {
		return m, err
	}
	if err := json.Unmarshal(b, &m); err != nil || m.Fleet != markerText {
		return m, &FolderError{dir, MarkerFile + " is not a marker of this program", "name a new or an empty folder"}
	}
	return m, nil
}

func mark(dir string, o Options, done bool) error {
	b, err := json.MarshalIndent(marker{markerText, Version, o, done}, "", "  ")
	if err != nil {
		return err
	}
	return save(dir, MarkerFile, func(w io.Writer) error {
		_, err := w.Write(append(b, '\n'))
		return err
	})
}

// partFile is where a file of a folder is written before it has its name. One place serves
// all: file systems find room for a new file fast where they did for the last.
const partFile = ".part"

// save writes a file whole or not at all.
func save(dir, name string, write func(io.Writer) error) error {
	to := filepath.Join(dir, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(to), 0o777); err != nil {
		return err
	}
	part := filepath.Join(dir, partFile)
	f, err := os.Create(part)
	if err != nil {
		return err
	}
	w := bufio.NewWriter(f)
	if err := errors.Join(write(w), w.Flush(), f.Close()); err != nil {
		return err
	}
	return os.Rename(part, to)
}
