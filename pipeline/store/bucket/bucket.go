// Package bucket keeps bytes by name in an object store, as package store asks for.
//
//   - PutIfAbsent is a conditional write (If-None-Match: *): of several writers the
//     server lets one win. It looks first, since a server refuses a large object only
//     after all of it was sent.
//   - A write is whole or not at all: an object appears when its upload is completed.
//   - Move copies on the server and then deletes; between the two both names are there,
//     with the same bytes. MoveAll does several at a time.
//   - ReaderAt fetches the object into a file that is gone when it is closed, since
//     Parquet is read in many small pieces.
//
// There is no lock: correctness never rests on one. Objects are named as files are, below
// the bucket or below the prefix that its URL gives. Local folders are package store's: the
// file driver of the library used here is neither atomic nor synced.
package bucket

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"os"
	"slices"
	"strings"
	"time"

	"gocloud.dev/blob"
	"gocloud.dev/blob/azureblob"
	_ "gocloud.dev/blob/gcsblob" // the driver for gs:// URLs
	_ "gocloud.dev/blob/memblob" // the driver for mem:// URLs
	_ "gocloud.dev/blob/s3blob"  // the driver for s3:// URLs
	"gocloud.dev/gcerrors"
	"gocloud.dev/gcp"
	"golang.org/x/sync/errgroup"

	"rimelog/pipeline/store"
)

// A Bucket is a store in a bucket. Close it when done.
type Bucket struct {
	b *blob.Bucket
	// pulled says that the driver takes an object from a reader: where it is written to, that
	// of azblob (v0.47) ends the program when the server refuses it.
	pulled bool
}

var _ store.Store = (*Bucket)(nil)

// Open opens the bucket of a URL, such as
//
//	s3://NAME?region=eu-central-1&prefix=workspace/
//	s3://NAME?endpoint=http://127.0.0.1:7070&use_path_style=true&region=us-east-1
//	gs://NAME?prefix=workspace/
//	azblob://CONTAINER?prefix=workspace/
//	mem://, which is empty, and gone when it is closed
//
// Credentials come from the environment or the machine, as the store's own tools find them.
//
// An *AccessError says that trying again does not help; any other error, that it may.
func Open(ctx context.Context, url string) (*Bucket, error) {
	if err := identified(ctx, url); err != nil {
		return nil, err
	}
	b, err := blob.OpenBucket(ctx, url)
	if err != nil {
		return nil, unopened(err)
	}
	soon, end := context.WithTimeout(ctx, answerWithin)
	defer end()
	ok, err := b.IsAccessible(soon)
	if err == nil && !ok {
		err = &AccessError{"there is no such bucket, or nobody may see it", nil}
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("open bucket: %w", denied(err)), b.Close())
	}
	return &Bucket{b, strings.HasPrefix(url, azureblob.Scheme+"://")}, nil
}

// An AccessError says that a bucket cannot be used as it was asked for: its URL, its
// credentials or their rights must be changed first.
type AccessError struct {
	What string
	Err  error // what the store or its library said; nil where nobody said anything
}

func (e *AccessError) Error() string {
	if e.Err == nil {
		return e.What
	}
	return e.What + ": " + e.Err.Error()
}

// Unwrap returns what the store said.
func (e *AccessError) Unwrap() error { return e.Err }

// answerWithin is how long a store may take to say whether a bucket is there: some drivers
// would ask a server that cannot be reached for ever.
const answerWithin = 30 * time.Second

// identified finds out whether gs:// has credentials: its driver goes on without any, and
// says so where results are printed.
func identified(ctx context.Context, url string) error {
	if !strings.HasPrefix(url, "gs://") || strings.Contains(url, "anonymous=true") || os.Getenv("STORAGE_EMULATOR_HOST") != "" {
		return nil
	}
	if _, err := gcp.DefaultCredentials(ctx); err != nil {
		return &AccessError{"no credentials: set GOOGLE_APPLICATION_CREDENTIALS to a key file, or give the machine a role", err}
	}
	return nil
}

// unopened says what a URL lacks that no bucket could be opened by.
func unopened(err error) error {
	if strings.Contains(err.Error(), "AccountName is required") { // the library has no type for it
		return &AccessError{"no account: set AZURE_STORAGE_ACCOUNT, or storage_account in the URL", err}
	}
	return &AccessError{"this is no bucket that can be opened", err}
}

// denied tells errors that trying again does not help from those of a server that is busy or
// cannot be reached.
func denied(err error) error {
	if strings.Contains(err.Error(), "get credentials") { // the library has no type for it
		return &AccessError{"no credentials: set AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY, name a profile, or give the machine a role", err}
	}
	if strings.Contains(err.Error(), "DefaultAzureCredential") {
		return &AccessError{"no credentials: set AZURE_STORAGE_ACCOUNT with AZURE_STORAGE_KEY or AZURE_STORAGE_SAS_TOKEN, or give the machine an identity", err}
	}
	if code := gcerrors.Code(err); code == gcerrors.PermissionDenied || code == gcerrors.NotFound {
		return &AccessError{"the store refuses these credentials", err}
	}
	var answer interface{ HTTPStatusCode() int }
	if !errors.As(err, &answer) {
		return err
	}
	switch answer.HTTPStatusCode() {
	case http.StatusBadRequest, http.StatusUnauthorized, http.StatusForbidden, http.StatusNotFound:
		return &AccessError{"the store refuses these credentials", err}
	}
	return err
}

// Close frees what the bucket holds.
func (b *Bucket) Close() error { return b.b.Close() }

// Open reads a name from its beginning.
func (b *Bucket) Open(ctx context.Context, name string) (io.ReadCloser, error) {
	if err := check("open", name); err != nil {
		return nil, err
	}
	r, err := b.b.NewReader(ctx, name, nil)
	if err != nil {
		return nil, told("open", name, err)
	}
	return r, nil
}

// ReaderAt reads a name at any place, and gives its size in bytes.
func (b *Bucket) ReaderAt(ctx context.Context, name string) (_ store.ReaderAtCloser, size int64, err error) {
	r, err := b.Open(ctx, name)
	if err != nil {
		return nil, 0, err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	f, err := os.CreateTemp("", "rimelog-object-")
	if err != nil {
		return nil, 0, err
	}
	c := &fetched{f}
	if size, err = io.Copy(f, r); err != nil {
		return nil, 0, errors.Join(fmt.Errorf("fetch %s: %w", name, err), c.Close())
	}
	return c, size, nil
}

// A fetched is an object in a file of its own.
type fetched struct{ *os.File }

// Close removes the file.
func (f *fetched) Close() error { return errors.Join(f.File.Close(), os.Remove(f.Name())) }

// PutIfAbsent makes a name with the bytes that write writes, or gives ErrExists.
func (b *Bucket) PutIfAbsent(ctx context.Context, name string, write func(io.Writer) error) error {
	if err := check("put", name); err != nil {
		return err
	}
	there, err := b.b.Exists(ctx, name)
	if err != nil {
		return told("put", name, err)
	}
	if there {
		return fmt.Errorf("put %s: %w", name, store.ErrExists)
	}
	err = b.write(ctx, name, write, &blob.WriterOptions{IfNotExist: true})
	if gcerrors.Code(err) == gcerrors.FailedPrecondition {
		return fmt.Errorf("put %s: %w", name, store.ErrExists)
	}
	return told("put", name, err)
}

// Put makes or replaces a name.
func (b *Bucket) Put(ctx context.Context, name string, write func(io.Writer) error) error {
	if err := check("put", name); err != nil {
		return err
	}
	return told("put", name, b.write(ctx, name, write, nil))
}

// write uploads. Where the writer fails, the upload is given up, and no object appears.
func (b *Bucket) write(ctx context.Context, name string, write func(io.Writer) error, o *blob.WriterOptions) error {
	if b.pulled {
		return b.pull(ctx, name, write, o)
	}
	ctx, giveUp := context.WithCancel(ctx)
	defer giveUp()
	w, err := b.b.NewWriter(ctx, name, o)
	if err != nil {
		return err
	}
	if err := write(w); err != nil {
		giveUp()
		_ = w.Close() // its error is only that it was given up
		return err
	}
	return w.Close()
}

// pull uploads what write writes meanwhile.
func (b *Bucket) pull(ctx context.Context, name string, write func(io.Writer) error, o *blob.WriterOptions) error {
	if o == nil {
		o = &blob.WriterOptions{}
	}
	o.ContentType = "application/octet-stream"
	from, to := io.Pipe()
	wrote := make(chan error, 1)
	go func() {
		err := write(to)
		to.CloseWithError(err)
		wrote <- err
	}()
	err := b.b.Upload(ctx, name, from, o)
	from.CloseWithError(io.ErrClosedPipe) // where the upload ended first
	if own := <-wrote; own != nil && !errors.Is(own, io.ErrClosedPipe) {
		return own
	}
	return err
}

// Move renames, replacing what is at the new name.
func (b *Bucket) Move(ctx context.Context, from, to string) error {
	if err := errors.Join(check("move", from), check("move", to)); err != nil {
		return err
	}
	if err := b.b.Copy(ctx, to, from, nil); err != nil {
		return told("move", from, err)
	}
	return told("move", from, b.b.Delete(ctx, from))
}

// movesAtOnce is how many objects MoveAll copies at a time: each waits for the server.
const movesAtOnce = 8

// MoveAll moves several objects at a time.
func (b *Bucket) MoveAll(ctx context.Context, moves []store.Renaming) (gone []store.Renaming, err error) {
	missing := make([]bool, len(moves))
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(movesAtOnce)
	for i, m := range moves {
		g.Go(func() error {
			err := b.Move(ctx, m.From, m.To)
			if missing[i] = errors.Is(err, fs.ErrNotExist); missing[i] {
				return nil
			}
			return err
		})
	}
	err = g.Wait()
	for i, m := range moves {
		if missing[i] {
			gone = append(gone, m)
		}
	}
	return gone, err
}

// List gives every name below a folder, at any depth, sorted by name.
func (b *Bucket) List(ctx context.Context, folder string) ([]store.Info, error) {
	if err := check("list", folder); err != nil {
		return nil, err
	}
	var infos []store.Info
	for it := b.b.List(&blob.ListOptions{Prefix: folder + "/"}); ; {
		o, err := it.Next(ctx)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, told("list", folder, err)
		}
		if !strings.HasSuffix(o.Key, "/") { // as consoles mark folders
			infos = append(infos, store.Info{Name: o.Key, Size: o.Size, Modified: o.ModTime})
		}
	}
	slices.SortFunc(infos, func(a, b store.Info) int { return strings.Compare(a.Name, b.Name) })
	return infos, nil
}

// Remove deletes a name.
func (b *Bucket) Remove(ctx context.Context, name string) error {
	if err := check("remove", name); err != nil {
		return err
	}
	return told("remove", name, b.b.Delete(ctx, name))
}

// Stat describes a name.
func (b *Bucket) Stat(ctx context.Context, name string) (store.Info, error) {
	if err := check("stat", name); err != nil {
		return store.Info{}, err
	}
	a, err := b.b.Attributes(ctx, name)
	if err != nil {
		return store.Info{}, told("stat", name, err)
	}
	return store.Info{Name: name, Size: a.Size, Modified: a.ModTime}, nil
}

// told says what was done to which name; a name that is not there matches
// fs.ErrNotExist.
func told(op, name string, err error) error {
	if err == nil {
		return nil
	}
	if gcerrors.Code(err) == gcerrors.NotFound {
		return &fs.PathError{Op: op, Path: name, Err: fs.ErrNotExist}
	}
	return fmt.Errorf("%s %s: %w", op, name, err)
}

// check refuses what is not a clean path.
func check(op, name string) error {
	if !fs.ValidPath(name) || name == "." {
		return &fs.PathError{Op: op, Path: name, Err: fs.ErrInvalid}
	}
	return nil
}
