package corpustest

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"path"
	"strings"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/encoding/unicode/utf32"
)

// encode turns lines into the bytes of the file and counts them.
func (m *maker) encode(lines []line) {
	var b strings.Builder
	last := 0 // where the last row begins
	for n, l := range lines {
		if l.row >= 0 {
			last = b.Len()
		}
		if m.is("end", "NUL line") && n == len(lines)/2 {
			b.WriteString(strings.Repeat("\x00", 40) + m.lineEnd(n))
		}
		b.WriteString(l.text + m.lineEnd(n))
		if m.is("line ends", "blank lines") && n%3 == 2 {
			b.WriteString("\n")
		}
	}
	text := m.endOf(b.String(), last)
	m.file.Lines = countLines(text)
	m.file.Bytes = m.pad(m.charset(text))
	m.pack()
}

func (m *maker) lineEnd(n int) string {
	switch m.Recipe["line ends"] {
	case "CRLF":
		return "\r\n"
	case "CR":
		return "\r"
	case "CR CR LF":
		return "\r\r\n"
	case "mixed":
		return []string{"\n", "\r\n"}[n%2]
	}
	return "\n"
}

// endOf takes the end of the last line, or part of the last row, away.
func (m *maker) endOf(text string, last int) string {
	switch m.Recipe["end"] {
	case "no line end":
		text = strings.TrimRight(text, "\r\n")
	case "cut":
		body := strings.TrimRight(text, "\r\n")
		text = body[:last+1+m.rng.IntN(max(len(body)-last-1, 1))]
		text = strings.ToValidUTF8(text, "")
	default:
		return text
	}
	for i := len(m.file.Values) - 1; i >= 0 && i >= len(m.file.Values)-len(m.columns)-1; i-- {
		m.file.Values[i].Optional = true
	}
	return text
}

// countLines counts lines as editors do.
func countLines(text string) int64 {
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	n := int64(strings.Count(text, "\n"))
	if text != "" && !strings.HasSuffix(text, "\n") {
		n++
	}
	return n
}

var charsets = map[string]encoding.Encoding{
	"utf-16le mark": unicode.UTF16(unicode.LittleEndian, unicode.UseBOM),
	"utf-16le":      unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM),
	"utf-16be mark": unicode.UTF16(unicode.BigEndian, unicode.UseBOM),
	"utf-16be":      unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM),
	"utf-32le mark": utf32.UTF32(utf32.LittleEndian, utf32.UseBOM),
	"macintosh":     charmap.Macintosh, "iso-8859-15": charmap.ISO8859_15,
	"windows-1252": charmap.Windows1252, "windows-1250": charmap.Windows1250,
	"cp850": charmap.CodePage850, "cp437": charmap.CodePage437,
}

// charset encodes the text; where the code page lacks a character, as UTF-8.
func (m *maker) charset(text string) []byte {
	switch e := m.Recipe["encoding"]; e {
	case "utf-8":
		return []byte(text)
	case "utf-8 mark":
		return []byte("\uFEFF" + text)
	case "encoded twice":
		if b, err := charmap.Windows1252.NewDecoder().Bytes([]byte(text)); err == nil && !bytes.Contains(b, []byte("\uFFFD")) {
			return b
		}
		return []byte(text)
	default:
		b, err := charsets[e].NewEncoder().Bytes([]byte(text))
		if err != nil {
			m.file.Recipe["encoding"] = "utf-8"
			return []byte(text)
		}
		return b
	}
}

// pad fills the end as a logger does that reserves its file.
func (m *maker) pad(b []byte) []byte {
	switch m.Recipe["end"] {
	case "NUL padding":
		b = append(b, make([]byte, 700)...)
	case "FF padding":
		b = append(b, bytes.Repeat([]byte{0xFF}, 700)...)
	default:
		return b
	}
	m.file.Lines++
	return b
}

// pack puts the file into its container.
func (m *maker) pack() {
	var b bytes.Buffer
	switch m.Recipe["container"] {
	case "none":
		return
	case "gz":
		w := gzip.NewWriter(&b)
		w.Write(m.file.Bytes)
		w.Close()
		m.file.Path += ".gz"
	case "zip":
		z := zip.NewWriter(&b)
		if w, err := z.Create(path.Base(m.file.Path)); err == nil {
			w.Write(m.file.Bytes)
		}
		z.Close()
		m.file.Path = strings.TrimSuffix(m.file.Path, ".csv") + ".zip"
	case "spreadsheet":
		b.WriteString("PK\x03\x04\x14\x00\x06\x00xl/workbook.xml")
		m.file.Lines, m.file.Values = -1, nil
	case "web page", "web table":
		if m.is("container", "web page") {
			b.WriteString("<html><body>")
		}
		b.WriteString("<table border=1>\n")
		b.Write(m.file.Bytes)
		m.file.Lines, m.file.Values = -1, nil
	}
	m.file.Bytes = b.Bytes()
}
