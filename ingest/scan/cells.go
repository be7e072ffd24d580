package scan

import (
	"bytes"
	"unicode/utf8"
)

// Blanks is the delimiter of tables that runs of blanks lay out.
const Blanks = ' '

// Split cuts a line into cells, trimmed and without their quotes. The cells
// share the line's bytes, which a doubled quote shifts; dst is reused. It reports false where a quote is
// never closed, or text follows a closing one.
func Split(dst [][]byte, b []byte, delim byte) ([][]byte, bool) {
	dst = dst[:0]
	if delim == Blanks {
		return splitBlanks(dst, b), true
	}
	for {
		b = TrimLeft(b)
		var cell []byte
		if len(b) > 0 && b[0] == '"' {
			var ok bool
			if cell, b, ok = quoted(b[1:]); !ok {
				return dst, false
			}
			b = TrimLeft(b)
			if len(b) > 0 && b[0] != delim {
				return dst, false
			}
		} else {
			end := bytes.IndexByte(b, delim)
			if end < 0 {
				end = len(b)
			}
			cell, b = b[:end], b[end:]
		}
		dst = append(dst, Trim(cell))
		if len(b) == 0 {
			return dst, true
		}
		b = b[1:]
	}
}

// quoted reads to the closing quote. A doubled quote stands for one.
func quoted(b []byte) (cell, rest []byte, ok bool) {
	end := bytes.IndexByte(b, '"')
	if end < 0 {
		return nil, nil, false
	}
	if end+1 == len(b) || b[end+1] != '"' {
		return b[:end], b[end+1:], true
	}
	cell = bytes.Clone(b[:end])
	for {
		if end+1 < len(b) && b[end+1] == '"' {
			cell = append(cell, '"')
			end += 2
		} else {
			return cell, b[end+1:], true
		}
		next := bytes.IndexByte(b[end:], '"')
		if next < 0 {
			return nil, nil, false
		}
		cell = append(cell, b[end:end+next]...)
		end += next
	}
}

func splitBlanks(dst [][]byte, b []byte) [][]byte {
	for i := 0; i < len(b); {
		for i < len(b) && (b[i] == ' ' || b[i] == '\t') {
			i++
		}
		start := i
		for i < len(b) && b[i] != ' ' && b[i] != '\t' {
			i++
		}
		if i > start {
			dst = append(dst, b[start:i])
		}
	}
	return dst
}

// TrimLeft takes blanks off the front of a cell.
func TrimLeft(b []byte) []byte {
	for len(b) > 0 && b[0] == ' ' {
		b = b[1:]
	}
	return b
}

// Trim takes blanks, no-break blanks included, off both ends.
func Trim(b []byte) []byte {
	for len(b) > 0 && (b[0] <= ' ' || b[len(b)-1] <= ' ') {
		if b[0] <= ' ' {
			b = b[1:]
		} else {
			b = b[:len(b)-1]
		}
	}
	for _, nbsp := range []string{"\u00A0", "\uFEFF"} {
		b = bytes.TrimSuffix(bytes.TrimPrefix(b, []byte(nbsp)), []byte(nbsp))
	}
	return b
}

// IsBlank tells whether a line holds nothing but blanks.
func IsBlank(b []byte) bool {
	for _, c := range b {
		if c != ' ' && c != '\t' && c != '\v' && c != '\f' {
			return false
		}
	}
	return true
}

// IsFill tells whether a line holds the bytes that memory is filled with when
// the power fails: NUL, 0xFF, or the end-of-file mark 0x1A.
func IsFill(b []byte) bool {
	for _, c := range b {
		if c != 0 && c != 0xFF && c != 0x1A {
			return false
		}
	}
	return len(b) > 0
}

// IsEmptyRow tells whether a line holds nothing but delimiters, quotes and blanks.
func IsEmptyRow(b []byte, delim byte) bool {
	for _, c := range b {
		if c != delim && c != '"' && c != ' ' && c != '\t' {
			return false
		}
	}
	return true
}

// IsLetter tells letters without accents.
func IsLetter(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' }

// IsASCII tells whether no character takes more than a byte.
func IsASCII(b []byte) bool {
	for _, c := range b {
		if c >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

// IsDigit tells the digits that are parsed.
func IsDigit(c byte) bool { return c >= '0' && c <= '9' }
