package ingest

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"rimelog/ingest/scan"
)

// How much of a file is looked at before it is read.
const (
	headBytes = 64 << 10
	partBytes = 16 << 10 // of the middle and the tail, each
	shown     = 200      // bytes of a line or cell that are shown to people
)

// A sample is a file's head, middle and tail.
type sample struct {
	charset charset
	lines   []sampleLine
	head    int  // how many of the lines are the head's
	whole   bool // the head is all of the file
	lineEnd string
	proven  byte     // the decimal mark that another table of the file proves
	remark  byte     // a mark that lines of comment begin with in this file alone
	above   []string // the first lines of the file that this is a table of
}

// An unreadable says why a file is no table, and what would help.
type unreadable struct{ problem, remedy string }

func (u *unreadable) Error() string { return u.problem + "; " + u.remedy }

// kinds of file that are often named .csv, by their first bytes.
var foreign = []struct{ magic, what, remedy string }{
	{"PK\x03\x04", "a spreadsheet or zip archive", "export it as CSV, or unpack it"},
	{"\xD0\xCF\x11\xE0", "a spreadsheet in an old binary format", "export it as CSV"},
	{"\x1F\x8B", "a gzip archive", "name it .gz, or unpack it"},
	{"%PDF", "a PDF", "export the data as CSV"},
	{"SQLite format 3", "a database", "export its table as CSV"},
	{"<html", "a web page", "export the data as CSV"},
	{"<!doctype html", "a web page", "export the data as CSV"},
	{"<table", "a web page", "export the data as CSV"},
	{"<head", "a web page", "export the data as CSV"},
	{"<body", "a web page", "export the data as CSV"},
	{"<meta", "a web page", "export the data as CSV"},
	{"<style", "a web page", "export the data as CSV"},
	{"<div", "a web page", "export the data as CSV"},
	{"<!--", "a web page", "export the data as CSV"},
	{"mime-version:", "a web archive", "export the data as CSV"},
	{"<?xml", "an XML file", "export the data as CSV"},
	{"{", "a JSON file", "export the data as CSV"},
}

// takeSample reads a bounded part of a file.
func takeSample(src Source, o Options) (sample, error) {
	if src.bad != nil {
		return sample{}, src.bad
	}
	size := src.Size
	head, err := readPart(src, 0, min(size, headBytes))
	if err != nil {
		return sample{}, err
	}
	if err := recognise(head); err != nil {
		return sample{}, err
	}
	s := sample{charset: detectCharset(head), whole: size <= headBytes}
	if src.within != nil {
		s.charset, s.above, s.proven = src.within.charset, src.within.above, src.within.decimal
	}
	s.lineEnd = lineEnds(head)
	if !s.whole && src.within == nil && s.charset.decoder == nil && s.charset.bom == 0 {
		s.charset = s.better(src, size)
	}
	if err := s.add(head, s.charset.bom, true, s.whole, o); err != nil {
		return sample{}, err
	}
	s.markComments()
	s.joinQuoted()
	s.head = len(s.lines)
	if s.whole {
		return s, nil
	}
	for _, at := range []int64{(size/2 - partBytes/2) &^ 3, (size - partBytes) &^ 3} {
		if at < headBytes {
			continue
		}
		part, err := readPart(src, at, min(size-at, partBytes))
		if err != nil {
			return sample{}, err
		}
		if err := s.add(part, 0, false, at+partBytes >= size, o); err != nil {
			return sample{}, err
		}
	}
	return s, nil
}

// markComments finds files whose first lines are comments behind ; or %: marks that
// begin no line of data, and, of a semicolon, that part no cells.
func (s *sample) markComments() {
	for _, mark := range []byte{';', '%'} {
		n := 0
		for n < len(s.lines) && bytes.IndexByte(scan.TrimLeft(s.lines[n].text), mark) == 0 {
			n++
		}
		if n == 0 || n == len(s.lines) || slices.ContainsFunc(s.lines[n:], func(l sampleLine) bool { return bytes.IndexByte(l.text, mark) >= 0 }) {
			continue
		}
		for i := range s.lines[:n] {
			s.lines[i].comment = true
		}
		s.remark = mark
	}
}

// better looks for a code page's bytes in the tail where the head is plain ASCII.
func (s *sample) better(src io.ReaderAt, size int64) charset {
	tail, err := readPart(src, size-partBytes, partBytes)
	if err != nil || len(tail) < 4 {
		return s.charset
	}
	tail = withoutFill(tail)
	for i := range min(4, len(tail)) { // a character may be cut at the start
		if validUTF8(tail[i:]) {
			return s.charset
		}
	}
	return codePage(tail)
}

func readPart(src io.ReaderAt, at, n int64) ([]byte, error) {
	b := make([]byte, n)
	k, err := src.ReadAt(b, at)
	if errors.Is(err, io.EOF) {
		err = nil
	}
	return b[:k], err
}

// recognise refuses what is no text.
func recognise(head []byte) error {
	if len(bytes.TrimSpace(head)) == 0 {
		return &unreadable{"the file is empty", "export it again"}
	}
	if scan.IsFill(head) {
		return &unreadable{"the file holds nothing but fill bytes", "read the logger out again"}
	}
	start := strings.ToLower(string(bytes.TrimLeft(head[:min(len(head), 100)], " \r\n\t\xEF\xBB\xBF")))
	for _, f := range foreign {
		if bytes.HasPrefix(head, []byte(f.magic)) || strings.HasPrefix(start, f.magic) {
			return &unreadable{"the file is " + f.what + ", not a table of text", f.remedy}
		}
	}
	return nil
}

// lineEnds names the line ends of the head, for people.
func lineEnds(head []byte) string {
	crlf := bytes.Count(head, []byte("\r\n"))
	lf, cr := bytes.Count(head, []byte("\n"))-crlf, bytes.Count(head, []byte("\r"))-crlf
	var kinds []string
	for _, k := range []struct {
		name string
		n    int
	}{{"CR LF", crlf}, {"LF", lf}, {"CR", cr}} {
		if k.n > 0 {
			kinds = append(kinds, k.name)
		}
	}
	return strings.Join(kinds, " and ")
}

// add cuts a part into lines. Lines that the part's borders cut are left out.
func (s *sample) add(part []byte, skip int, first, last bool, o Options) error {
	c := s.charset
	c.bom = skip
	src, err := c.open(bytes.NewReader(part))
	if err != nil {
		return err
	}
	r := newLineReader(src, o.lineLimit())
	for {
		l, err := r.next()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return fmt.Errorf("line %d: %w", r.number, err)
		}
		if !first && r.number == 1 || !last && !l.ended || l.cut {
			continue
		}
		n := r.number
		if !first {
			n = 0
		}
		text := latinMarks([]byte(s.charset.text(l.text)))
		s.lines = append(s.lines, sampleLine{number: n, text: text, comment: isComment(text)})
	}
}
