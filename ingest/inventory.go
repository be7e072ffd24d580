package ingest

import (
	"archive/zip"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"
	"time"

	"rimelog/ingest/raw"
	"rimelog/pipeline/store"
)

// uploadsFolder is where loggers' files lie in a workspace.
const uploadsFolder = "uploads/"

// A found is a file below uploads/.
type found struct {
	path   string // below uploads/
	member string // of an archive; empty for a file of its own
	upload string // SHA-256 of its bytes, 64 hex digits; a member follows after +
	size   int64
	lines  int64     // by their ends; 0 where nobody counted
	time   time.Time // when it was last changed, as the file system says
}

// inventory lists the files below uploads/, by path, with the hash of each and what is kept of it. A file
// that changes while it is read is left for the next run. Those that are not known yet
// are hashed by hash, some at a time. Where these were many bytes, or archives, of which nothing
// else is kept, hashes are kept at once; else remember keeps them at the end of the round.
func inventory(ctx context.Context, st store.Store, rehash bool, hash hashFunc) (files []found, now map[string]cachedHash, busy []string, err error) {
	old := map[string]cachedHash{}
	if !rehash {
		old = keptHashes(ctx, st)
	}
	now, fresh, err := sortOut(ctx, st, old)
	if err != nil {
		return nil, nil, nil, err
	}
	hashes, err := hashAll(ctx, fresh, hash)
	if err != nil {
		return nil, nil, nil, err
	}
	for i, f := range fresh {
		if hashes[i].SHA256 == "" {
			busy = append(busy, f.path)
		} else {
			now[f.path] = hashes[i]
		}
	}
	if files, err = named(ctx, st, now); err != nil {
		return nil, nil, nil, err
	}
	if sizeOf(fresh) >= worthKeeping || slices.ContainsFunc(fresh, func(f found) bool { return raw.IsZip(f.path) }) {
		err = saveHashes(ctx, st, old, now)
	}
	return files, now, busy, err
}

// sortOut lists what lies below uploads/: what is kept of the files that are as they were, and
// the files that are new or other than they were.
func sortOut(ctx context.Context, st store.Store, old map[string]cachedHash) (kept map[string]cachedHash, fresh []found, err error) {
	infos, err := st.List(ctx, strings.TrimSuffix(uploadsFolder, "/"))
	if err != nil {
		return nil, nil, fmt.Errorf("list uploads: %w", err)
	}
	kept = make(map[string]cachedHash, len(infos))
	for _, i := range infos {
		f := found{path: strings.TrimPrefix(i.Name, uploadsFolder), size: i.Size, time: i.Modified}
		if hidden(f.path) {
			continue
		}
		if h, ok := old[f.path]; ok && h.Size == i.Size && h.Modified.Equal(i.Modified) && !i.Modified.IsZero() {
			kept[f.path] = h
		} else {
			fresh = append(fresh, f)
		}
	}
	return kept, fresh, nil
}

// named are the files with what is known of each, and the members of archives, by name.
func named(ctx context.Context, st store.Store, known map[string]cachedHash) ([]found, error) {
	files := make([]found, 0, len(known))
	for _, path := range slices.Sorted(maps.Keys(known)) {
		h := known[path]
		one := found{path: path, upload: h.SHA256, size: h.Size, lines: h.Lines, time: h.Modified}
		if !raw.IsZip(path) {
			files = append(files, one)
			continue
		}
		list, err := members(ctx, st, one)
		if err != nil {
			return nil, err
		}
		files = append(files, list...)
	}
	slices.SortFunc(files, func(a, b found) int { return strings.Compare(a.name(), b.name()) })
	return files, nil
}

// worthKeeping is from how many bytes on hashes are kept as soon as they are known: fewer are
// hashed again in a tenth of a second, should the run be killed.
const worthKeeping = 64 << 20

func sizeOf(files []found) (n int64) {
	for _, f := range files {
		n += f.size
	}
	return n
}

// hidden tells files that systems and editors leave beside the user's.
func hidden(path string) bool {
	name := path[strings.LastIndexByte(path, '/')+1:]
	return strings.HasPrefix(name, ".") || strings.HasPrefix(name, "~$") || name == "Thumbs.db" || name == "desktop.ini"
}

// unchanged tells whether a file is still as it was found.
func unchanged(ctx context.Context, st store.Store, f found) (bool, error) {
	now, err := st.Stat(ctx, uploadsFolder+f.path)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	return err == nil && now.Size == f.size && now.Modified.Equal(f.time), err
}

// members lists the files in a zip archive as uploads of their own.
func members(ctx context.Context, st store.Store, f found) (list []found, err error) {
	r, size, err := st.ReaderAt(ctx, uploadsFolder+f.path)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	z, err := zip.NewReader(r, size)
	if err != nil {
		return []found{f}, nil //nolint:nilerr // a damaged archive is an upload that cannot be read
	}
	for _, m := range z.File {
		if m.FileInfo().IsDir() || hidden(m.Name) || strings.HasPrefix(m.Name, "__MACOSX/") {
			continue
		}
		one := f
		one.member, one.upload = m.Name, f.upload+"+"+m.Name
		list = append(list, one)
	}
	slices.SortStableFunc(list, func(a, b found) int { return strings.Compare(a.member, b.member) })
	list = slices.CompactFunc(list, func(a, b found) bool { return a.member == b.member })
	if len(list) == 0 {
		return []found{f}, nil
	}
	return list, nil
}

// name is what a file is called: an archive's member below the archive.
func (f found) name() string {
	if f.member == "" {
		return f.path
	}
	return f.path + "/" + f.member
}
