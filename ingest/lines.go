package ingest

import (
	"bytes"
	"errors"
	"io"
)

// A lineReader cuts bytes into physical lines. A line ends at LF, CR LF, or a CR
// that no LF follows; bytes after the last line end are a line too.
type lineReader struct {
	src        io.Reader
	buf        []byte
	start, end int
	limit      int // longest line that is kept whole
	eof        bool
	number     int64
}

// A line is one physical line without its end. Its bytes are valid until the
// next line is read.
type line struct {
	text  []byte
	ended bool // a line end follows; false only for the file's last line
	cut   bool // longer than the limit: text holds its beginning
}

// The room for bytes grows with the file up to a size at which reading costs little,
// and beyond that only for one long line.
const (
	firstSize = 1 << 14
	readSize  = 1 << 18
)

func newLineReader(src io.Reader, limit int) *lineReader {
	return &lineReader{src: src, buf: make([]byte, firstSize), limit: limit}
}

// next returns the next line, or io.EOF after the last.
func (r *lineReader) next() (line, error) {
	for from := 0; ; {
		window := r.buf[r.start:r.end]
		if i, size, ok := lineEnd(window, from, r.eof); ok {
			r.start += i + size
			r.number++
			return line{text: window[:i], ended: true}, nil
		}
		if r.eof {
			return r.last(window)
		}
		if len(window) > r.limit {
			return r.overlong()
		}
		from = max(0, len(window)-1)
		if err := r.fill(); err != nil {
			return line{}, err
		}
	}
}

// lineEnd finds the first line end at or after from: where the line's text ends
// and how long its end is. A CR at the very end waits for what follows.
func lineEnd(b []byte, from int, eof bool) (i, size int, ok bool) {
	lf := bytes.IndexByte(b[from:], '\n')
	text := b[from:]
	if lf >= 0 {
		text = text[:lf]
	}
	if cr := bytes.IndexByte(text, '\r'); cr >= 0 {
		switch at := from + cr; {
		case at+1 < len(b) && b[at+1] == '\n':
			return at, 2, true
		case at+1 < len(b) || eof:
			return at, 1, true
		}
		return 0, 0, false
	}
	if lf < 0 {
		return 0, 0, false
	}
	return from + lf, 1, true
}

func (r *lineReader) last(window []byte) (line, error) {
	if len(window) == 0 {
		return line{}, io.EOF
	}
	r.start = r.end
	r.number++
	return line{text: window, cut: len(window) > r.limit}, nil
}

// overlong skips to the end of a line that is longer than the limit.
func (r *lineReader) overlong() (line, error) {
	head := bytes.Clone(r.buf[r.start : r.start+min(r.limit, shown)])
	for {
		r.start = max(r.start, r.end-1)
		if err := r.fill(); err != nil {
			return line{}, err
		}
		i, size, ok := lineEnd(r.buf[r.start:r.end], 0, r.eof)
		if ok {
			r.start += i + size
		}
		if ok || r.eof {
			if !ok {
				r.start = r.end
			}
			r.number++
			return line{text: head, ended: ok, cut: true}, nil
		}
	}
}

// fill reads more, behind what is still to be cut.
func (r *lineReader) fill() error {
	if r.start > 0 {
		copy(r.buf, r.buf[r.start:r.end])
		r.start, r.end = 0, r.end-r.start
	}
	if r.end == len(r.buf) || len(r.buf) < readSize && r.number > 0 {
		r.buf = append(r.buf, make([]byte, len(r.buf))...)
	}
	n, err := r.src.Read(r.buf[r.end:])
	r.end += n
	if errors.Is(err, io.EOF) {
		r.eof = true
		return nil
	}
	return err
}

// An endCounter counts the physical lines of what is written to it, as a lineReader
// would, by their ends: for bytes whose characters take one byte.
type endCounter struct {
	ends int64
	last byte
	some bool
}

func (c *endCounter) Write(b []byte) (int, error) {
	if len(b) == 0 {
		return 0, nil
	}
	if c.some && c.last == '\r' && b[0] != '\n' {
		c.ends++
	}
	c.ends += int64(bytes.Count(b, []byte{'\n'})) + loneReturns(b)
	c.last, c.some = b[len(b)-1], true
	return len(b), nil
}

// lines counts what stands behind the last end too.
func (c *endCounter) lines() int64 {
	if c.some && c.last != '\n' {
		return c.ends + 1
	}
	return c.ends
}

// loneReturns counts the CR that another byte than LF follows.
func loneReturns(b []byte) (n int64) {
	for {
		i := bytes.IndexByte(b, '\r')
		if i < 0 || i+1 == len(b) {
			return n
		}
		if b[i+1] != '\n' {
			n++
		}
		b = b[i+1:]
	}
}
