package ingest

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"strings"
	"time"

	"rimelog/pipeline/store"
)

// uploadsFolder is where loggers' files lie in a workspace.
const uploadsFolder = "uploads/"

// hashCache is where the hashes of files are kept by size and time, to save
// reading them again. Nothing depends on it; it may be deleted.
const hashCache = "run/hashes.json"

// A found is a file below uploads/.
type found struct {
	path   string // below uploads/
	member string // of an archive; empty for a file of its own
	upload string // SHA-256 of its bytes, 64 hex digits; a member follows after +
	size   int64
	lines  int64     // by their ends; 0 where nobody counted
	time   time.Time // when it was last changed, as the file system says
}

type cachedHash struct {
	Size     int64     `json:"size"`
	Modified time.Time `json:"modified"`
	SHA256   string    `json:"sha256"`
	Lines    int64     `json:"lines,omitempty"` // by their ends, counted on the way
}

// inventory lists the files below uploads/, by path, with the hash of each. A file
// that changes while it is read is left for the next run.
func inventory(ctx context.Context, st store.Store, rehash bool) (files []found, busy []string, err error) {
	infos, err := st.List(ctx, strings.TrimSuffix(uploadsFolder, "/"))
	if err != nil {
		return nil, nil, fmt.Errorf("list uploads: %w", err)
	}
	old := map[string]cachedHash{}
	if b, err := store.ReadAll(ctx, st, hashCache); err == nil && !rehash {
		_ = json.Unmarshal(b, &old) // a broken cache is no cache
	}
	now := map[string]cachedHash{}
	for _, i := range infos {
		path := strings.TrimPrefix(i.Name, uploadsFolder)
		if hidden(path) {
			continue
		}
		h, ok := old[path]
		if !ok || h.Size != i.Size || !h.Modified.Equal(i.Modified) || i.Modified.IsZero() {
			if h, ok, err = hashFile(ctx, st, i); err != nil {
				return nil, nil, err
			} else if !ok {
				busy = append(busy, path)
				continue
			}
		}
		now[path] = h
		one := found{path: path, upload: h.SHA256, size: h.Size, lines: h.Lines, time: i.Modified}
		if !isZip(path) {
			files = append(files, one)
			continue
		}
		list, err := members(ctx, st, one)
		if err != nil {
			return nil, nil, err
		}
		files = append(files, list...)
	}
	slices.SortFunc(files, func(a, b found) int { return strings.Compare(a.name(), b.name()) })
	return files, busy, saveHashes(ctx, st, old, now)
}

// hidden tells files that systems and editors leave beside the user's.
func hidden(path string) bool {
	name := path[strings.LastIndexByte(path, '/')+1:]
	return strings.HasPrefix(name, ".") || strings.HasPrefix(name, "~$") || name == "Thumbs.db" || name == "desktop.ini"
}

func hashFile(ctx context.Context, st store.Store, i store.Info) (c cachedHash, ok bool, err error) {
	r, err := st.Open(ctx, i.Name)
	if errors.Is(err, fs.ErrNotExist) {
		return c, false, nil
	}
	if err != nil {
		return c, false, err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	h, ends := sha256.New(), &endCounter{}
	n, err := io.CopyBuffer(io.MultiWriter(h, ends), struct{ io.Reader }{r}, make([]byte, readSize))
	if err != nil {
		return c, false, fmt.Errorf("read %s: %w", i.Name, err)
	}
	c = cachedHash{i.Size, i.Modified, hex.EncodeToString(h.Sum(nil)), ends.lines()}
	ok, err = unchanged(ctx, st, found{path: strings.TrimPrefix(i.Name, uploadsFolder), size: n, time: i.Modified})
	return c, ok && n == i.Size, err
}

// unchanged tells whether a file is still as it was found.
func unchanged(ctx context.Context, st store.Store, f found) (bool, error) {
	now, err := st.Stat(ctx, uploadsFolder+f.path)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	return err == nil && now.Size == f.size && now.Modified.Equal(f.time), err
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
	b, err := json.Marshal(now)
	if err != nil {
		return err
	}
	return st.Put(ctx, hashCache, store.Bytes(b))
}
