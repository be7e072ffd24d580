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

// How many names are given together, and how many bytes have them. As many more may be staged
// meanwhile: that is what a killed process loses at most, and has of open files.
const (
	mostWaiting      = 64
	mostWaitingBytes = 8 << 20
)

// syncsAtATime is how many files or folders are synced side by side, so that a journal takes
// them together.
const syncsAtATime = 8

// A staging is what waits in a Dir for its name. While some of it is given names, more is staged.
type staging struct {
	paths sync.Map // by name, the temporary file of what waits
	most  int      // how many may wait

	mu    sync.Mutex // of what follows
	next  batch      // what is staged now
	named chan batch // the one before it, when it has its names; nil where none is under way
}

// A batch is what is given names together.
type batch struct {
	files   []*unnamed // in the order of staging
	bytes   int64
	folders folders // that got names which are not durable yet, here or before
	failed  error   // why something was lost that was staged, here or before, until Settle has told it
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

// wait adds a file to those that wait. Where they are many they get their names while others
// are staged.
func (d *Dir) wait(u *unnamed, new folders) error {
	info, err := u.file.Stat()
	s := &d.staging
	s.mu.Lock()
	defer s.mu.Unlock()
	s.next.add(u, new)
	if err != nil {
		s.next.failed = errors.Join(s.next.failed, err)
		return err
	}
	s.next.bytes += info.Size()
	if len(s.next.files) >= s.most || s.next.bytes >= mostWaitingBytes {
		return d.nameBeside()
	}
	return s.next.failed
}

func (b *batch) add(u *unnamed, new folders) {
	b.files = append(b.files, u)
	for _, dir := range new {
		b.folders.add(dir)
	}
}

// nameBeside begins to name what waits, when all before it has its names, and tells whether
// something was lost of that.
func (d *Dir) nameBeside() error {
	s := &d.staging
	s.await()
	b, named := s.next, make(chan batch, 1)
	s.next, s.named = batch{}, named
	lost := b.failed
	go func() {
		d.nameAll(&b)
		named <- b
	}()
	return lost
}

// await waits for what is being named, and takes over what is left to do of it.
func (s *staging) await() {
	if s.named == nil {
		return
	}
	before := <-s.named
	s.named = nil
	for _, dir := range s.next.folders {
		before.folders.add(dir)
	}
	s.next.folders, s.next.failed = before.folders, errors.Join(before.failed, s.next.failed)
}

// Settle names what waits, and syncs each folder that got a name and is not synced yet.
func (d *Dir) Settle(ctx context.Context) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	s := &d.staging
	s.mu.Lock()
	defer s.mu.Unlock()
	s.await()
	d.nameAll(&s.next)
	err := s.next.failed
	if err == nil {
		err = d.syncAll(s.next.folders)
	}
	if err != nil {
		s.next.failed = nil
		return fmt.Errorf("settle: %w", err)
	}
	s.next.folders = nil
	return nil
}

// nameAll makes the bytes of a batch durable and gives it its names: first the results, then,
// when those are durable too, the records of them. Once something was lost, nothing gets a
// name that may speak of it.
func (d *Dir) nameAll(b *batch) {
	if b.failed == nil {
		b.failed = d.syncFiles(b.files)
	}
	if b.failed == nil {
		b.failed = d.nameThose(b, false)
	}
	if b.failed == nil {
		if b.failed = d.syncAll(b.folders); b.failed == nil {
			b.folders = nil
			b.failed = d.nameThose(b, true)
		}
	}
	d.drop(b)
}

// syncFiles makes bytes durable. All go on their way to the disk before the first is waited
// for, so that one entry of the file system's journal holds them.
func (d *Dir) syncFiles(files []*unnamed) error {
	for _, u := range files {
		startWriting(u.file)
	}
	err := sideBySide(len(files), func(i int) error { return d.step("sync", files[i].file.Sync) })
	for _, u := range files {
		err = errors.Join(err, u.file.Close()) // some systems rename no open file
	}
	return err
}

// nameThose gives the records of a batch, or the others, their names.
func (d *Dir) nameThose(b *batch, records bool) error {
	for _, u := range b.files {
		if u.record != records {
			continue
		}
		if err := d.name(u); err != nil {
			return fmt.Errorf("name %s: %w", u.name, err)
		}
		b.folders.add(filepath.Dir(u.path))
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

// drop forgets what waited: it has its name, or is lost.
func (d *Dir) drop(b *batch) {
	for _, u := range b.files {
		d.staging.paths.Delete(u.name)
		_ = discard(u.file) // closed mostly, and gone where a rename named it; what stays is swept later
	}
	b.files, b.bytes = nil, 0
}

// forget loses what waits as a killed process does: its temporary files stay.
func (d *Dir) forget() {
	s := &d.staging
	s.mu.Lock()
	defer s.mu.Unlock()
	s.await()
	for _, u := range s.next.files {
		s.paths.Delete(u.name)
		_ = u.file.Close()
	}
	s.next = batch{}
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
