package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"time"

	"rimelog/analysis/records"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/register"
	"rimelog/pipeline/store"
	"rimelog/pipeline/store/bucket"
)

// where are the flags of every command that works on a workspace.
type where struct {
	folder  string
	workers int // of a command that does jobs
}

func (w *where) flags(fs *flag.FlagSet) {
	fs.StringVar(&w.folder, "workspace", ".", "the `folder` with uploads/ and register/, or the URL of a bucket (s3://NAME?region=...&prefix=..., gs://NAME, azblob://CONTAINER)")
}

// working are those of a command that does jobs.
func (w *where) working(fs *flag.FlagSet) {
	w.flags(fs)
	w.workers = runtime.NumCPU()
	fs.Var((*count)(&w.workers), "workers", "do this `number` of jobs at a time")
}

// A count is a flag's whole number from 1 up.
type count int

func (c *count) String() string { return strconv.Itoa(int(*c)) }

// Set reads what stands behind the flag.
func (c *count) Set(text string) error {
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 {
		return errors.New("want a whole number from 1 up")
	}
	*c = count(n)
	return nil
}

// A workspace is an opened folder: what the user put there, and what was made of it.
type workspace struct {
	folder   string
	store    store.Store
	data     *dataset.Dataset
	register *register.Register
	rules    records.Rules // of law on refrigerants; those in rules/ come before the program's
	options  options
	files    fs.FS // what the user wrote: options, register, rules
}

// open reads the options and the register. The folder must be there.
func (w *where) open(ctx context.Context) (*workspace, error) {
	if folder, ok := strings.CutPrefix(w.folder, "file://"); ok {
		w.folder = filepath.FromSlash(folder)
	}
	if strings.Contains(w.folder, "://") {
		return openBucket(ctx, w.folder)
	}
	if info, err := os.Stat(w.folder); err != nil || !info.IsDir() {
		return nil, usagef("-workspace %s: no such folder; `rimelog demo -workspace %s` makes one to look at", w.folder, w.folder)
	}
	dir, err := store.OpenDir(w.folder)
	if err != nil {
		return nil, err
	}
	return openStore(ctx, w.folder, dir)
}

// openStore opens a workspace over a store, which tests replace.
func openStore(ctx context.Context, folder string, st store.Store) (*workspace, error) {
	return openFiles(ctx, folder, os.DirFS(folder), st)
}

// openBucket opens a workspace in an object store.
func openBucket(ctx context.Context, url string) (*workspace, error) {
	b, err := bucket.Open(ctx, url)
	if err != nil {
		return nil, err
	}
	files, err := store.FS(ctx, b, []string{optionsFile}, "register", "rules")
	if err == nil {
		var ws *workspace
		if ws, err = openFiles(ctx, url, files, b); err == nil {
			return ws, nil
		}
	}
	return nil, errors.Join(err, b.Close())
}

// openFiles opens a workspace whose options, register and rules are in files.
func openFiles(ctx context.Context, folder string, files fs.FS, st store.Store) (*workspace, error) {
	o, err := readOptions(files, filepath.Join(folder, optionsFile))
	if err != nil {
		return nil, err
	}
	registered, err := fs.Sub(files, "register")
	if err != nil {
		return nil, err
	}
	reg, err := register.Load(ctx, registered)
	if err != nil {
		return nil, fmt.Errorf("read the register: %w", err)
	}
	rules, err := readRules(files)
	if err != nil {
		return nil, err
	}
	return &workspace{folder: folder, store: st, data: dataset.New(st), register: reg, rules: rules, options: o, files: files}, nil
}

// readRules reads the rule sets: the program's, and the workspace's in the place of those
// with the same id.
func readRules(files fs.FS) (records.Rules, error) {
	ours, err := records.Embedded()
	if err != nil {
		return ours, err
	}
	rules, err := ours.With(files, "rules")
	if err != nil {
		return rules, usagef("%v", err)
	}
	return rules, nil
}

func registerFS(folder string) fs.FS {
	return os.DirFS(filepath.Join(folder, "register"))
}

// locked does something with the workspace locked, so that no other run works on it.
func (w *where) locked(ctx context.Context, command string, do func(*workspace) error) error {
	ws, err := w.open(ctx)
	if err != nil {
		return err
	}
	dir, ok := ws.store.(*store.Dir)
	if !ok { // a bucket has no lock: correctness rests on none
		return errors.Join(do(ws), ws.close())
	}
	unlock, err := dir.Lock(owner(command))
	if err != nil {
		return err
	}
	return errors.Join(do(ws), unlock())
}

// shared does something with the workspace together with other shards.
func (w *where) shared(ctx context.Context, do func(*workspace) error) error {
	ws, err := w.open(ctx)
	if err != nil {
		return err
	}
	unlock := ws.close
	if dir, ok := ws.store.(*store.Dir); ok {
		if unlock, err = dir.Share(); err != nil {
			return err
		}
	}
	return errors.Join(do(ws), unlock())
}

// close frees what the store holds.
func (ws *workspace) close() error {
	if c, remote := ws.store.(io.Closer); remote {
		return c.Close()
	}
	return nil
}

// owner says who holds the lock, for whoever finds it taken.
func owner(command string) string {
	host, err := os.Hostname()
	if err != nil {
		host = "this machine"
	}
	return fmt.Sprintf("rimelog %s, process %d on %s", command, os.Getpid(), host)
}

// day reads a calendar day; empty is no day.
func day(flagName, text string) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return time.Time{}, usagef("-%s %q: want a day as YYYY-MM-DD, such as 2026-03-31", flagName, text)
	}
	return t, nil
}
