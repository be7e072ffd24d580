package report

import "strings"

// The page's style and script are written to be read. What a page carries leaves out what
// only people read: comments, indents, spaces that part nothing.

// squeezeStyle leaves out indents, empty lines and spaces beside braces. The style has no
// text that spans lines, and none with such spaces.
func squeezeStyle(b []byte) string {
	var lines []string
	for line := range strings.Lines(string(b)) {
		if line = strings.TrimSpace(line); line != "" {
			lines = append(lines, line)
		}
	}
	return strings.NewReplacer("{ ", "{", " }", "}").Replace(strings.Join(lines, "\n"))
}

// squeezeScript leaves out comments, and white space that stands beside a sign. Texts and
// regular expressions stay as they are. Ends of lines stay where a statement may end
// without a semicolon.
func squeezeScript(b []byte) string {
	s := string(b)
	var out strings.Builder
	last := byte('\n')
	for s != "" {
		n, kept := token(s, last)
		text := s[:n]
		s = s[n:]
		if !kept {
			text = between(last, text, s)
		}
		if text != "" {
			out.WriteString(text)
			last = text[len(text)-1]
		}
	}
	return out.String()
}

// token is the length of what a script begins with, and whether it stays as it is: white
// space and comments do not.
func token(s string, last byte) (n int, kept bool) {
	switch c := s[0]; {
	case strings.HasPrefix(s, "//"):
		return len(s) - len(strings.TrimLeft(s, "/")) + max(0, strings.IndexByte(strings.TrimLeft(s, "/")+"\n", '\n')), false
	case white(c):
		return len(s) - len(strings.TrimLeft(s, " \t\r\n")), false
	case c == '\'' || c == '"' || c == '`' || c == '/' && strings.IndexByte("(,=:[!&|?{};\n", last) >= 0:
		return quoted(s), true
	}
	return 1, true
}

// quoted is the length of a text or a regular expression with its ends.
func quoted(s string) int {
	set := false // within the brackets of a regular expression a slash is only a slash
	for i := 1; i < len(s); i++ {
		switch {
		case s[i] == '\\':
			i++
		case s[0] == '/' && (s[i] == '[' || s[i] == ']'):
			set = s[i] == '['
		case s[i] == s[0] && !set:
			return i + 1
		}
	}
	return len(s)
}

// between is what white space is written as: a space between words, an end of a line
// where a statement may end, else nothing.
func between(last byte, space, rest string) string {
	switch {
	case rest == "" || white(last) || strings.HasPrefix(space, "//"):
		return ""
	case strings.Contains(space, "\n") && strings.IndexByte("{;,(", last) < 0 && strings.IndexByte(".)}]", rest[0]) < 0:
		return "\n"
	case wordly(last) && wordly(rest[0]), last == '+' && rest[0] == '+', last == '-' && rest[0] == '-':
		return " "
	}
	return ""
}

func white(c byte) bool { return c == ' ' || c == '\t' || c == '\r' || c == '\n' }

func wordly(c byte) bool {
	return c == '_' || c == '$' || c >= '0' && c <= '9' || c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z' || c >= 0x80
}
