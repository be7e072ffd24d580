package main

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
)

// Bounds on one row: a quote that is never closed, or a file without line ends,
// must cost its own line alone, and little memory.
const (
	longestRow = 1 << 20 // bytes
	mostLines  = 50      // of a row with line ends between quotes
)

// A rowReader reads a CSV row by row. A row that is no CSV is a *rowFault; the
// next call goes on behind it.
type rowReader struct {
	r     *bufio.Reader
	comma rune
	used  int        // lines handed out
	ahead []textLine // read, not yet handed out
	cells []string
}

// A textLine is a line without its end, or why there is none.
type textLine struct {
	text string
	err  error
}

// A rowFault says why a row is no CSV.
type rowFault struct{ problem string }

func (e *rowFault) Error() string { return e.problem }

// next returns the cells of the next row that is not blank, and the number of
// its first line. The cells are valid until the next call; with a *rowFault they
// are those in front of the fault. The error at the end is io.EOF.
func (r *rowReader) next() (cells []string, line int, err error) {
	for {
		l := r.take()
		switch {
		case l.err != nil:
			return nil, r.used, l.err
		case l.text == "":
			continue
		case strings.IndexByte(l.text, '"') < 0:
			r.cells = split(r.cells[:0], l.text, byte(r.comma))
			return r.cells, r.used, nil
		}
		line := r.used
		cells, err := r.quoted(l.text)
		return cells, line, err
	}
}

// split cuts a line without quotes.
func split(dst []string, text string, comma byte) []string {
	for {
		i := strings.IndexByte(text, comma)
		if i < 0 {
			return append(dst, text)
		}
		dst, text = append(dst, text[:i]), text[i+1:]
	}
}

// quoted reads a row with quotes, which may go on over the next lines. When they
// do not complete it, its first line alone is refused.
func (r *rowReader) quoted(text string) ([]string, error) {
	cells, err := r.parse(text)
	var bad *csv.ParseError
	switch {
	case err == nil:
		return cells, nil
	case errors.Is(err, csv.ErrQuote) && open(text):
		return r.closed(text, cells)
	case errors.As(err, &bad):
		return cells, &rowFault{fmt.Sprintf("%v, at character %d; put a cell with quotes in it between quotes, and write them twice", bad.Err, bad.Column)}
	}
	return cells, err
}

// closed joins lines until all quotes are closed.
func (r *rowReader) closed(text string, first []string) ([]string, error) {
	never := &rowFault{"a quote is not closed"}
	n := 0
	for ; open(text); n++ {
		l := r.peek(n)
		if l.err != nil || n == mostLines || len(text)+len(l.text) > longestRow {
			return first, never
		}
		text += lineEnd + l.text
	}
	cells, err := r.parse(text)
	if err != nil {
		return first, never
	}
	r.ahead, r.used = r.ahead[n:], r.used+n
	return cells, nil
}

// lineEnd makes the standard library's reader, which drops it, keep every other
// carriage return.
const lineEnd = "\r\n"

// parse reads a text that is one row.
func (r *rowReader) parse(text string) ([]string, error) {
	c := csv.NewReader(strings.NewReader(text + lineEnd))
	c.Comma, c.FieldsPerRecord = r.comma, -1
	return c.Read()
}

// open reports whether a row goes on: a complete one has an even number of quotes.
func open(text string) bool { return strings.Count(text, `"`)%2 == 1 }

// take hands out the next line.
func (r *rowReader) take() (l textLine) {
	if len(r.ahead) > 0 {
		l, r.ahead = r.ahead[0], r.ahead[1:]
	} else {
		l = r.read()
	}
	var fault *rowFault
	if l.err == nil || errors.As(l.err, &fault) {
		r.used++
	}
	return l
}

// peek looks n lines ahead.
func (r *rowReader) peek(n int) textLine {
	for len(r.ahead) <= n {
		r.ahead = append(r.ahead, r.read())
	}
	return r.ahead[n]
}

// read takes one line from the file. What is too long is skipped to its end.
func (r *rowReader) read() textLine {
	piece, err := r.r.ReadSlice('\n')
	text := append([]byte(nil), piece...)
	for errors.Is(err, bufio.ErrBufferFull) {
		piece, err = r.r.ReadSlice('\n')
		if len(text) <= longestRow {
			text = append(text, piece...)
		}
	}
	switch {
	case err == io.EOF && len(text) == 0, err != nil && err != io.EOF:
		return textLine{err: err}
	case len(text) > longestRow:
		return textLine{err: &rowFault{fmt.Sprintf("a line of more than %d bytes", longestRow)}}
	}
	text = bytes.TrimSuffix(bytes.TrimSuffix(text, []byte("\n")), []byte("\r"))
	return textLine{text: string(text)}
}
