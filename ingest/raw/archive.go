package raw

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"path"
	"strings"

	"rimelog/ingest/limits"
)

// Unpack gives the bytes inside a gzip file, whatever its name; other files as
// they are. A file that unpacks to more than its size allows is refused, and so is a
// zip archive or spreadsheet of which a part is missing.
func Unpack(src Source, o limits.Options) (Source, error) {
	magic := make([]byte, 4)
	n, err := src.ReadAt(magic, 0)
	if err != nil && !errors.Is(err, io.EOF) {
		return src, err
	}
	switch magic = magic[:n]; {
	case bytes.HasPrefix(magic, []byte("\x1F\x8B")):
		return gunzip(src, o), nil
	case string(magic) == "PK\x03\x04":
		if _, err := zip.NewReader(src, src.Size); err != nil {
			return refusedSource("the zip archive or spreadsheet is damaged: " + err.Error()), nil
		}
	}
	return src, nil
}

func gunzip(src Source, o limits.Options) Source {
	open := func() (io.ReadCloser, error) { return gzip.NewReader(io.NewSectionReader(src, 0, src.Size)) }
	if _, err := open(); err != nil {
		return refusedSource("the gzip file is damaged: " + err.Error())
	}
	return inflate(open, src.Size, o)
}

func refusedSource(problem string) Source {
	return Source{ReaderAt: bytes.NewReader(nil), Bad: &Unreadable{problem, "copy it again, or unpack it and send the files themselves"}}
}

// IsZip tells archives of several files by their name: by content, spreadsheets
// are zip files too.
func IsZip(name string) bool { return strings.EqualFold(path.Ext(name), ".zip") }

// OpenMember unpacks one file of a zip archive.
func OpenMember(src Source, member string, o limits.Options) Source {
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

// mostInflated is how many unpacked bytes are kept in memory. A longer file is
// unpacked anew whenever it is read from an earlier place: memory stays bounded, and
// nothing is written anywhere.
const mostInflated = 8 << 20

// inflate gives unpacked bytes, up to the limits. It unpacks once to learn how many
// there are, and that none is damaged.
func inflate(open func() (io.ReadCloser, error), packed int64, o limits.Options) Source {
	limit := min(max(packed, 1<<10)*int64(o.Ratio()), o.Unpacked())
	r, err := open()
	if err != nil {
		return refusedSource("the archive is damaged: " + err.Error())
	}
	head, err := io.ReadAll(io.LimitReader(r, min(limit, mostInflated)+1))
	size := int64(len(head))
	if err == nil && size > mostInflated {
		var n int64
		n, err = io.Copy(io.Discard, io.LimitReader(r, limit+1-size))
		size += n
	}
	err = errors.Join(err, r.Close())
	switch {
	case size > limit:
		return refusedSource(fmt.Sprintf("it unpacks to more than %d bytes, %d times its size or the limit", limit, o.Ratio()))
	case err != nil && size == 0:
		return refusedSource("the archive is damaged: " + err.Error())
	case err != nil:
		return refusedSource(fmt.Sprintf("the archive is damaged behind %d bytes: %v", size, err))
	case size > mostInflated:
		return Source{ReaderAt: &inflater{open: open}, Size: size}
	}
	return Source{ReaderAt: bytes.NewReader(head), Size: size}
}

// An inflater reads an archive's member at any place by unpacking it up to there. It
// serves one reader at a time.
type inflater struct {
	open func() (io.ReadCloser, error)
	r    io.ReadCloser
	at   int64 // of the next byte that r gives
}

// ReadAt implements io.ReaderAt.
func (f *inflater) ReadAt(b []byte, off int64) (n int, err error) {
	if f.r == nil || off < f.at {
		if err := f.restart(); err != nil {
			return 0, err
		}
	}
	skipped, err := io.CopyN(io.Discard, f.r, off-f.at)
	f.at += skipped
	if err != nil {
		return 0, err
	}
	n, err = io.ReadFull(f.r, b)
	f.at += int64(n)
	if errors.Is(err, io.ErrUnexpectedEOF) {
		err = io.EOF
	}
	return n, err
}

func (f *inflater) restart() (err error) {
	if f.r != nil {
		if err := f.r.Close(); err != nil {
			return err
		}
	}
	f.r, err = f.open()
	f.at = 0
	return err
}
