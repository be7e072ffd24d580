package ingest

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"runtime"
	"slices"
	"strings"
	"time"

	"golang.org/x/sync/errgroup"

	"rimelog/ingest/raw"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/store"
)

// hashCache is where the hashes of files are kept by size and time, to save
// reading them again. Nothing depends on it; it may be deleted.
const hashCache = "run/hashes"

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

// A keptHash is what is kept of a file: packed rows are read in a fraction of the time that
// other encodings take, and every night reads those of all files.
type keptHash struct {
	Path     string `col:"path" doc:"below uploads/"`
	Size     int64  `col:"size" doc:"bytes"`
	Modified int64  `col:"modified" doc:"nanoseconds since 1970"`
	SHA256   string `col:"sha256" doc:"of its bytes"`
	Lines    int64  `col:"lines" doc:"by their ends"`
	Step     string `col:"step" doc:"of look; empty where it did not look yet"`
	Bytes    int64  `col:"bytes" doc:"of what look saw"`
	Gauge    bool   `col:"gauge" doc:"it may hold gauge pressures"`
}

// keptHashes are those of the run before, by path; none where they cannot be read.
func keptHashes(ctx context.Context, st store.Store) map[string]cachedHash {
	b, err := store.ReadAll(ctx, st, hashCache)
	if err != nil {
		return map[string]cachedHash{}
	}
	rows, _, err := frame.Unpack[keptHash](b)
	if err != nil {
		return map[string]cachedHash{} // a broken cache is no cache
	}
	kept := make(map[string]cachedHash, len(rows))
	for _, r := range rows {
		h := cachedHash{Size: r.Size, Modified: time.Unix(0, r.Modified), SHA256: r.SHA256, Lines: r.Lines}
		if r.Step != "" {
			h.Seen = &seen{r.Step, r.Bytes, r.Gauge}
		}
		kept[r.Path] = h
	}
	return kept
}

func keepHashes(ctx context.Context, st store.Store, hashes map[string]cachedHash) error {
	rows := make([]keptHash, 0, len(hashes))
	for path, h := range hashes {
		r := keptHash{Path: path, Size: h.Size, Modified: h.Modified.UnixNano(), SHA256: h.SHA256, Lines: h.Lines}
		if h.Seen != nil {
			r.Step, r.Bytes, r.Gauge = h.Seen.Step, h.Seen.Bytes, h.Seen.Gauge
		}
		rows = append(rows, r)
	}
	slices.SortFunc(rows, func(a, b keptHash) int { return strings.Compare(a.Path, b.Path) })
	return st.Put(ctx, hashCache, store.Bytes(frame.Pack(nil, rows)))
}
