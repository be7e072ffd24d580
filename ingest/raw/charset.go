package raw

import (
	"bytes"
	"fmt"
	"io"
	"regexp"
	"strings"
	letters "unicode"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/encoding/unicode/utf32"
	"golang.org/x/text/transform"

	"rimelog/ingest/naming"
	"rimelog/ingest/scan"
)

// A Charset is how a file's bytes become characters.
type Charset struct {
	Name string
	Why  string
	Bom  int // bytes of the byte order mark
	// decoder is nil where the bytes are UTF-8 already.
	Decoder encoding.Encoding
	// wide says that a character takes two bytes or four, so that the file is decoded
	// before it is cut into lines. Otherwise only texts are decoded.
	Wide bool
}

// DetectCharset decides by byte order mark, then by the NUL bytes of UTF-16, then
// by whether the bytes are valid UTF-8; what is left is a code page.
func DetectCharset(head []byte) Charset {
	switch {
	case bytes.HasPrefix(head, []byte("\xEF\xBB\xBF")):
		return Charset{Name: "utf-8", Why: "byte order mark", Bom: 3}
	case bytes.HasPrefix(head, []byte("\xFF\xFE\x00\x00")):
		return Charset{"utf-32le", "byte order mark", 4, utf32.UTF32(utf32.LittleEndian, utf32.IgnoreBOM), true}
	case bytes.HasPrefix(head, []byte("\x00\x00\xFE\xFF")):
		return Charset{"utf-32be", "byte order mark", 4, utf32.UTF32(utf32.BigEndian, utf32.IgnoreBOM), true}
	case bytes.HasPrefix(head, []byte("\xFF\xFE")):
		return Charset{"utf-16le", "byte order mark", 2, utf16(unicode.LittleEndian), true}
	case bytes.HasPrefix(head, []byte("\xFE\xFF")):
		return Charset{"utf-16be", "byte order mark", 2, utf16(unicode.BigEndian), true}
	}
	head = WithoutFill(head)
	even, odd := nulParity(head)
	switch few := len(head) / 20; {
	case len(head) >= 8 && odd > len(head)/4 && even <= few:
		return Charset{"utf-16le", "every second byte is zero", 0, utf16(unicode.LittleEndian), true}
	case len(head) >= 8 && even > len(head)/4 && odd <= few:
		return Charset{"utf-16be", "every first byte is zero", 0, utf16(unicode.BigEndian), true}
	case encodedTwice(head):
		return Charset{Name: "utf-8, encoded twice", Why: "its foreign letters, written as windows-1252, are UTF-8 again", Decoder: twice{}}
	case ValidUTF8(head):
		return Charset{Name: "utf-8", Why: "all bytes are valid UTF-8"}
	}
	return CodePage(head)
}

// encodedTwice tells whether UTF-8 was taken for windows-1252 and written as UTF-8
// once more: all letters beyond ASCII stand for the bytes of others. Plain text does
// not do so by chance: a single such letter would not.
func encodedTwice(head []byte) bool {
	if scan.IsASCII(head) || !ValidUTF8(head) {
		return false
	}
	whole := head[:bytes.LastIndexAny(head, "\r\n")+1]
	once, err := charmap.Windows1252.NewEncoder().Bytes(whole)
	return err == nil && !scan.IsASCII(once) && utf8.Valid(once)
}

// twice decodes text that is UTF-8 when windows-1252 is made of it.
type twice struct{ encoding.Encoding }

// NewDecoder undoes one of the two encodings.
func (twice) NewDecoder() *encoding.Decoder {
	return &encoding.Decoder{Transformer: charmap.Windows1252.NewEncoder().Transformer}
}

// WithoutFill leaves out runs of 0xFF, with which memory is filled: they are no text.
func WithoutFill(b []byte) []byte {
	const run = 4
	if !bytes.Contains(b, bytes.Repeat([]byte{0xFF}, run)) {
		return b
	}
	var out []byte
	for len(b) > 0 {
		n := 0
		for n < len(b) && b[n] == 0xFF {
			n++
		}
		if n > 0 && n < run {
			out = append(out, b[:n]...)
		}
		text, _, _ := bytes.Cut(b[n:], []byte{0xFF})
		out, b = append(out, text...), b[n+len(text):]
	}
	return out
}

func utf16(e unicode.Endianness) encoding.Encoding {
	return unicode.UTF16(e, unicode.IgnoreBOM)
}

func nulParity(b []byte) (even, odd int) {
	for i, c := range b {
		if c == 0 {
			if i%2 == 0 {
				even++
			} else {
				odd++
			}
		}
	}
	return even, odd
}

// ValidUTF8 allows for a character that the end of the sample cuts.
func ValidUTF8(b []byte) bool {
	for len(b) > 0 {
		r, n := utf8.DecodeRune(b)
		if r == utf8.RuneError && n == 1 {
			return len(b) < utf8.UTFMax && !utf8.FullRune(b)
		}
		b = b[n:]
	}
	return true
}

// codePages are the single-byte encodings that loggers and their programs write,
// the more usual first.
var codePages = []struct {
	name string
	page *charmap.Charmap
}{
	{"windows-1252", charmap.Windows1252},
	{"ibm850", charmap.CodePage850},
	{"ibm437", charmap.CodePage437},
	{"windows-1250", charmap.Windows1250},
	{"macintosh", charmap.Macintosh},
}

// CodePage takes the encoding under which most of the first lines' words and units
// make sense. Numbers are the same in all of them.
func CodePage(head []byte) Charset {
	best, most := codePages[0], -1
	for _, c := range codePages {
		text, err := c.page.NewDecoder().Bytes(head[:min(len(head), 4<<10)])
		if err != nil {
			continue
		}
		if n := sense(string(text)); n > most {
			best, most = c, n
		}
	}
	return Charset{best.name, fmt.Sprintf("no UTF-8; as %s %d words and units with foreign letters make sense", best.name, most), 0, best.page, false}
}

// groupedByBlank finds thousands that a no-break blank parts.
var groupedByBlank = regexp.MustCompile(`\d\x{A0}\d\d\d\D`)

// sense counts the words with letters beyond ASCII that the tables know, and the
// degree signs before a unit.
func sense(text string) int {
	n := strings.Count(text, "°C") + strings.Count(text, "°F") + strings.Count(text, "ºC") + strings.Count(text, "³/h") + strings.Count(text, "/cm²")
	if groupedByBlank.MatchString(text) {
		n++
	}
	for _, w := range strings.FieldsFunc(text, func(r rune) bool { return !letters.IsLetter(r) }) {
		if scan.IsASCII([]byte(w)) {
			continue
		}
		if len(naming.Meanings(scan.Fold(w))[0]) > 0 {
			n++
		}
	}
	return n
}

// Open returns the bytes that are cut into lines: after the byte order mark, and
// decoded where characters are wider than a byte.
func (c Charset) Open(r io.Reader) (io.Reader, error) {
	if c.Bom > 0 {
		if _, err := io.CopyN(io.Discard, r, int64(c.Bom)); err != nil && err != io.EOF {
			return nil, err
		}
	}
	if c.Wide {
		return transform.NewReader(r, c.Decoder.NewDecoder()), nil
	}
	return r, nil
}

// Text decodes the bytes of a line or cell for people.
func (c Charset) Text(b []byte) string {
	if c.Decoder == nil || c.Wide || scan.IsASCII(b) {
		return string(bytes.ToValidUTF8(b, []byte("\uFFFD")))
	}
	s, err := c.Decoder.NewDecoder().Bytes(b)
	if err != nil {
		return string(bytes.ToValidUTF8(b, []byte("\uFFFD")))
	}
	return string(s)
}

// LatinMarks writes the Arabic decimal and thousands marks as the point and the
// apostrophe, which stand for nothing else in a number.
func LatinMarks(b []byte) []byte {
	if !bytes.Contains(b, []byte("\u066B")) && !bytes.Contains(b, []byte("\u066C")) {
		return b
	}
	return bytes.ReplaceAll(bytes.ReplaceAll(b, []byte("\u066B"), []byte(".")), []byte("\u066C"), []byte("'"))
}
