package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"errors"
	"os"
	"strings"
)

// A member is a file of an archive.
type member struct {
	name    string
	content []byte
	program bool // may be run
}

func (m member) mode() int64 {
	if m.program {
		return 0o755
	}
	return 0o644
}

// writeArchive writes members below a folder. No clock goes in: the same content gives
// the same bytes.
func writeArchive(path, folder string, members []member) error {
	var b bytes.Buffer
	write := writeTar
	if strings.HasSuffix(path, ".zip") {
		write = writeZip
	}
	if err := write(&b, folder, members); err != nil {
		return err
	}
	return os.WriteFile(path, b.Bytes(), 0o644)
}

func writeTar(b *bytes.Buffer, folder string, members []member) error {
	packed := gzip.NewWriter(b)
	w := tar.NewWriter(packed)
	for _, m := range members {
		if err := w.WriteHeader(&tar.Header{Name: folder + "/" + m.name, Mode: m.mode(), Size: int64(len(m.content)), Format: tar.FormatUSTAR}); err != nil {
			return err
		}
		if _, err := w.Write(m.content); err != nil {
			return err
		}
	}
	return errors.Join(w.Close(), packed.Close())
}

func writeZip(b *bytes.Buffer, folder string, members []member) error {
	w := zip.NewWriter(b)
	for _, m := range members {
		h := &zip.FileHeader{Name: folder + "/" + m.name, Method: zip.Deflate}
		h.SetMode(os.FileMode(m.mode()))
		f, err := w.CreateHeader(h)
		if err != nil {
			return err
		}
		if _, err := f.Write(m.content); err != nil {
			return err
		}
	}
	return w.Close()
}
