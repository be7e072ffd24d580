package ingest

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"io"
	"path"
	"slices"
	"strings"

	"rimelog/pipeline/store"
)

// unpack gives the bytes inside a gzip file, whatever its name; other files as
// they are. A file that unpacks to more than its size allows is refused.
func unpack(src Source, o Options) (Source, error) {
	var magic [2]byte
	if n, err := src.ReadAt(magic[:], 0); n < len(magic) || string(magic[:]) != "\x1F\x8B" {
		if errors.Is(err, io.EOF) {
			err = nil
		}
		return src, err
	}
	open := func() (io.ReadCloser, error) { return gzip.NewReader(io.NewSectionReader(src, 0, src.Size)) }
	if _, err := open(); err != nil {
		return refusedSource("the gzip file is damaged: " + err.Error()), nil
	}
	return inflate(open, src.Size, o), nil
}

func refusedSource(problem string) Source {
	return Source{ReaderAt: bytes.NewReader(nil), bad: &unreadable{problem, "unpack it and look, or send the file itself"}}
}

// isZip tells archives of several files by their name: by content, spreadsheets
// are zip files too.
func isZip(name string) bool { return strings.EqualFold(path.Ext(name), ".zip") }

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

// openMember unpacks one file of a zip archive.
func openMember(src Source, member string, o Options) Source {
	z, err := zip.NewReader(src, src.Size)
	if err != nil {
		return refusedSource("the zip archive is damaged: " + err.Error())
	}
	for _, m := range z.File {
		if m.Name != member {
			continue
		}
		if m.Flags&1 != 0 {
			return refusedSource("the archive asks for a password")
		}
		return inflate(m.Open, int64(m.CompressedSize64), o)
	}
	return refusedSource("the zip archive holds no file")
}

// name is what a file is called: an archive's member below the archive.
func (f found) name() string {
	if f.member == "" {
		return f.path
	}
	return f.path + "/" + f.member
}
