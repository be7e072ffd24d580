package store

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync"

	"golang.org/x/sync/errgroup"
)

// A Stager is a store to which many names come cheaper together than one by one.
type Stager interface {
	// Stage makes a name as PutIfAbsent does, but so far for this store's Open, ReaderAt and
	// Stat only. A process that is killed loses it; it never shows half a file.
	Stage(ctx context.Context, name string, write func(io.Writer) error) error
	// StageRecord stages a name that speaks of names staged before it. Whatever happens, it is
	// not there without them.
	StageRecord(ctx context.Context, name string, write func(io.Writer) error) error
	// Settle gives all that was staged its name, for everybody, and is durable when it returns.
	// What somebody else named meanwhile counts as ours where it has the same bytes. After an
	// error some of the names may be there, whole.
	Settle(ctx context.Context) error
}

// Stage stages a name where the store can, and else puts it.
func Stage(ctx context.Context, s Store, name string, write func(io.Writer) error) error {
	if stager, ok := s.(Stager); ok {
		return stager.Stage(ctx, name, write)
	}
	return s.PutIfAbsent(ctx, name, write)
}

// StageRecord stages a record where the store can, and else puts it.
func StageRecord(ctx context.Context, s Store, name string, write func(io.Writer) error) error {
	if stager, ok := s.(Stager); ok {
		return stager.StageRecord(ctx, name, write)
	}
	return s.PutIfAbsent(ctx, name, write)
}

// Settle settles what was staged, where the store stages.
func Settle(ctx context.Context, s Store) error {
	if stager, ok := s.(Stager); ok {
		return stager.Settle(ctx)
	}
	return nil
}

// What may wait for its name at most: what a killed process loses, and open files.
const (
	mostWaiting      = 64
	mostWaitingBytes = 8 << 20
)

// syncsAtATime is how many files or folders are synced side by side, so that a journal takes
// them together.
const syncsAtATime = 8

// A staging is what waits in a Dir for its name.
type staging struct {
	paths sync.Map // by name, the temporary file of what waits
	most  int      // how many may wait

	mu      sync.Mutex // of what follows, and held while names are given
	waiting []*unnamed // in the order of staging
	bytes   int64
	folders folders // that got names which are not durable yet
	failed  error   // why something was lost that was staged, until Settle has told it
}

// An unnamed is a written file without its name.
type unnamed struct {
	name, path string
	file       *os.File // the temporary file, open for its sync
	record     bool
}

// Stage writes a temporary file, which gets its name with others.
func (d *Dir) Stage(ctx context.Context, name string, write func(io.Writer) error) error {
	return d.stage(ctx, name, write, false)
}

// StageRecord stages a name that comes after those staged before it.
func (d *Dir) StageRecord(ctx context.Context, name string, write func(io.Writer) error) error {
	return d.stage(ctx, name, write, true)
}

func (d *Dir) stage(ctx context.Context, name string, write func(io.Writer) error, record bool) error {
	p, err := d.path(ctx, "stage", name)
	if err != nil {
		return err
	}
	if _, waits := d.staging.paths.Load(name); waits || there(p) {
		return fmt.Errorf("stage %s: %w", name, ErrExists)
	}
	var new folders
	if err := d.mkdirs(filepath.Dir(p), &new); err != nil {
		return fmt.Errorf("stage %s: %w", name, err)
	}
	f, err := d.create(filepath.Dir(p), write)
	if err != nil {
		return errors.Join(fmt.Errorf("stage %s: %w", name, err), discard(f))
	}
	if _, waits := d.staging.paths.LoadOrStore(name, f.Name()); waits {
		return errors.Join(fmt.Errorf("stage %s: %w", name, ErrExists), discard(f))
	}
	return d.wait(&unnamed{name, p, f, record}, new)
}

func there(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

// wait adds a file to those that wait, and names them all where they are many.
func (d *Dir) wait(u *unnamed, new folders) error {
	s := &d.staging
	info, err := u.file.Stat()
	s.mu.Lock()
	defer s.mu.Unlock()
	s.waiting = append(s.waiting, u)
	for _, dir := range new {
		s.folders.add(dir)
	}
	if err != nil {
		s.failed = errors.Join(s.failed, err)
		return err
	}
	s.bytes += info.Size()
	if len(s.waiting) < s.most && s.bytes < mostWaitingBytes {
		return nil
	}
	return d.nameAll()
}

// Settle names what waits, and syncs each folder that got a name since it settled last.
func (d *Dir) Settle(ctx context.Context) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	s := &d.staging
	s.mu.Lock()
	defer s.mu.Unlock()
	err := d.nameAll()
	if err == nil {
		err = d.syncAll(s.folders)
	}
	if err != nil {
		s.failed = nil
		return fmt.Errorf("settle: %w", err)
	}
	s.folders = nil
	return nil
}

// nameAll makes the bytes of all that waits durable and gives it its names: first the results,
// then, when those are durable too, the records of them. Once something was lost, nothing gets
// a name that may speak of it.
func (d *Dir) nameAll() error {
	s := &d.staging
	if s.failed == nil {
		s.failed = d.syncWaiting()
	}
	if s.failed == nil {
		s.failed = d.nameThose(false)
	}
	if s.failed == nil && s.records() {
		if s.failed = d.syncAll(s.folders); s.failed == nil {
			s.folders = nil
			s.failed = d.nameThose(true)
		}
	}
	d.drop()
	return s.failed
}

func (s *staging) records() bool {
	for _, u := range s.waiting {
		if u.record {
			return true
		}
	}
	return false
}

// syncWaiting makes bytes durable. All go on their way to the disk before the first is waited
// for, so that one entry of the file system's journal holds them.
func (d *Dir) syncWaiting() error {
	waiting := d.staging.waiting
	for _, u := range waiting {
		startWriting(u.file)
	}
	err := sideBySide(len(waiting), func(i int) error { return d.step("sync", waiting[i].file.Sync) })
	for _, u := range waiting {
		err = errors.Join(err, u.file.Close()) // some systems rename no open file
	}
	return err
}

// nameThose gives the records, or the others, their names.
func (d *Dir) nameThose(records bool) error {
	for _, u := range d.staging.waiting {
		if u.record != records {
			continue
		}
		if err := d.name(u); err != nil {
			return fmt.Errorf("name %s: %w", u.name, err)
		}
		d.staging.folders.add(filepath.Dir(u.path))
		d.staging.paths.Delete(u.name)
	}
	return nil
}

// name gives a file its name. One that was taken meanwhile must hold the same: the jobs of two
// runs make the same.
func (d *Dir) name(u *unnamed) error {
	link := func() error { return d.link(u.file.Name(), u.path) }
	err := d.step("name", link)
	if errors.Is(err, ErrExists) {
		err = sameBytes(u.file.Name(), u.path)
	}
	if errors.Is(err, fs.ErrNotExist) { // who had the name moved it away between the two looks
		err = link()
	}
	return err
}

// sameBytes gives ErrExists where two files differ.
func sameBytes(a, b string) error {
	mine, err := os.ReadFile(a)
	if err != nil {
		return err
	}
	theirs, err := os.ReadFile(b)
	if err == nil && !bytes.Equal(mine, theirs) {
		err = fmt.Errorf("another run made something else of the same: %w", ErrExists)
	}
	return err
}

// drop forgets what waits: it has its name, or is lost.
func (d *Dir) drop() {
	s := &d.staging
	for _, u := range s.waiting {
		s.paths.Delete(u.name)
		_ = discard(u.file) // closed mostly, and gone where a rename named it; what stays is swept later
	}
	s.waiting, s.bytes = nil, 0
}

// forget loses what waits as a killed process does: its temporary files stay.
func (d *Dir) forget() {
	s := &d.staging
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, u := range s.waiting {
		s.paths.Delete(u.name)
		_ = u.file.Close()
	}
	s.waiting, s.bytes, s.folders, s.failed = nil, 0, nil, nil
}

// discard closes and removes a temporary file; nil is none.
func discard(f *os.File) error {
	if f == nil {
		return nil
	}
	return errors.Join(f.Close(), os.Remove(f.Name()))
}

// settled settles first where one of the names waits.
func (d *Dir) settled(ctx context.Context, names ...string) error {
	for _, name := range names {
		if _, waits := d.staging.paths.Load(name); waits {
			return d.Settle(ctx)
		}
	}
	return nil
}

// sideBySide does n things, some at a time, all of them, and gives the first error.
func sideBySide(n int, do func(i int) error) error {
	var all errgroup.Group
	all.SetLimit(syncsAtATime)
	for i := range n {
		all.Go(func() error { return do(i) })
	}
	return all.Wait()
}
