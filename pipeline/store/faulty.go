package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"sync"
)

// ErrKilled is what every call of a killed store returns.
var ErrKilled = errors.New("killed")

// A Moment is when a fault strikes in a call.
type Moment uint8

// The moments.
const (
	Before Moment = iota // the call has no effect
	During               // a write fails after half of its bytes; other calls as Before
	After                // the call has its effect, and the caller does not learn of it
)

// A Fault says what happens to which call.
type Fault struct {
	Call   int // the call it strikes, counted from 1; 0 for none
	Moment Moment
	Kill   bool  // from then on every call returns ErrKilled
	Err    error // what the call returns where it is not killed
}

// A Faulty is a store that fails at one call, as a full disk does, or dies
// there, as a killed process does.
type Faulty struct {
	// Watch, where set, is called around every call: with the operation and the
	// name, before its effect and after.
	Watch func(op, name string)

	store Store
	fault Fault

	mu     sync.Mutex
	calls  int
	killed bool
}

var (
	_ Store     = (*Faulty)(nil)
	_ Sweeper   = (*Faulty)(nil)
	_ Scratcher = (*Faulty)(nil)
	_ Stager    = (*Faulty)(nil)
)

// NewFaulty wraps a store.
func NewFaulty(s Store, f Fault) *Faulty { return &Faulty{store: s, fault: f} }

// Calls is the number of calls so far.
func (f *Faulty) Calls() int {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.calls
}

// strike counts a call and tells whether the fault strikes it.
func (f *Faulty) strike() (bool, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.calls++
	if f.killed {
		return false, ErrKilled
	}
	hit := f.calls == f.fault.Call
	f.killed = hit && f.fault.Kill
	return hit, nil
}

// lose loses what waits in the wrapped store where the call killed its process.
func (f *Faulty) lose() {
	if dir, ok := f.store.(*Dir); ok && f.fault.Kill {
		dir.forget()
	}
}

func (f *Faulty) err(op, name string) error {
	if f.fault.Kill {
		return ErrKilled
	}
	return fmt.Errorf("%s %s: %w", op, name, f.fault.Err)
}

// call does one operation, with the fault where it is due. cut is the operation
// with its write cut short, nil for those that do not write.
func (f *Faulty) call(op, name string, do, cut func() error) error {
	hit, err := f.strike()
	if err != nil {
		return err
	}
	if f.Watch != nil {
		f.Watch(op, name)
		defer f.Watch(op, name)
	}
	if !hit {
		return do()
	}
	defer f.lose()
	switch f.fault.Moment {
	case After:
		if err := do(); err != nil {
			return err
		}
	case During:
		if cut != nil {
			return cut()
		}
	}
	return f.err(op, name)
}

func (f *Faulty) put(op, name string, write func(io.Writer) error, put func(func(io.Writer) error) error) error {
	return f.call(op, name,
		func() error { return put(write) },
		func() error {
			return put(func(w io.Writer) error { return write(&shortWriter{w, f.err(op, name)}) })
		})
}

// shortWriter takes half of the first bytes it is given.
type shortWriter struct {
	w   io.Writer
	err error
}

func (s *shortWriter) Write(p []byte) (int, error) {
	n, err := s.w.Write(p[:len(p)/2])
	return n, errors.Join(s.err, err)
}

// Open reads a name from its beginning.
func (f *Faulty) Open(ctx context.Context, name string) (r io.ReadCloser, err error) {
	err = f.call("open", name, func() error {
		r, err = f.store.Open(ctx, name)
		return err
	}, nil)
	if err != nil && r != nil {
		return nil, errors.Join(err, r.Close())
	}
	return r, err
}

// ReaderAt reads a name at any place.
func (f *Faulty) ReaderAt(ctx context.Context, name string) (r ReaderAtCloser, size int64, err error) {
	err = f.call("open", name, func() error {
		r, size, err = f.store.ReaderAt(ctx, name)
		return err
	}, nil)
	if err != nil && r != nil {
		return nil, 0, errors.Join(err, r.Close())
	}
	return r, size, err
}

// PutIfAbsent makes a name.
func (f *Faulty) PutIfAbsent(ctx context.Context, name string, write func(io.Writer) error) error {
	return f.put("put", name, write, func(write func(io.Writer) error) error {
		return f.store.PutIfAbsent(ctx, name, write)
	})
}

// Stage stages a name where the wrapped store can.
func (f *Faulty) Stage(ctx context.Context, name string, write func(io.Writer) error) error {
	return f.put("put", name, write, func(write func(io.Writer) error) error {
		return Stage(ctx, f.store, name, write)
	})
}

// StageRecord stages a record where the wrapped store can.
func (f *Faulty) StageRecord(ctx context.Context, name string, write func(io.Writer) error) error {
	return f.put("put", name, write, func(write func(io.Writer) error) error {
		return StageRecord(ctx, f.store, name, write)
	})
}

// Settle settles what was staged.
func (f *Faulty) Settle(ctx context.Context) error {
	return f.call("settle", "", func() error { return Settle(ctx, f.store) }, nil)
}

// Put makes or replaces a name.
func (f *Faulty) Put(ctx context.Context, name string, write func(io.Writer) error) error {
	return f.put("replace", name, write, func(write func(io.Writer) error) error {
		return f.store.Put(ctx, name, write)
	})
}

// Move renames.
func (f *Faulty) Move(ctx context.Context, from, to string) error {
	return f.call("move", to, func() error { return f.store.Move(ctx, from, to) }, nil)
}

// MoveAll renames one by one, so that a fault can strike between any two.
func (f *Faulty) MoveAll(ctx context.Context, moves []Renaming) (gone []Renaming, err error) {
	for _, m := range moves {
		err := f.Move(ctx, m.From, m.To)
		if errors.Is(err, fs.ErrNotExist) {
			gone = append(gone, m)
		} else if err != nil {
			return gone, err
		}
	}
	return gone, nil
}

// List gives every name below a folder.
func (f *Faulty) List(ctx context.Context, folder string) (infos []Info, err error) {
	err = f.call("list", folder, func() error {
		infos, err = f.store.List(ctx, folder)
		return err
	}, nil)
	return infos, err
}

// Remove deletes a name.
func (f *Faulty) Remove(ctx context.Context, name string) error {
	return f.call("remove", name, func() error { return f.store.Remove(ctx, name) }, nil)
}

// Stat describes a name.
func (f *Faulty) Stat(ctx context.Context, name string) (info Info, err error) {
	err = f.call("stat", name, func() error {
		info, err = f.store.Stat(ctx, name)
		return err
	}, nil)
	return info, err
}

// Sweep deletes traces of killed writers, where the wrapped store may hold any.
func (f *Faulty) Sweep(ctx context.Context, folder string) error {
	s, ok := f.store.(Sweeper)
	if !ok {
		return nil
	}
	return f.call("sweep", folder, func() error { return s.Sweep(ctx, folder) }, nil)
}

// Scratch lends the wrapped store's room.
func (f *Faulty) Scratch(ctx context.Context) (s Scratch, err error) {
	err = f.call("scratch", "run", func() error {
		s, err = NewScratch(ctx, f.store)
		return err
	}, nil)
	if err != nil && s != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, err
}
