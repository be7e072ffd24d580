package dialect

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"rimelog/ingest/limits"
	"rimelog/ingest/raw"
	"rimelog/ingest/scan"
)

// How much of a file is looked at before it is read.
const (
	headBytes = 64 << 10
	partBytes = 16 << 10 // of the middle and the tail, each
)

// A Sample is a file's head, middle and tail.
type Sample struct {
	Charset raw.Charset
	Lines   []Line
	Head    int  // how many of the lines are the head's
	whole   bool // the head is all of the file
	LineEnd string
	Proven  byte     // the decimal mark that another table of the file proves
	Remark  byte     // a mark that lines of comment begin with in this file alone
	Above   []string // the first lines of the file that this is a table of
}

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

// Take reads a bounded part of a file.
func Take(src raw.Source, o limits.Options) (Sample, error) {
	if src.Bad != nil {
		return Sample{}, src.Bad
	}
	size := src.Size
	head, err := readPart(src, 0, min(size, headBytes))
	if err != nil {
		return Sample{}, err
	}
	if err := recognise(head); err != nil {
		return Sample{}, err
	}
	s := Sample{Charset: raw.DetectCharset(head), whole: size <= headBytes}
	if src.Within != nil {
		s.Charset, s.Above, s.Proven = src.Within.Charset, src.Within.Above, src.Within.Decimal
	}
	s.LineEnd = lineEnds(head)
	if !s.whole && src.Within == nil && s.Charset.Decoder == nil && s.Charset.Bom == 0 {
		s.Charset = s.better(src, size)
	}
	if err := s.add(head, s.Charset.Bom, true, s.whole, o); err != nil {
		return Sample{}, err
	}
	s.markComments()
	s.joinQuoted()
	s.Head = len(s.Lines)
	if s.whole {
		return s, nil
	}
	for _, at := range []int64{(size/2 - partBytes/2) &^ 3, (size - partBytes) &^ 3} {
		if at < headBytes {
			continue
		}
		part, err := readPart(src, at, min(size-at, partBytes))
		if err != nil {
			return Sample{}, err
		}
		if err := s.add(part, 0, false, at+partBytes >= size, o); err != nil {
			return Sample{}, err
		}
	}
	return s, nil
}

// markComments finds files whose first lines are comments behind ; or %: marks that
// begin no line of data, and, of a semicolon, that part no cells.
func (s *Sample) markComments() {
	for _, mark := range []byte{';', '%'} {
		n := 0
		for n < len(s.Lines) && bytes.IndexByte(scan.TrimLeft(s.Lines[n].Text), mark) == 0 {
			n++
		}
		if n == 0 || n == len(s.Lines) || slices.ContainsFunc(s.Lines[n:], func(l Line) bool { return bytes.IndexByte(l.Text, mark) >= 0 }) {
			continue
		}
		for i := range s.Lines[:n] {
			s.Lines[i].Comment = true
		}
		s.Remark = mark
	}
}

// better looks for a code page's bytes in the tail where the head is plain ASCII.
func (s *Sample) better(src io.ReaderAt, size int64) raw.Charset {
	tail, err := readPart(src, size-partBytes, partBytes)
	if err != nil || len(tail) < 4 {
		return s.Charset
	}
	tail = raw.WithoutFill(tail)
	for i := range min(4, len(tail)) { // a character may be cut at the start
		if raw.ValidUTF8(tail[i:]) {
			return s.Charset
		}
	}
	return raw.CodePage(tail)
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
		return &raw.Unreadable{Problem: "the file is empty", Remedy: "export it again"}
	}
	if scan.IsFill(head) {
		return &raw.Unreadable{Problem: "the file holds nothing but fill bytes", Remedy: "read the logger out again"}
	}
	start := strings.ToLower(string(bytes.TrimLeft(head[:min(len(head), 100)], " \r\n\t\xEF\xBB\xBF")))
	for _, f := range foreign {
		if bytes.HasPrefix(head, []byte(f.magic)) || strings.HasPrefix(start, f.magic) {
			return &raw.Unreadable{Problem: "the file is " + f.what + ", not a table of text", Remedy: f.remedy}
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
func (s *Sample) add(part []byte, skip int, first, last bool, o limits.Options) error {
	c := s.Charset
	c.Bom = skip
	src, err := c.Open(bytes.NewReader(part))
	if err != nil {
		return err
	}
	r := raw.NewReader(src, o.Line())
	for {
		l, err := r.Next()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return fmt.Errorf("line %d: %w", r.Number, err)
		}
		if !first && r.Number == 1 || !last && !l.Ended || l.Cut {
			continue
		}
		n := r.Number
		if !first {
			n = 0
		}
		text := raw.LatinMarks([]byte(s.Charset.Text(l.Text)))
		s.Lines = append(s.Lines, Line{Number: n, Text: text, Comment: IsComment(text)})
	}
}
