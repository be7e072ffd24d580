// Package store keeps bytes by name.
//
// A name is a slash-separated path below the workspace (uploads/a.csv,
// dataset/staged/...). What the dataset needs of a store is little, so that a
// folder and a bucket can both give it:
//
//  1. PutIfAbsent makes a name whole or not at all, once: of several writers one
//     wins, the others get [ErrExists]. It is durable when it returns.
//  2. Move takes a result from where it was staged to where readers look.
//  3. Put replaces a name in one step.
//
// A [Stager] is also given many names at once, for what only its own process needs until
// they are told others: results that wait for their commit, readings. In a folder, what is
// durable when is this:
//
//	PutIfAbsent, Put  the bytes, then the name, before they return
//	Stage             nothing: a temporary file holds the bytes
//	Settle            the bytes of all that was staged, side by side, so that the file
//	                  system's journal takes them together; then the names of results, then
//	                  those of records that speak of them
//	Move, MoveAll     the new names, each folder once; the old ones may come back
//
// So no name ever stands for half of its bytes, even when the power goes, and no record for
// a result that is lost. A killed process loses at most what it staged last: 64 names or 8
// MiB.
//
// A reader never sees half of what was written. [Dir] keeps everything in a
// folder; [Faulty] wraps a store and fails or dies at a chosen call, for tests
// of what must survive that.
package store

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"
	"strings"
	"time"
)

// ErrExists says that PutIfAbsent found the name taken.
var ErrExists = errors.New("there already")

// Info describes what a name holds.
type Info struct {
	Name     string
	Size     int64     // bytes
	Modified time.Time // as the file system says; never part of a result
}

// A Renaming is a name that something had and the one that it gets.
type Renaming struct{ From, To string }

// ReaderAtCloser reads at any place until it is closed.
type ReaderAtCloser interface {
	io.ReaderAt
	io.Closer
}

// A Store keeps bytes by name. A name that is not there gives an error that
// matches [fs.ErrNotExist]. Every method may be called at the same time as any other.
type Store interface {
	// Open reads a name from its beginning.
	Open(ctx context.Context, name string) (io.ReadCloser, error)
	// ReaderAt reads a name at any place, and gives its size in bytes.
	ReaderAt(ctx context.Context, name string) (ReaderAtCloser, int64, error)
	// PutIfAbsent makes a name with the bytes that write writes, unless the name
	// is there: then it gives ErrExists and may not call write at all.
	PutIfAbsent(ctx context.Context, name string, write func(io.Writer) error) error
	// Put makes or replaces a name.
	Put(ctx context.Context, name string, write func(io.Writer) error) error
	// Move renames, replacing what is at the new name.
	Move(ctx context.Context, from, to string) error
	// MoveAll moves many as Move does one, and is durable when it returns, at a lower
	// price. It gives those that had gone before they were moved; on an error any of the
	// others may be moved.
	MoveAll(ctx context.Context, moves []Renaming) (gone []Renaming, err error)
	// List gives every name below a folder, at any depth, sorted by name. A
	// folder that is not there is empty.
	List(ctx context.Context, folder string) ([]Info, error)
	// Remove deletes a name.
	Remove(ctx context.Context, name string) error
	// Stat describes a name.
	Stat(ctx context.Context, name string) (Info, error)
}

// A Sweeper is a store that may hold traces of killed writers.
type Sweeper interface {
	// Sweep deletes them below a folder. Nobody else may be writing there.
	Sweep(ctx context.Context, folder string) error
}

// A Shelf is a store that tells which folders stand directly below one without looking at
// what is in them.
type Shelf interface {
	// Folders gives their own names. A folder that is not there has none.
	Folders(ctx context.Context, folder string) ([]string, error)
}

// Folders gives the names of the folders directly below one, each once: of a Shelf also
// those in which nothing is left.
func Folders(ctx context.Context, s Store, folder string) (names []string, err error) {
	if shelf, ok := s.(Shelf); ok {
		return shelf.Folders(ctx, folder)
	}
	infos, err := s.List(ctx, folder)
	for _, i := range infos {
		if name, _, below := strings.Cut(strings.TrimPrefix(i.Name, folder+"/"), "/"); below {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return slices.Compact(names), err
}

// ReadAll reads a whole name. It is for small things: ledger entries, facts.
func ReadAll(ctx context.Context, s Store, name string) (b []byte, err error) {
	r, err := s.Open(ctx, name)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	into := bytes.NewBuffer(make([]byte, 0, int(sizeOf(r))+bytes.MinRead))
	if _, err := into.ReadFrom(r); err != nil {
		return nil, fmt.Errorf("read %s: %w", name, err)
	}
	return into.Bytes(), nil
}

// sizeOf is how many bytes a file holds; zero where what is read does not say.
func sizeOf(r io.Reader) int64 {
	if f, ok := r.(interface{ Stat() (fs.FileInfo, error) }); ok {
		if info, err := f.Stat(); err == nil {
			return info.Size()
		}
	}
	return 0
}

// Bytes gives the write function that writes b.
func Bytes(b []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(b)
		return err
	}
}

// checkName refuses what is not a clean path below the root.
func checkName(op, name string) error {
	if !fs.ValidPath(name) || name == "." {
		return &fs.PathError{Op: op, Path: name, Err: fs.ErrInvalid}
	}
	return nil
}

// A Scratcher is a store that lends room for what does not fit into memory.
type Scratcher interface {
	// Scratch makes a place that nobody else sees.
	Scratch(ctx context.Context) (Scratch, error)
}

// A Scratch is written from its beginning and read at any place. Close frees it.
type Scratch interface {
	io.Writer
	ReaderAtCloser
}

// NewScratch makes a scratch in the store where it lends room, else in the
// machine's folder for temporary files.
func NewScratch(ctx context.Context, s Store) (Scratch, error) {
	if lender, ok := s.(Scratcher); ok {
		return lender.Scratch(ctx)
	}
	return scratchIn(os.TempDir())
}

func scratchIn(folder string) (Scratch, error) {
	f, err := os.CreateTemp(folder, tempPrefix+"*")
	if err != nil {
		return nil, err
	}
	return scratchFile{f}, nil
}

// A scratchFile is removed when it is closed.
type scratchFile struct{ *os.File }

func (s scratchFile) Close() error { return errors.Join(s.File.Close(), os.Remove(s.Name())) }
