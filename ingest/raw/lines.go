package raw

import (
	"bytes"
	"errors"
	"io"
)

// A Reader cuts bytes into physical lines. A line ends at LF, CR LF, or a CR
// that no LF follows; bytes after the last line end are a line too.
type Reader struct {
	src        io.Reader
	buf        []byte
	start, end int
	Limit      int // longest line that is kept whole
	eof        bool
	Number     int64
}

// A Line is one physical line without its end. Its bytes are valid until the
// next line is read.
type Line struct {
	Text  []byte
	Ended bool // a line end follows; false only for the file's last line
	Cut   bool // longer than the limit: text holds its beginning
}

// The room for bytes grows with the file up to a size at which reading costs little,
// and beyond that only for one long line.
const (
	firstSize = 1 << 14
	ReadSize  = 1 << 18
)

// NewReader cuts what src gives. Lines longer than the limit, in bytes, are cut short.
func NewReader(src io.Reader, limit int) *Reader {
	return &Reader{src: src, buf: make([]byte, firstSize), Limit: limit}
}

// Next returns the next line, or io.EOF after the last.
func (r *Reader) Next() (Line, error) {
	for from := 0; ; {
		window := r.buf[r.start:r.end]
		if i, size, ok := lineEnd(window, from, r.eof); ok {
			r.start += i + size
			r.Number++
			return Line{Text: window[:i], Ended: true}, nil
		}
		if r.eof {
			return r.last(window)
		}
		if len(window) > r.Limit {
			return r.overlong()
		}
		from = max(0, len(window)-1)
		if err := r.fill(); err != nil {
			return Line{}, err
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

// Ahead is what was read and not yet cut into lines, for who cuts it himself: see skip.
func (r *Reader) Ahead() []byte { return r.buf[r.start:r.end] }

// Skip leaves out what somebody else cut into so many whole lines.
func (r *Reader) Skip(size int, lines int64) {
	r.start += size
	r.Number += lines
}

func (r *Reader) last(window []byte) (Line, error) {
	if len(window) == 0 {
		return Line{}, io.EOF
	}
	r.start = r.end
	r.Number++
	return Line{Text: window, Cut: len(window) > r.Limit}, nil
}

// overlong skips to the end of a line that is longer than the limit.
func (r *Reader) overlong() (Line, error) {
	head := bytes.Clone(r.buf[r.start : r.start+min(r.Limit, shown)])
	for {
		r.start = max(r.start, r.end-1)
		if err := r.fill(); err != nil {
			return Line{}, err
		}
		i, size, ok := lineEnd(r.buf[r.start:r.end], 0, r.eof)
		if ok {
			r.start += i + size
		}
		if ok || r.eof {
			if !ok {
				r.start = r.end
			}
			r.Number++
			return Line{Text: head, Ended: ok, Cut: true}, nil
		}
	}
}

// fill reads more, behind what is still to be cut.
func (r *Reader) fill() error {
	if r.start > 0 {
		copy(r.buf, r.buf[r.start:r.end])
		r.start, r.end = 0, r.end-r.start
	}
	if r.end == len(r.buf) || len(r.buf) < ReadSize && r.Number > 0 {
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

// An EndCounter counts the physical lines of what is written to it, as a lineReader
// would, by their ends: for bytes whose characters take one byte.
type EndCounter struct {
	ends int64
	last byte
	some bool
}

// Write implements io.Writer; it never fails.
func (c *EndCounter) Write(b []byte) (int, error) {
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

// Lines counts what stands behind the last end too.
func (c *EndCounter) Lines() int64 {
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
