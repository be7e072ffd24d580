package store

import (
	"bufio"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
)

// tempPrefix marks files that are being written. They are hidden from List, and
// their leading dot hides them from globs.
const tempPrefix = ".writing-"

// A Dir is a store in a folder. What is written goes to a temporary file in the
// same folder, is synced, and then gets its name in one step; the folder is
// synced after that. What is staged goes the same way, but many together: see
// [Dir.Settle]. Symbolic links to files are followed, those to folders below the
// root are not.
type Dir struct {
	root    string
	staging staging
	// clean says that whoever wrote before did so to the end: see Lock.
	clean bool
	// fault is called before each step of a write with the step's name; what it
	// returns is the step's error, one call at a time. It is nil but in this package's tests.
	fault  func(step string) error
	faults sync.Mutex
}

var (
	_ Store     = (*Dir)(nil)
	_ Sweeper   = (*Dir)(nil)
	_ Scratcher = (*Dir)(nil)
	_ Stager    = (*Dir)(nil)
)

// OpenDir opens a folder as a store. The folder must be there.
func OpenDir(root string) (*Dir, error) {
	info, err := os.Stat(root)
	if err != nil {
		return nil, fmt.Errorf("open workspace: %w", err)
	}
	if !info.IsDir() {
		return nil, fmt.Errorf("open workspace: %s is not a folder", root)
	}
	return &Dir{root: root, staging: staging{most: mostWaiting}}, nil
}

// Open reads a name from its beginning.
func (d *Dir) Open(ctx context.Context, name string) (io.ReadCloser, error) {
	return d.open(ctx, name)
}

// ReaderAt reads a name at any place, and gives its size in bytes.
func (d *Dir) ReaderAt(ctx context.Context, name string) (ReaderAtCloser, int64, error) {
	f, err := d.open(ctx, name)
	if err != nil {
		return nil, 0, err
	}
	info, err := f.Stat()
	if err != nil {
		return nil, 0, errors.Join(err, f.Close())
	}
	return f, info.Size(), nil
}

func (d *Dir) open(ctx context.Context, name string) (*os.File, error) {
	p, err := d.path(ctx, "open", name)
	if err != nil {
		return nil, err
	}
	if temp, waits := d.staging.paths.Load(name); waits {
		f, err := os.Open(temp.(string))
		if !errors.Is(err, fs.ErrNotExist) { // else it just got its name
			return f, err
		}
	}
	return os.Open(p)
}

// PutIfAbsent makes a name with the bytes that write writes, or gives ErrExists.
func (d *Dir) PutIfAbsent(ctx context.Context, name string, write func(io.Writer) error) error {
	p, err := d.path(ctx, "put", name)
	if err != nil {
		return err
	}
	if err := d.settled(ctx, name); err != nil {
		return err
	}
	if there(p) {
		return fmt.Errorf("put %s: %w", name, ErrExists)
	}
	if err := d.write(p, write, d.link); err != nil {
		return fmt.Errorf("put %s: %w", name, err)
	}
	return nil
}

// Put makes or replaces a name.
func (d *Dir) Put(ctx context.Context, name string, write func(io.Writer) error) error {
	p, err := d.path(ctx, "put", name)
	if err == nil {
		err = d.settled(ctx, name)
	}
	if err != nil {
		return err
	}
	if err := d.write(p, write, os.Rename); err != nil {
		return fmt.Errorf("put %s: %w", name, err)
	}
	return nil
}

// Move renames, replacing what is at the new name.
func (d *Dir) Move(ctx context.Context, from, to string) error {
	var new folders
	err := d.move(ctx, Renaming{from, to}, &new)
	return errors.Join(err, d.syncAll(new))
}

// MoveAll moves many, and syncs each folder that got a name once, at the end.
func (d *Dir) MoveAll(ctx context.Context, moves []Renaming) (gone []Renaming, err error) {
	var new folders
	for _, m := range moves {
		err := d.move(ctx, m, &new)
		if errors.Is(err, fs.ErrNotExist) {
			gone = append(gone, m)
		} else if err != nil {
			return gone, errors.Join(err, d.syncAll(new))
		}
	}
	return gone, d.syncAll(new)
}

// move renames, and notes the folders that got a name by it. The one that lost a name is not
// among them: with the power the old name may come back, but never without the bytes.
func (d *Dir) move(ctx context.Context, m Renaming, new *folders) error {
	src, err := d.path(ctx, "move", m.From)
	if err != nil {
		return err
	}
	dst, err := d.path(ctx, "move", m.To)
	if err == nil {
		err = d.settled(ctx, m.From, m.To)
	}
	if err != nil {
		return err
	}
	if _, err := os.Lstat(src); err != nil {
		return fmt.Errorf("move to %s: %w", m.To, err) // before a folder is made for nothing
	}
	err = d.mkdirs(filepath.Dir(dst), new)
	if err == nil {
		err = d.step("rename", func() error { return os.Rename(src, dst) })
	}
	if err != nil {
		return fmt.Errorf("move to %s: %w", m.To, err)
	}
	new.add(filepath.Dir(dst))
	return nil
}

// List gives every name below a folder, sorted by name.
func (d *Dir) List(ctx context.Context, folder string) ([]Info, error) {
	p, err := d.path(ctx, "list", folder)
	if err != nil {
		return nil, err
	}
	var infos []Info
	err = walk(ctx, p, folder, func(name, place string) error {
		if temporary(place) {
			return nil
		}
		info, err := os.Stat(place)
		if errors.Is(err, fs.ErrNotExist) {
			return nil // it went while we looked
		}
		if err == nil && info.Mode().IsRegular() {
			infos = append(infos, Info{name, info.Size(), info.ModTime()})
		}
		return err
	})
	slices.SortFunc(infos, func(a, b Info) int { return cmp.Compare(a.Name, b.Name) })
	return infos, err
}

// Folders gives the names of the folders directly below one.
func (d *Dir) Folders(ctx context.Context, folder string) (names []string, err error) {
	p, err := d.path(ctx, "list", folder)
	if err != nil {
		return nil, err
	}
	entries, err := os.ReadDir(p)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	for _, e := range entries {
		if e.IsDir() {
			names = append(names, e.Name())
		}
	}
	return names, nil
}

// Sweep deletes the temporary files of killed writers below a folder. Under a lock before
// which nobody was killed there are none, and it does not go through all that is there.
func (d *Dir) Sweep(ctx context.Context, folder string) error {
	if d.clean {
		return nil
	}
	p, err := d.path(ctx, "sweep", folder)
	if err == nil {
		err = d.Settle(ctx) // what waits here is nobody's trace
	}
	if err != nil {
		return err
	}
	return walk(ctx, p, folder, func(_, place string) error {
		if !temporary(place) {
			return nil
		}
		if err := os.Remove(place); !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		return nil
	})
}

// temporary tells what a writer has not finished.
func temporary(place string) bool { return strings.HasPrefix(filepath.Base(place), tempPrefix) }

// walk calls fn with the name and the place of all that is no folder below a folder, which may
// be missing.
func walk(ctx context.Context, dir, name string, fn func(name, place string) error) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	for _, e := range entries {
		place, name := filepath.Join(dir, e.Name()), name+"/"+e.Name()
		if e.IsDir() {
			err = walk(ctx, place, name, fn)
		} else {
			err = fn(name, place)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// Remove deletes a name.
func (d *Dir) Remove(ctx context.Context, name string) error {
	p, err := d.path(ctx, "remove", name)
	if err == nil {
		err = d.settled(ctx, name)
	}
	if err != nil {
		return err
	}
	if err := d.step("remove", func() error { return os.Remove(p) }); err != nil {
		return err
	}
	return d.syncDir(filepath.Dir(p))
}

// Stat describes a name.
func (d *Dir) Stat(ctx context.Context, name string) (Info, error) {
	p, err := d.path(ctx, "stat", name)
	if err != nil {
		return Info{}, err
	}
	info, err := d.stat(name, p)
	if err != nil {
		return Info{}, err
	}
	return Info{name, info.Size(), info.ModTime()}, nil
}

func (d *Dir) stat(name, path string) (fs.FileInfo, error) {
	if temp, waits := d.staging.paths.Load(name); waits {
		info, err := os.Stat(temp.(string))
		if !errors.Is(err, fs.ErrNotExist) { // else it just got its name
			return info, err
		}
	}
	return os.Stat(path)
}

// Scratch makes a file in the folder run; one that a killed process leaves is swept.
func (d *Dir) Scratch(ctx context.Context) (Scratch, error) {
	folder, err := d.path(ctx, "scratch", "run")
	if err != nil {
		return nil, err
	}
	if err := d.mkdirsSynced(folder); err != nil {
		return nil, err
	}
	return scratchIn(folder)
}

func (d *Dir) path(ctx context.Context, op, name string) (string, error) {
	if err := ctx.Err(); err != nil {
		return "", err
	}
	if err := checkName(op, name); err != nil {
		return "", err
	}
	return d.root + string(filepath.Separator) + filepath.FromSlash(name), nil // a clean name needs no more
}

// write makes a temporary file beside p, syncs it, gives it its name, and syncs
// the folder. Whatever fails, p holds all of it or is as it was.
func (d *Dir) write(p string, write func(io.Writer) error, name func(from, to string) error) error {
	dir := filepath.Dir(p)
	if err := d.mkdirsSynced(dir); err != nil {
		return err
	}
	temp, err := d.writeTemp(dir, write)
	if temp != "" {
		defer os.Remove(temp) // finds nothing after a rename; one that stays is swept later
	}
	if err != nil {
		return err
	}
	if err := d.step("name", func() error { return name(temp, p) }); err != nil {
		return err
	}
	return d.syncDir(dir)
}

// writeTemp returns the temporary file's path also with an error, for removal.
func (d *Dir) writeTemp(dir string, write func(io.Writer) error) (temp string, err error) {
	f, err := d.create(dir, write)
	if f == nil {
		return "", err
	}
	if err == nil {
		err = d.step("sync", f.Sync)
	}
	return f.Name(), errors.Join(err, f.Close())
}

// create writes a temporary file, which it returns also with an error, for removal.
func (d *Dir) create(dir string, write func(io.Writer) error) (f *os.File, err error) {
	err = d.step("create", func() error {
		f, err = os.CreateTemp(dir, tempPrefix+"*")
		return err
	})
	if err != nil {
		return nil, err
	}
	w := bufio.NewWriterSize(f, 1<<16)
	err = d.step("write", func() error {
		if err := write(w); err != nil {
			return err
		}
		return w.Flush()
	})
	return f, errors.Join(err, f.Chmod(0o644))
}

// mkdirsSynced makes a folder and those above it, and makes their names durable.
func (d *Dir) mkdirsSynced(dir string) error {
	var new folders
	err := d.mkdirs(dir, &new)
	return errors.Join(err, d.syncAll(new))
}

// mkdirs makes a folder and those above it, and notes the folders that got a name by it.
func (d *Dir) mkdirs(dir string, new *folders) error {
	if info, err := os.Stat(dir); err == nil && info.IsDir() {
		return nil
	}
	if err := d.mkdirs(filepath.Dir(dir), new); err != nil {
		return err
	}
	err := d.step("mkdir", func() error { return os.Mkdir(dir, 0o755) })
	if err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	new.add(filepath.Dir(dir))
	return nil
}

// folders are folders that got names which are not durable yet, each once, in order.
type folders []string

func (f *folders) add(dir string) {
	if !slices.Contains(*f, dir) {
		*f = append(*f, dir)
	}
}

func (d *Dir) syncAll(f folders) error {
	return sideBySide(len(f), func(i int) error { return d.syncDir(f[i]) })
}

func (d *Dir) syncDir(dir string) error {
	return d.step("sync folder", func() error { return syncFolder(dir) })
}

func (d *Dir) step(name string, do func() error) error {
	if err := d.strike(name); err != nil {
		return err
	}
	return do()
}

func (d *Dir) strike(step string) error {
	if d.fault == nil {
		return nil
	}
	d.faults.Lock()
	defer d.faults.Unlock()
	return d.fault(step)
}

// link names a file unless the name is taken. A hard link does it on every
// common file system; where there are none (FAT, some network shares) the
// system's rename without replacing does.
func (d *Dir) link(from, to string) error {
	err := os.Link(from, to)
	if err != nil && !errors.Is(err, fs.ErrExist) {
		err = renameNoReplace(from, to)
	}
	if errors.Is(err, fs.ErrExist) {
		return ErrExists
	}
	return err
}
