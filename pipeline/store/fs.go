package store

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"io/fs"
)

// FS gives some names, and those below some folders, as a file system in memory, for what
// reads a few small files: a register that lies in a bucket. What is not there is left out.
func FS(ctx context.Context, s Store, names []string, folders ...string) (fs.FS, error) {
	for _, folder := range folders {
		infos, err := s.List(ctx, folder)
		if err != nil {
			return nil, err
		}
		for _, i := range infos {
			names = append(names, i.Name)
		}
	}
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, name := range names {
		if err := pack(ctx, w, s, name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, err
		}
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return zip.NewReader(bytes.NewReader(b.Bytes()), int64(b.Len()))
}

func pack(ctx context.Context, w *zip.Writer, s Store, name string) error {
	text, err := ReadAll(ctx, s, name)
	if err != nil {
		return err
	}
	f, err := w.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Store})
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	return err
}
