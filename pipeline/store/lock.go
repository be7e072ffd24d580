package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/gofrs/flock"
)

// A BusyError says that another run holds the workspace.
type BusyError struct {
	Owner string    // what the other run said of itself; empty where it said nothing yet
	Since time.Time // when it took the lock, by the file system; zero where unknown
}

func (e *BusyError) Error() string {
	if e.Owner == "" {
		return "another run holds the workspace"
	}
	return fmt.Sprintf("another run holds the workspace: %s, since %s", e.Owner, e.Since.UTC().Format(time.RFC3339))
}

// Lock takes the workspace for one run; owner is one line that says who, for
// the others. The system frees the lock when the process ends, however it ends.
// Where another run holds it, the error is a *BusyError.
//
// The lock saves work; nothing becomes wrong without it.
func (d *Dir) Lock(owner string) (unlock func() error, err error) {
	run := filepath.Join(d.root, "run")
	if err := os.MkdirAll(run, 0o755); err != nil {
		return nil, fmt.Errorf("lock: %w", err)
	}
	lock, note := flock.New(filepath.Join(run, "lock")), filepath.Join(run, "lock.owner")
	got, err := lock.TryLock()
	if err != nil {
		return nil, fmt.Errorf("lock: %w", err)
	}
	if !got {
		return nil, busy(note)
	}
	d.clean, err = untouched(run, note)
	err = errors.Join(err, os.WriteFile(note, []byte(owner+"\n"), 0o644), syncFolder(run))
	if err != nil {
		return nil, errors.Join(fmt.Errorf("lock: %w", err), lock.Unlock())
	}
	return func() error { return errors.Join(os.Remove(note), lock.Unlock()) }, nil
}

// untouched tells whether nobody who worked on the workspace before was killed: a killed run
// leaves its owner's note, and one of several that shared it a file that it was writing.
func untouched(run, note string) (bool, error) {
	if _, err := os.Lstat(note); !errors.Is(err, fs.ErrNotExist) {
		return false, err
	}
	entries, err := os.ReadDir(run)
	return !slices.ContainsFunc(entries, func(e fs.DirEntry) bool { return temporary(e.Name()) }), err
}

// Share takes the workspace together with others who share it, such as the shards of one
// run; a *BusyError says that one run holds it alone.
func (d *Dir) Share() (unlock func() error, err error) {
	run := filepath.Join(d.root, "run")
	if err := os.MkdirAll(run, 0o755); err != nil {
		return nil, fmt.Errorf("lock: %w", err)
	}
	lock := flock.New(filepath.Join(run, "lock"))
	got, err := lock.TryRLock()
	if err != nil {
		return nil, fmt.Errorf("lock: %w", err)
	}
	if !got {
		return nil, busy(filepath.Join(run, "lock.owner"))
	}
	at, err := os.CreateTemp(run, tempPrefix+"shared-*") // what a killed one leaves, so that the next run sweeps
	if err != nil {
		return nil, errors.Join(fmt.Errorf("lock: %w", err), lock.Unlock())
	}
	return func() error { return errors.Join(at.Close(), os.Remove(at.Name()), lock.Unlock()) }, nil
}

func busy(note string) error {
	e := &BusyError{}
	if b, err := os.ReadFile(note); err == nil {
		e.Owner = strings.TrimSpace(string(b))
	}
	if info, err := os.Stat(note); err == nil && e.Owner != "" {
		e.Since = info.ModTime()
	}
	return e
}
