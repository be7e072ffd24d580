package ingest

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/gob"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"runtime"
	"time"

	"golang.org/x/sync/errgroup"

	"rimelog/ingest/raw"
	"rimelog/pipeline/store"
)

// hashCache is where the hashes of files are kept by size and time, to save
// reading them again. Nothing depends on it; it may be deleted.
const hashCache = "run/hashes.gob"

type cachedHash struct {
	Size     int64
	Modified time.Time
	SHA256   string
	Lines    int64 // by their ends, counted on the way
	Seen     *seen // what look found
}

// A hashFunc hashes a file, one of so many. The hash is empty where the file changed
// meanwhile.
type hashFunc func(ctx context.Context, f found, of int) (cachedHash, error)

// hashAll hashes files, as many at a time as there are processors. After an error no
// other is begun.
func hashAll(ctx context.Context, files []found, hash hashFunc) ([]cachedHash, error) {
	hashes := make([]cachedHash, len(files))
	all, failed := errgroup.WithContext(ctx)
	all.SetLimit(runtime.GOMAXPROCS(0))
	for i, f := range files {
		all.Go(func() (err error) {
			if err = failed.Err(); err == nil {
				hashes[i], err = hash(ctx, f, len(files)) // not under the group's context: what is read ahead outlives it
			}
			return err
		})
	}
	return hashes, all.Wait()
}

// hashFile hashes a file, and writes its bytes to what else wants to see them.
func hashFile(ctx context.Context, st store.Store, f found, also ...io.Writer) (c cachedHash, err error) {
	r, err := st.Open(ctx, uploadsFolder+f.path)
	if errors.Is(err, fs.ErrNotExist) {
		return c, nil
	}
	if err != nil {
		return c, err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	h := sha256.New()
	n, err := io.CopyBuffer(io.MultiWriter(append(also, h)...), struct{ io.Reader }{r}, make([]byte, min(raw.ReadSize, max(f.size, 1))))
	if err != nil {
		return c, fmt.Errorf("read %s: %w", f.path, err)
	}
	if same, err := unchanged(ctx, st, f); err != nil || !same || n != f.size {
		return c, err
	}
	return cachedHash{Size: n, Modified: f.time, SHA256: hex.EncodeToString(h.Sum(nil))}, nil
}

// hash hashes a file and counts its lines on the way.
func (s *Stage) hash(ctx context.Context, f found, _ int) (cachedHash, error) {
	var ends raw.EndCounter
	c, err := hashFile(ctx, s.store, f, &ends)
	c.Lines = ends.Lines()
	return c, err
}

func saveHashes(ctx context.Context, st store.Store, old, now map[string]cachedHash) error {
	same := len(old) == len(now)
	for path, h := range now {
		o, ok := old[path]
		same = same && ok && o.Size == h.Size && o.SHA256 == h.SHA256 && o.Modified.Equal(h.Modified)
	}
	if same {
		return nil
	}
	return keepHashes(ctx, st, now)
}

// keptHashes are those of the run before, by path; none where they cannot be read.
func keptHashes(ctx context.Context, st store.Store) map[string]cachedHash {
	kept := map[string]cachedHash{}
	b, err := store.ReadAll(ctx, st, hashCache)
	if err != nil || gob.NewDecoder(bytes.NewReader(b)).Decode(&kept) != nil {
		return map[string]cachedHash{} // a broken cache is no cache
	}
	return kept
}

func keepHashes(ctx context.Context, st store.Store, hashes map[string]cachedHash) error {
	return st.Put(ctx, hashCache, func(w io.Writer) error { return gob.NewEncoder(w).Encode(hashes) })
}
